// Package obj reads the surfaces of Wavefront OBJ files: v and f lines; everything else is
// passed over. Faces with more than three corners are split into a fan.
package obj

import (
	"bytes"
	"strconv"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/words"
)

// Is tells whether the bytes look like an OBJ file.
func Is(data []byte) bool {
	head := data[:min(len(data), 1<<16)]
	if bytes.IndexByte(head, 0) >= 0 {
		return false
	}
	for _, row := range bytes.Split(head, []byte("\n")) {
		w := bytes.Fields(row)
		if len(w) >= 4 && string(w[0]) == "v" {
			_, err := strconv.ParseFloat(string(w[1]), 64)
			return err == nil
		}
	}
	return false
}

// Read reads a mesh. Vertices keep their order; none are welded.
func Read(data []byte) (*mesh.Mesh, error) {
	m := &mesh.Mesh{}
	line := 0
	var corners []int32
	for len(data) > 0 {
		line++
		row := data
		if i := bytes.IndexByte(data, '\n'); i >= 0 {
			row, data = data[:i], data[i+1:]
		} else {
			data = nil
		}
		fields := bytes.Fields(row)
		if len(fields) == 0 {
			continue
		}
		switch string(fields[0]) {
		case "v":
			if len(fields) < 4 {
				return nil, words.Errorf("OBJ line %d: expected three numbers after v, found %d", line, len(fields)-1)
			}
			var p [3]float64
			for k := range p {
				v, err := strconv.ParseFloat(string(fields[k+1]), 64)
				if err != nil || v-v != 0 {
					return nil, words.Errorf("OBJ line %d: expected a number, found %q", line, fields[k+1])
				}
				p[k] = v
			}
			m.Vertices = append(m.Vertices, geom.V(p[0], p[1], p[2]))
		case "f":
			corners = corners[:0]
			for _, w := range fields[1:] {
				if i := bytes.IndexByte(w, '/'); i >= 0 {
					w = w[:i]
				}
				n, err := strconv.Atoi(string(w))
				if err != nil {
					return nil, words.Errorf("OBJ line %d: expected a vertex number, found %q", line, w)
				}
				if n < 0 {
					n += len(m.Vertices) + 1
				}
				if n < 1 || n > len(m.Vertices) {
					return nil, words.Errorf("OBJ line %d: vertex %s is not there; %d stand before this line", line, w, len(m.Vertices))
				}
				corners = append(corners, int32(n-1))
			}
			if len(corners) < 3 {
				return nil, words.Errorf("OBJ line %d: expected at least three corners, found %d", line, len(corners))
			}
			for k := 2; k < len(corners); k++ {
				m.Faces = append(m.Faces, [3]int32{corners[0], corners[k-1], corners[k]})
			}
		}
	}
	if len(m.Faces) == 0 {
		return nil, words.Errorf("OBJ: no face in %d lines", line)
	}
	return m, nil
}
