// Package stl reads and writes STL files, binary and ASCII. STL has no unit and no shared
// corners: reading welds corners with the same coordinates.
package stl

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/words"
)

const (
	headerSize = 84 // 80 bytes of text and the number of triangles
	recordSize = 50 // a normal, three corners and two spare bytes
)

// Is tells whether the bytes look like an STL file, binary or ASCII.
func Is(data []byte) bool {
	return isText(data) || len(data) >= headerSize && headerSize+recordSize*uint64(binary.LittleEndian.Uint32(data[80:])) == uint64(len(data))
}

// isText: a binary header may begin with "solid" too, so the word "facet" must follow.
func isText(data []byte) bool {
	head := bytes.TrimLeft(data[:min(len(data), 2048)], " \t\r\n\ufeff")
	return bytes.HasPrefix(head, []byte("solid")) && bytes.Contains(head, []byte("facet")) && !bytes.ContainsRune(head, 0)
}

// Read reads a mesh.
func Read(data []byte) (*mesh.Mesh, error) {
	if isText(data) {
		return readText(data)
	}
	if len(data) < headerSize {
		return nil, words.Errorf("STL: expected at least %d bytes of header, the file has %d; it is empty or cut short", headerSize, len(data))
	}
	said := uint64(binary.LittleEndian.Uint32(data[80:]))
	have := uint64(len(data)-headerSize) / recordSize
	switch {
	case said == 0:
		return nil, words.Errorf("STL: the header announces no triangle")
	case said > have:
		return nil, words.Errorf("STL: the header announces %d triangles, the file holds %d; it is cut short or no STL file: export it again", said, have)
	case headerSize+said*recordSize < uint64(len(data)):
		return nil, words.Errorf("STL: the header announces %d triangles, but %d bytes follow them; the count is wrong: export it again", said, uint64(len(data))-headerSize-said*recordSize)
	}
	return mesh.Weld(int(said), func(from, to int, corners []float32) error {
		for i := from; i < to; i++ {
			rec := data[headerSize+i*recordSize+12 : headerSize+(i+1)*recordSize]
			out := corners[9*(i-from) : 9*(i-from)+9]
			for k := range out {
				v := math.Float32frombits(binary.LittleEndian.Uint32(rec[4*k:]))
				if v-v != 0 { // not a number, or infinite
					return words.Errorf("STL: triangle %d, corner %d: expected three numbers, one is %v", i+1, k/3+1, v)
				}
				out[k] = v
			}
		}
		return nil
	})
}

func readText(data []byte) (*mesh.Mesh, error) {
	corners := make([]float32, 0, len(data)/28) // as many as a usual file of this length holds
	line, ended := 0, false
	for len(data) > 0 {
		line++
		row := data
		if i := bytes.IndexByte(data, '\n'); i >= 0 {
			row, data = data[:i], data[i+1:]
		} else {
			data = nil
		}
		// Nearly every line is one that exporters write; what is otherwise is taken apart with
		// care below.
		word, rest := firstWord(row)
		switch string(word) {
		case "vertex":
			if a, b, c, ok := threeNumbers(rest); ok {
				corners = append(corners, a, b, c)
				continue
			}
		case "facet", "outer", "endloop":
			continue
		}
		fields := bytes.Fields(row)
		if len(fields) == 0 {
			continue
		}
		switch string(fields[0]) {
		case "vertex":
			if len(fields) != 4 {
				return nil, words.Errorf("STL line %d: expected three numbers after vertex, found %d", line, len(fields)-1)
			}
			for _, w := range fields[1:] {
				v, err := strconv.ParseFloat(string(w), 32)
				if err != nil || v-v != 0 {
					return nil, words.Errorf("STL line %d: expected a number, found %q", line, w)
				}
				corners = append(corners, float32(v))
			}
		case "endfacet":
			if len(corners)%9 != 0 {
				return nil, words.Errorf("STL line %d: the facet ends with %d corners, expected 3", line, len(corners)%9/3)
			}
		case "endsolid":
			ended = true
		case "solid", "facet", "outer", "endloop":
		default:
			return nil, words.Errorf("STL line %d: expected facet, vertex or endsolid, found %q", line, fields[0])
		}
	}
	if len(corners)%9 != 0 || !ended {
		return nil, words.Errorf("STL line %d: the file ends before endsolid; it is cut short: export it again", line)
	}
	if len(corners) == 0 {
		return nil, words.Errorf("STL: no facet between solid and endsolid")
	}
	return mesh.Weld(len(corners)/9, func(from, to int, some []float32) error {
		copy(some, corners[9*from:9*to])
		return nil
	})
}

