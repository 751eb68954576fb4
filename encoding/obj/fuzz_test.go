package obj

import "testing"

// Whatever the bytes, reading them gives a mesh whose corners are there, or an error.
func FuzzRead(f *testing.F) {
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 1 0\nf 1/1 2/2 -1//3 3\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		Is(data)
		m, err := Read(data)
		if err != nil {
			return
		}
		for _, face := range m.Faces {
			for _, v := range face {
				if v < 0 || int(v) >= len(m.Vertices) {
					t.Fatalf("corner %d of %d vertices", v, len(m.Vertices))
				}
			}
		}
	})
}
