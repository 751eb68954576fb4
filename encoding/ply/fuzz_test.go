package ply

import "testing"

// Whatever the bytes, reading them gives a mesh whose corners are there, or an error.
func FuzzRead(f *testing.F) {
	f.Add([]byte("ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	f.Add([]byte("ply\nformat binary_big_endian 1.0\nelement vertex 1\nproperty double x\nend_header\n12345678"))
	f.Fuzz(func(t *testing.T, data []byte) {
		Is(data)
		file, err := Read(data)
		if err != nil {
			return
		}
		m := file.Mesh
		for _, face := range m.Faces {
			for _, v := range face {
				if v < 0 || int(v) >= len(m.Vertices) {
					t.Fatalf("corner %d of %d vertices", v, len(m.Vertices))
				}
			}
		}
	})
}