func blank(c byte) bool { return c == ' ' || c == '\t' || c == '\r' }

// firstWord is what a row begins with, blanks before it left out, and what follows.
func firstWord(row []byte) (word, rest []byte) {
	i := 0
	for i < len(row) && blank(row[i]) {
		i++
	}
	j := i
	for j < len(row) && row[j] >= 'a' && row[j] <= 'z' {
		j++
	}
	if j < len(row) && !blank(row[j]) {
		return nil, nil
	}
	return row[i:j], row[j:]
}

// threeNumbers reads the numbers of a plainly written vertex; false where there is anything
// else.
func threeNumbers(row []byte) (a, b, c float32, ok bool) {
	if a, row, ok = number(row); !ok {
		return
	}
	if b, row, ok = number(row); !ok {
		return
	}
	if c, row, ok = number(row); !ok {
		return
	}
	for _, k := range row {
		if !blank(k) {
			return a, b, c, false
		}
	}
	return a, b, c, true
}

// powers of ten that a float64 holds exactly.
var tens = [23]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads a decimal number and rounds it to 32 bits as strconv does; false where it is
// not plainly written, or so long or so near the middle between two of them that the short
// way might round it otherwise.
func number(row []byte) (v float32, rest []byte, ok bool) {
	i := 0
	for i < len(row) && blank(row[i]) {
		i++
	}
	if i == 0 || i == len(row) {
		return 0, nil, false
	}
	minus := row[i] == '-'
	if minus || row[i] == '+' {
		i++
	}
	var digits uint64
	count, scale := 0, 0
	for ; i < len(row) && row[i]-'0' <= 9; i++ {
		digits, count = digits*10+uint64(row[i]-'0'), count+1
	}
	if i < len(row) && row[i] == '.' {
		for i++; i < len(row) && row[i]-'0' <= 9; i++ {
			digits, count, scale = digits*10+uint64(row[i]-'0'), count+1, scale-1
		}
	}
	if count == 0 || count > 19 || digits >= 1<<53 {
		return 0, nil, false
	}
	if i < len(row) && (row[i] == 'e' || row[i] == 'E') {
		i++
		down := i < len(row) && row[i] == '-'
		if i < len(row) && (row[i] == '-' || row[i] == '+') {
			i++
		}
		e, from := 0, i
		for ; i < len(row) && row[i]-'0' <= 9 && e < 1000; i++ {
			e = e*10 + int(row[i]-'0')
		}
		if i == from {
			return 0, nil, false
		}
		if down {
			e = -e
		}
		scale += e
	}
	if i < len(row) && !blank(row[i]) || scale < -22 || scale > 22 {
		return 0, nil, false
	}
	// Both factors are exact, so this is the float64 nearest to what is written.
	d := float64(digits)
	if scale < 0 {
		d /= tens[-scale]
	} else {
		d *= tens[scale]
	}
	const beyond = 1<<29 - 1 // the bits that 32 do not hold
	if half := math.Float64bits(d) & beyond; half >= 1<<28-1 && half <= 1<<28+1 || d != 0 && d < 1e-37 || d > 1e38 {
		return 0, nil, false
	}
	if minus {
		d = -d
	}
	return float32(d), row[i:], true
}

// Write writes binary STL; coordinates are rounded to 32 bits.
func Write(w io.Writer, m *mesh.Mesh) error {
	b := bufio.NewWriterSize(w, 1<<16)
	var head [headerSize]byte
	copy(head[:], "mm")
	binary.LittleEndian.PutUint32(head[80:], uint32(len(m.Faces)))
	if _, err := b.Write(head[:]); err != nil {
		return fmt.Errorf("writing STL: %v", err)
	}
	var rec [recordSize]byte
	put := func(at int, v geom.Vec) {
		binary.LittleEndian.PutUint32(rec[at:], math.Float32bits(float32(v.X)))
		binary.LittleEndian.PutUint32(rec[at+4:], math.Float32bits(float32(v.Y)))
		binary.LittleEndian.PutUint32(rec[at+8:], math.Float32bits(float32(v.Z)))
	}
	for i := range m.Faces {
		p, q, r := m.Corners(i)
		put(0, q.Sub(p).Cross(r.Sub(p)).Unit())
		put(12, p)
		put(24, q)
		put(36, r)
		if _, err := b.Write(rec[:]); err != nil {
			return fmt.Errorf("writing STL: %v", err)
		}
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing STL: %v", err)
	}
	return nil
}
