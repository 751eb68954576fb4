package placement_test

import (
	"testing"

	"halfpear/design"
	"halfpear/placement"
)

func BenchmarkLay(b *testing.B) {
	for _, name := range []string{"lower-1", "upper-1"} {
		b.Run(name, func(b *testing.B) {
			l := lay(b, name)
			b.ResetTimer()
			for i := 0; i < b.N; i++ {
				if _, err := placement.Lay(l.cast, l.s, l.v, l.design, placement.Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRelay(b *testing.B) {
	for _, edit := range []struct {
		name, part, dimension string
		value                 float64
	}{{"lower-1", "retainer-44", "clearance", 3.2}, {"lower-1", "major", "height", 4.2}, {"lower-1", "base-left", "lattice_share", 0.6}, {"upper-1", "major", "width", 8.5}} {
		b.Run(edit.name+"-"+edit.part, func(b *testing.B) {
			l := lay(b, edit.name)
			p, _ := l.design.Part(design.ID(edit.part))
			p.Dimensions = map[string]float64{edit.dimension: edit.value}
			b.ResetTimer()
			for i := 0; i < b.N; i++ {
				if _, err := placement.Relay(l.placed, p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// On a dense scan the strap with an opening is the dearest part to move.
func BenchmarkRelayOnAScan(b *testing.B) {
	scan := maxillaStudy(b)
	for _, form := range []design.Form{design.PalatalStrap, design.APStrap, design.UShaped, design.PalatalPlate} {
		b.Run(string(form), func(b *testing.B) {
			p, _ := scan.design.Part("major")
			p.Form = form
			l, err := placement.Relay(scan.placed, p)
			if err != nil {
				b.Fatal(err)
			}
			p.Dimensions = map[string]float64{"width": 8.5}
			b.ResetTimer()
			for i := 0; i < b.N; i++ {
				if _, err := placement.Relay(l, p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
