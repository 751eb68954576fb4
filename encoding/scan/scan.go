// Package scan reads a scan in whichever of the known formats it is in.
package scan

import (
	"bytes"
	"fmt"

	"halfpear/encoding/obj"
	"halfpear/encoding/ply"
	"halfpear/encoding/stl"
	"halfpear/geom/mesh"
)

// File is a surface as it came, in the file's own coordinates and unit.
type File struct {
	Format     string // "STL", "PLY" or "OBJ"
	Mesh       *mesh.Mesh
	FaceLabels []uint8 // a label of each face where the file has one
}

// Read tells the format from the bytes, not from the name, which is used in errors only.
func Read(name string, data []byte) (File, error) {
	fail := func(err error) (File, error) { return File{}, fmt.Errorf("could not read %s: %w", name, err) }
	if len(bytes.TrimSpace(data)) == 0 {
		return fail(fmt.Errorf("expected a mesh, the file is empty"))
	}
	switch {
	case ply.Is(data):
		f, err := ply.Read(data)
		if err != nil {
			return fail(err)
		}
		return File{"PLY", f.Mesh, f.FaceLabels}, nil
	case stl.Is(data):
		m, err := stl.Read(data)
		if err != nil {
			return fail(err)
		}
		return File{"STL", m, nil}, nil
	case obj.Is(data):
		m, err := obj.Read(data)
		if err != nil {
			return fail(err)
		}
		return File{"OBJ", m, nil}, nil
	}
	// A binary STL whose length belies its count is told apart by its name.
	if hasSuffix(name, ".stl") {
		_, err := stl.Read(data)
		if err != nil {
			return fail(err)
		}
	}
	return fail(fmt.Errorf("expected an STL, PLY or OBJ mesh, found %s", describe(data)))
}

func hasSuffix(name, end string) bool {
	return len(name) >= len(end) && bytes.EqualFold([]byte(name[len(name)-len(end):]), []byte(end))
}

func describe(data []byte) string {
	for _, k := range []struct{ start, name string }{{"%PDF", "a PDF"}, {"PK\x03\x04", "a zip archive or 3MF"}, {"\x89PNG", "a PNG picture"},
		{"\xff\xd8", "a JPEG picture"}, {"glTF", "a GLB scene"}, {"{", "JSON"}, {"<", "XML or HTML"}} {
		if bytes.HasPrefix(bytes.TrimSpace(data), []byte(k.start)) {
			return k.name
		}
	}
	if bytes.IndexByte(data[:min(len(data), 512)], 0) < 0 {
		return fmt.Sprintf("text beginning with %q", data[:min(len(data), 24)])
	}
	return fmt.Sprintf("%d bytes of something else; if it is a binary STL, it is cut short or its count is wrong", len(data))
}
