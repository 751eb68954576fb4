// Package scan reads a scan in whichever of the known formats it is in.
package scan

import (
	"bytes"

	"halfpear/encoding/obj"
	"halfpear/encoding/ply"
	"halfpear/encoding/stl"
	"halfpear/geom/mesh"
	"halfpear/words"
)

// File is a surface as it came, in the file's own coordinates and unit.
type File struct {
	Format     string // "STL", "PLY" or "OBJ"
	Mesh       *mesh.Mesh
	FaceLabels []uint8 // a label of each face where the file has one
}

// Read tells the format from the bytes, not from the name, which is used in errors only.
func Read(name string, data []byte) (File, error) {
	fail := func(err error) (File, error) { return File{}, words.Errorf("could not read %s: %v", name, err) }
	if len(bytes.TrimSpace(data)) == 0 {
		return fail(words.Errorf("expected a mesh, the file is empty"))
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
	return fail(words.Errorf("expected an STL, PLY or OBJ mesh, found %v", describe(data)))
}

func hasSuffix(name, end string) bool {
	return len(name) >= len(end) && bytes.EqualFold([]byte(name[len(name)-len(end):]), []byte(end))
}

func describe(data []byte) words.Text {
	for start, name := range map[string]words.Text{"%PDF": words.Tell("a PDF"), "PK\x03\x04": words.Tell("a zip archive or 3MF"), "\x89PNG": words.Tell("a PNG picture"),
		"\xff\xd8": words.Tell("a JPEG picture"), "glTF": words.Tell("a GLB scene"), "{": words.Tell("JSON data"), "<": words.Tell("XML or HTML")} {
		if bytes.HasPrefix(bytes.TrimSpace(data), []byte(start)) {
			return name
		}
	}
	if bytes.IndexByte(data[:min(len(data), 512)], 0) < 0 {
		return words.Tell("text beginning with %q", data[:min(len(data), 24)])
	}
	return words.Tell("%d bytes of something else; if it is a binary STL, it is cut short or its count is wrong", len(data))
}
