// Package ply reads and writes PLY files: binary in either byte order, and ASCII.
package ply

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/words"
)

// File is a mesh with what a PLY file says beside it.
type File struct {
	Mesh         *mesh.Mesh
	FaceLabels   []uint8   // property label of each triangle, or of its vertices' majority; nil where there is none
	VertexLabels []uint8   // property label of each vertex; nil where there is none
	Undercut     []float32 // property undercut of each vertex; nil where there is none
}

// Is tells whether the bytes begin as a PLY file does.
func Is(data []byte) bool {
	return bytes.HasPrefix(data, []byte("ply\n")) || bytes.HasPrefix(data, []byte("ply\r"))
}

var sizes = map[string]int{"char": 1, "int8": 1, "uchar": 1, "uint8": 1, "short": 2, "int16": 2, "ushort": 2, "uint16": 2,
	"int": 4, "int32": 4, "uint": 4, "uint32": 4, "float": 4, "float32": 4, "double": 8, "float64": 8}

type property struct {
	name, kind, count string // count is the kind of a list's length, empty for a scalar
}

type element struct {
	name  string
	n     int
	props []property
}

// decoder reads one value after another, from binary or ASCII.
type decoder struct {
	data  []byte
	at    int
	order binary.ByteOrder // nil: ASCII
}

var errShort = words.Errorf("cut short")

func (d *decoder) value(kind string) (float64, error) {
	if d.order == nil {
		for d.at < len(d.data) && d.data[d.at] <= ' ' {
			d.at++
		}
		start := d.at
		for d.at < len(d.data) && d.data[d.at] > ' ' {
			d.at++
		}
		if start == d.at {
			return 0, errShort
		}
		v, err := strconv.ParseFloat(string(d.data[start:d.at]), 64)
		if err != nil {
			return 0, words.Errorf("expected a number, found %q", d.data[start:d.at])
		}
		return v, nil
	}
	n := sizes[kind]
	if len(d.data)-d.at < n {
		return 0, errShort
	}
	b := d.data[d.at : d.at+n]
	d.at += n
	switch kind {
	case "char", "int8":
		return float64(int8(b[0])), nil
	case "uchar", "uint8":
		return float64(b[0]), nil
	case "short", "int16":
		return float64(int16(d.order.Uint16(b))), nil
	case "ushort", "uint16":
		return float64(d.order.Uint16(b)), nil
	case "int", "int32":
		return float64(int32(d.order.Uint32(b))), nil
	case "uint", "uint32":
		return float64(d.order.Uint32(b)), nil
	case "float", "float32":
		return float64(math.Float32frombits(d.order.Uint32(b))), nil
	}
	return math.Float64frombits(d.order.Uint64(b)), nil
}

// Read reads a mesh. Vertices and faces keep their order; faces with more than three
// corners are split into a fan, and their label with them.
func Read(data []byte) (*File, error) {
	elements, d, err := header(data)
	if err != nil {
		return nil, err
	}
	f := &File{Mesh: &mesh.Mesh{}}
	seenFaces := false
	for _, e := range elements {
		where := func(i int, err error) error {
			if err == errShort {
				return words.Errorf("PLY: the header announces %d of element %s, the file ends in number %d; it is cut short: export it again", e.n, e.name, i+1)
			}
			return words.Errorf("PLY: %s %d: %v", e.name, i+1, err)
		}
		if e.n > len(data) { // every item takes at least a byte
			return nil, words.Errorf("PLY: the header announces %d of element %s, more than the file has bytes (%d); the count is wrong or the file is cut short", e.n, e.name, len(data))
		}
		switch e.name {
		case "vertex":
			if err := f.vertices(e, d, where); err != nil {
				return nil, err
			}
		case "face":
			seenFaces = true
			if err := f.faces(e, d, where); err != nil {
				return nil, err
			}
		default:
			for i := 0; i < e.n; i++ {
				for _, p := range e.props {
					if _, err := d.skip(p); err != nil {
						return nil, where(i, err)
					}
				}
			}
		}
	}
	switch {
	case len(f.Mesh.Vertices) == 0:
		return nil, words.Errorf("PLY: no vertex")
	case !seenFaces || len(f.Mesh.Faces) == 0:
		return nil, words.Errorf("PLY: %d points but no face: a cloud of points is no surface; export a mesh", len(f.Mesh.Vertices))
	}
	return f, nil
}

