package design

import (
	"sort"

	"halfpear/tooth"
)

// Listed is the parts in the order drawings and part lists number them: tooth by tooth
// round the arch what stands on the abutments, then what joins them, then what replaces
// teeth.
func (d Design) Listed() []Part {
	rank := map[Kind]int{}
	for i, k := range Kinds {
		rank[k] = i
	}
	key := func(p Part) (group, place, kind int) {
		place = 99
		for _, list := range [][]tooth.Number{{p.Tooth}, p.At, p.Teeth} {
			if len(list) > 0 && list[0] != 0 {
				place = list[0].Index()
				break
			}
		}
		kind = rank[p.Kind]
		switch p.Kind {
		case Rest, Retainer, Reciprocation, GuidePlate:
			return 0, place, kind
		}
		return 1 + kind, place, kind
	}
	out := append([]Part(nil), d.Parts...)
	sort.SliceStable(out, func(i, j int) bool {
		a1, a2, a3 := key(out[i])
		b1, b2, b3 := key(out[j])
		if a1 != b1 {
			return a1 < b1
		}
		if a2 != b2 {
			return a2 < b2
		}
		return a3 < b3
	})
	return out
}
