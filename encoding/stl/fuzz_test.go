package stl

import "testing"

// Whatever the bytes, reading them gives a mesh whose corners are there, or an error.
func FuzzRead(f *testing.F) {
	f.Add([]byte("solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid a\n"))
	f.Add(append(make([]byte, 80), 1, 0, 0, 0))
	f.Add(append(append(make([]byte, 80), 1, 0, 0, 0), make([]byte, 50)...))
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
