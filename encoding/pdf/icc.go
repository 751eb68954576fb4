package pdf

import (
	"encoding/binary"
	"math"
)

// sRGB is a colour profile for the file's output intent: the sRGB primaries adapted to
// D50 and its tone curve, from IEC 61966-2-1, in the form of ICC.1:2001 (version 2).
func sRGB() []byte {
	be := binary.BigEndian
	fixed := func(v float64) uint32 { return uint32(int32(math.Round(v * 65536))) }
	xyz := func(x, y, z float64) []byte {
		b := append([]byte("XYZ "), 0, 0, 0, 0)
		for _, v := range []float64{x, y, z} {
			b = be.AppendUint32(b, fixed(v))
		}
		return b
	}
	text := append([]byte("text\x00\x00\x00\x00"), "No copyright is claimed.\x00"...)
	const name = "sRGB IEC61966-2.1\x00"
	desc := append([]byte("desc\x00\x00\x00\x00"), be.AppendUint32(nil, uint32(len(name)))...)
	desc = append(desc, name...)
	desc = append(desc, make([]byte, 4+4+2+1+67)...)
	const steps = 1024
	curve := be.AppendUint32(append([]byte("curv"), 0, 0, 0, 0), steps)
	for i := range steps {
		v := float64(i) / (steps - 1)
		lin := v / 12.92
		if v > 0.04045 {
			lin = math.Pow((v+0.055)/1.055, 2.4)
		}
		curve = be.AppendUint16(curve, uint16(math.Round(lin*65535)))
	}
	tags := []struct {
		sig  string
		data []byte
	}{
		{"desc", desc}, {"cprt", text},
		{"wtpt", xyz(0.9642, 1, 0.8249)},
		{"rXYZ", xyz(0.43607, 0.22249, 0.01392)},
		{"gXYZ", xyz(0.38515, 0.71687, 0.09708)},
		{"bXYZ", xyz(0.14307, 0.06061, 0.71410)},
		{"rTRC", curve}, {"gTRC", nil}, {"bTRC", nil},
	}
	at := uint32(128 + 4 + 12*len(tags))
	table := be.AppendUint32(nil, uint32(len(tags)))
	var body []byte
	var where, size uint32
	for _, t := range tags {
		if t.data != nil { // the three tone curves are one
			where, size = at+uint32(len(body)), uint32(len(t.data))
			body = append(body, t.data...)
			for len(body)%4 != 0 {
				body = append(body, 0)
			}
		}
		table = append(table, t.sig...)
		table = be.AppendUint32(be.AppendUint32(table, where), size)
	}
	head := make([]byte, 128)
	be.PutUint32(head[0:], at+uint32(len(body)))
	be.PutUint32(head[8:], 0x02100000)
	copy(head[12:], "mntrRGB XYZ ")
	be.PutUint16(head[24:], 2020)
	be.PutUint16(head[26:], 1)
	be.PutUint16(head[28:], 1)
	copy(head[36:], "acsp")
	be.PutUint32(head[68:], fixed(0.9642))
	be.PutUint32(head[72:], fixed(1))
	be.PutUint32(head[76:], fixed(0.8249))
	return append(append(head, table...), body...)
}