func (d *decoder) skip(p property) ([]float64, error) {
	n := 1.0
	if p.count != "" {
		var err error
		if n, err = d.value(p.count); err != nil {
			return nil, err
		}
		if n < 0 || n > float64(len(d.data)) {
			return nil, words.Errorf("a list of %g items", n)
		}
	}
	out := make([]float64, 0, int(n))
	for k := 0; k < int(n); k++ {
		v, err := d.value(p.kind)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

func (f *File) vertices(e element, d *decoder, where func(int, error) error) error {
	at := map[string]int{}
	for i, p := range e.props {
		if p.count != "" {
			return words.Errorf("PLY: vertex property %s is a list, expected single values", p.name)
		}
		at[p.name] = i
	}
	for _, axis := range []string{"x", "y", "z"} {
		if _, ok := at[axis]; !ok {
			return words.Errorf("PLY: vertices have no property %s", axis)
		}
	}
	label, hasLabel := at["label"]
	undercut, hasUndercut := at["undercut"]
	row := make([]float64, len(e.props))
	f.Mesh.Vertices = make([]geom.Vec, 0, e.n)
	for i := 0; i < e.n; i++ {
		for k, p := range e.props {
			v, err := d.value(p.kind)
			if err != nil {
				return where(i, err)
			}
			row[k] = v
		}
		p := geom.V(row[at["x"]], row[at["y"]], row[at["z"]])
		if !p.IsFinite() {
			return where(i, words.Errorf("expected three numbers, found %v", p))
		}
		f.Mesh.Vertices = append(f.Mesh.Vertices, p)
		if hasLabel {
			f.VertexLabels = append(f.VertexLabels, uint8(row[label]))
		}
		if hasUndercut {
			f.Undercut = append(f.Undercut, float32(row[undercut]))
		}
	}
	return nil
}

func (f *File) faces(e element, d *decoder, where func(int, error) error) error {
	found, hasLabel := false, false
	for _, p := range e.props {
		found = found || p.count != "" && strings.HasPrefix(p.name, "vertex_ind")
		hasLabel = hasLabel || p.count == "" && p.name == "label"
	}
	if !found {
		return words.Errorf("PLY: faces have no list vertex_indices")
	}
	n := len(f.Mesh.Vertices)
	f.Mesh.Faces = make([][3]int32, 0, e.n)
	for i := 0; i < e.n; i++ {
		var corners []float64
		label := uint8(0)
		for _, p := range e.props {
			v, err := d.skip(p)
			if err != nil {
				return where(i, err)
			}
			switch {
			case p.count != "" && strings.HasPrefix(p.name, "vertex_ind"):
				corners = v
			case p.count == "" && p.name == "label":
				label = uint8(v[0])
			}
		}
		if len(corners) < 3 {
			return where(i, words.Errorf("expected at least three corners, found %d", len(corners)))
		}
		for _, c := range corners {
			if !(c >= 0 && c < float64(n)) || c != math.Trunc(c) {
				return where(i, words.Errorf("corner %g is not there; there are vertices 0 to %d", c, n-1))
			}
		}
		for k := 2; k < len(corners); k++ {
			f.Mesh.Faces = append(f.Mesh.Faces, [3]int32{int32(corners[0]), int32(corners[k-1]), int32(corners[k])})
			if hasLabel {
				f.FaceLabels = append(f.FaceLabels, label)
			}
		}
	}
	return nil
}

func header(data []byte) ([]element, *decoder, error) {
	if !Is(data) {
		return nil, nil, words.Errorf("PLY: expected the file to begin with the line ply")
	}
	d := &decoder{data: data}
	var elements []element
	format := ""
	for line := 1; ; line++ {
		i := bytes.IndexByte(data[d.at:], '\n')
		if i < 0 || line > 1000 {
			return nil, nil, words.Errorf("PLY: the header does not end; the line end_header is missing")
		}
		fields := strings.Fields(string(data[d.at : d.at+i]))
		d.at += i + 1
		bad := func(format string, args ...any) error {
			return words.Errorf("PLY line %d: %s", line, fmt.Sprintf(format, args...))
		}
		if len(fields) == 0 || fields[0] == "comment" || fields[0] == "obj_info" || fields[0] == "ply" {
			continue
		}
		switch fields[0] {
		case "format":
			if len(fields) < 2 {
				return nil, nil, bad("expected a format")
			}
			format = fields[1]
			switch format {
			case "ascii":
			case "binary_little_endian":
				d.order = binary.LittleEndian
			case "binary_big_endian":
				d.order = binary.BigEndian
			default:
				return nil, nil, bad("format %q: expected ascii, binary_little_endian or binary_big_endian", format)
			}
		case "element":
			if len(fields) != 3 {
				return nil, nil, bad("expected a name and a count after element")
			}
			n, err := strconv.Atoi(fields[2])
			if err != nil || n < 0 {
				return nil, nil, bad("element %s: %q is no count", fields[1], fields[2])
			}
			elements = append(elements, element{name: fields[1], n: n})
		case "property":
			if len(elements) == 0 {
				return nil, nil, bad("a property before any element")
			}
			e := &elements[len(elements)-1]
			p := property{}
			switch {
			case len(fields) == 3:
				p = property{name: fields[2], kind: fields[1]}
			case len(fields) == 5 && fields[1] == "list":
				p = property{name: fields[4], kind: fields[3], count: fields[2]}
			default:
				return nil, nil, bad("expected a type and a name after property")
			}
			if sizes[p.kind] == 0 || p.count != "" && sizes[p.count] == 0 {
				return nil, nil, bad("property %s has an unknown type", p.name)
			}
			e.props = append(e.props, p)
		case "end_header":
			if format == "" {
				return nil, nil, bad("the header ends without a format")
			}
			for _, e := range elements {
				if len(e.props) == 0 && e.n > 0 {
					return nil, nil, bad("element %s has no property", e.name)
				}
			}
			return elements, d, nil
		default:
			return nil, nil, bad("expected format, element, property, comment or end_header, found %q", fields[0])
		}
	}
}

// Write writes binary little-endian PLY: float x y z (double where wide is set), the
// undercut of each vertex and the label of each face where they are given.
func Write(w io.Writer, f *File, wide bool) error {
	b := bufio.NewWriterSize(w, 1<<16)
	kind := "float"
	if wide {
		kind = "double"
	}
	fmt.Fprintf(b, "ply\nformat binary_little_endian 1.0\nelement vertex %d\n", len(f.Mesh.Vertices))
	for _, axis := range []string{"x", "y", "z"} {
		fmt.Fprintf(b, "property %s %s\n", kind, axis)
	}
	if f.Undercut != nil {
		fmt.Fprintf(b, "property float undercut\n")
	}
	if f.VertexLabels != nil {
		fmt.Fprintf(b, "property uchar label\n")
	}
	fmt.Fprintf(b, "element face %d\nproperty list uchar int vertex_indices\n", len(f.Mesh.Faces))
	if f.FaceLabels != nil {
		fmt.Fprintf(b, "property uchar label\n")
	}
	fmt.Fprintf(b, "end_header\n")
	var buf []byte
	for i, v := range f.Mesh.Vertices {
		buf = buf[:0]
		for _, c := range [3]float64{v.X, v.Y, v.Z} {
			if wide {
				buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(c))
			} else {
				buf = binary.LittleEndian.AppendUint32(buf, math.Float32bits(float32(c)))
			}
		}
		if f.Undercut != nil {
			buf = binary.LittleEndian.AppendUint32(buf, math.Float32bits(f.Undercut[i]))
		}
		if f.VertexLabels != nil {
			buf = append(buf, f.VertexLabels[i])
		}
		_, _ = b.Write(buf) // Flush returns the first error
	}
	for i, t := range f.Mesh.Faces {
		buf = append(buf[:0], 3)
		for _, c := range t {
			buf = binary.LittleEndian.AppendUint32(buf, uint32(c))
		}
		if f.FaceLabels != nil {
			buf = append(buf, f.FaceLabels[i])
		}
		_, _ = b.Write(buf)
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing PLY: %v", err)
	}
	return nil
}
