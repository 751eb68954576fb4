package proposal

import (
	"halfpear/arch"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// bonded is how much farther forward a lower canine's bonded seat must stand to be worth
// it over a seat in a premolar's fossa [mm] (ours).
const bonded = 1.5

// indirect places the rests that keep an extension base from lifting: as far in front of
// the fulcrum line as a premolar or canine stands.
func (b *builder) indirect() {
	s := b.s
	switch {
	case s.class.Class == arch.I, s.class.Class == arch.II:
	case s.class.Class == arch.IV && len(s.class.Areas[0].Teeth) >= int(s.book.Limit("ind.classIVAxisTeeth")):
		b.behind()
		return
	default:
		return
	}
	lever := rulebook.LeverOf(s.book, s.in.Chart, s.class, b.d)
	if !lever.Known {
		b.thirdRests()
		lever = rulebook.LeverOf(s.book, s.in.Chart, s.class, b.d)
		if !lever.Known {
			return
		}
	}
	base := lever.Base()
	if base <= 0 {
		return
	}
	good := s.book.Limit("ind.ratioGood")
	served := map[bool]float64{}
	for _, r := range b.d.Of(design.Rest) {
		if d := lever.Beyond(r); d > served[r.Tooth.Right()] {
			served[r.Tooth.Right()] = d
		}
	}
	sides := []bool{true, false}
	defer b.anyIndirect(lever)
	if s.class.Class == arch.II {
		far := max(served[true], served[false])
		if far >= good*base {
			return // rests of the other side serve already
		}
		best, ok := b.bestIndirect(lever, nil, base)
		if !ok || lever.Beyond(best) <= far {
			if far < s.book.Limit("ind.ratioWarn")*base {
				b.incisors(lever, far)
			}
			return
		}
		b.addIndirect(best, lever, base)
		return
	}
	for _, right := range sides {
		if served[right] >= good*base {
			continue
		}
		side := right
		best, ok := b.bestIndirect(lever, &side, base)
		if !ok || lever.Beyond(best) <= served[right] {
			continue
		}
		b.addIndirect(best, lever, base)
	}
	far := 0.0
	for _, r := range b.d.Of(design.Rest) {
		far = max(far, lever.Beyond(r))
	}
	if far < s.book.Limit("ind.ratioWarn")*base {
		b.incisors(lever, far)
	}
}

// incisors share the load of an indirect retainer where no premolar or canine stands far
// enough in front: never one of them alone, and only where they stand
// farther in front than what is there [mm].
func (b *builder) incisors(lever rulebook.Lever, far float64) {
	if b.plan.low || len(b.plan.avoid) > 0 {
		return
	}
	a := b.s.in.Chart.Arch
	for _, place := range []int{1, 2} {
		pair := []tooth.Number{at(a, true, place), at(a, false, place)}
		if place == 2 {
			// Laterals with their centrals, on whichever side both stand.
			for _, right := range []bool{true, false} {
				if x, y := at(a, right, 2), at(a, right, 1); b.firm(x) && b.firm(y) {
					pair = []tooth.Number{x, y}
				}
			}
		}
		if !b.firm(pair[0]) || !b.firm(pair[1]) || len(b.d.On(design.Rest, pair[0])) > 0 || len(b.d.On(design.Rest, pair[1])) > 0 {
			continue
		}
		for _, n := range pair {
			p := design.Part{ID: id("rest", n, string(tooth.Lingual)), Kind: design.Rest, Tooth: n, Form: design.RestCingulum, Site: tooth.Lingual, Role: design.Indirect}
			d := lever.Beyond(p)
			if d <= far+1 {
				return
			}
			r := b.why("IND-13", words.Tell("No canine or premolar stands far enough in front of the fulcrum line; two incisors together do, %v mm in front of it.", words.Figure{Value: d}), "mccracken-lectures")
			r.Rejected = []Rejection{{words.Tell("one incisor"), words.Tell("a single incisor gives way")}}
			b.add(p, r)
		}
		// The rests that stand too near no longer serve alone.
		for i, r := range b.reasons {
			if p, ok := b.d.Part(r.Part); ok && r.Rule == "IND-13" && p.Role == design.Indirect && !p.Tooth.Kind().Incisor() {
				b.reasons[i].Because = words.Tell("It stands only %v mm in front of the fulcrum line, too near to it to serve alone; it shares the load with the incisors farther in front.", words.Figure{Value: lever.Beyond(p)})
			}
		}
		return
	}
}

// anyIndirect takes the foremost tooth that can carry a rest where nothing better stands in
// front of the line: a single incisor or a loose tooth is a caution, no indirect retainer
// at all a stop.
func (b *builder) anyIndirect(lever rulebook.Lever) {
	if len(b.plan.avoid) > 0 {
		return
	}
	for _, r := range b.d.Of(design.Rest) {
		if lever.Beyond(r) > rulebook.OnAxis {
			return
		}
	}
	var best design.Part
	far := rulebook.OnAxis
	for _, n := range tooth.All(b.s.in.Chart.Arch) {
		if !b.s.fit(n) || len(b.d.On(design.Rest, n)) > 0 {
			continue
		}
		form, site := b.restForm(n, tooth.Mesial)
		p := design.Part{ID: id("rest", n, string(site)), Kind: design.Rest, Tooth: n, Form: form, Site: site, Role: design.Indirect}
		if d := lever.Beyond(p); d > far {
			best, far = p, d
		}
	}
	if best.ID != "" {
		r := b.why("IND-11", words.Tell("It is the only tooth in front of the fulcrum line, by %v; a poor indirect retainer is better than none.", words.Length(far)), "oklahoma-items")
		b.add(best, r)
	}
}

// firm tells a fit tooth that is neither loose nor likely to be lost.
func (b *builder) firm(n tooth.Number) bool {
	m := b.s.in.Chart.Teeth[n].Mobility
	return b.s.fit(n) && (m == nil || *m < 2) && !rulebook.Doubtful(b.s.book, b.s.in.Chart, n)
}

// bestIndirect is the rest that stands farthest beyond the line: in a premolar's mesial
// fossa or on a canine. A lower canine's incisal rest is taken only where nothing else
// comes far enough.
func (b *builder) bestIndirect(lever rulebook.Lever, right *bool, base float64) (design.Part, bool) {
	var best design.Part
	bestScore, found := 0.0, false
	warn := b.s.book.Limit("ind.ratioWarn") * base
	for pass := 0; pass < 2; pass++ {
		for _, n := range tooth.All(b.s.in.Chart.Arch) {
			if right != nil && n.Right() != *right || b.plan.avoid[n] || !b.s.fit(n) || !(n.Kind().Premolar() || n.Kind() == tooth.Canine) {
				continue
			}
			if !b.firm(n) {
				continue
			}
			form, site := b.restForm(n, tooth.Mesial)
			penalty := 0.0
			if n.Kind() == tooth.Canine && n.Arch() == tooth.Lower {
				penalty = bonded
			}
			if pass == 1 {
				if n.Kind() != tooth.Canine || n.Arch() != tooth.Lower || b.plan.low {
					continue
				}
				form, site, penalty = design.RestIncisal, tooth.Mesial, 0
			}
			p := design.Part{ID: id("rest", n, string(site)), Kind: design.Rest, Tooth: n, Form: form, Site: site, Role: design.Indirect}
			if len(b.d.On(design.Rest, n)) > 0 {
				continue // a second rest on the same tooth adds nothing
			}
			d := lever.Beyond(p)
			if d <= 1 {
				continue
			}
			if score := d - penalty; !found || score > bestScore {
				best, bestScore, found = p, score, true
			}
		}
		if found && lever.Beyond(best) >= warn {
			break
		}
	}
	return best, found
}

func (b *builder) addIndirect(p design.Part, lever rulebook.Lever, base float64) {
	d := lever.Beyond(p)
	because := words.Tell("It stands %v mm in front of the fulcrum line, %v %% of the base's distance behind it, so that the clasps act when the base lifts.", words.Figure{Value: d}, words.Figure{Value: 100 * d / base})
	r := b.why("IND-13", because, "mccracken-lectures", "owall-2002")
	switch {
	case p.Form == design.RestIncisal:
		r.Because = words.Join(" ", r.Because, words.Tell("An incisal rest is taken because a cingulum rest would stand too near to the line."))
		r.Rejected = []Rejection{{words.Tell("cingulum rest"), words.Tell("too near to the fulcrum line")}, {words.Tell("distal incisal angle"), words.Tell("it shows least, but lies nearer to the line")}}
	case p.Form == design.RestCingulum && p.Tooth.Arch() == tooth.Lower:
		r.Because = words.Join(" ", r.Because, words.Tell("The seat is bonded to the cingulum."))
		r.Rejected = []Rejection{{words.Tell("incisal"), words.Tell("it shows and meets the opponent")}}
	default:
		r.Rejected = []Rejection{{words.Tell("a rest on an incisor"), words.Tell("a single incisor gives way")}}
	}
	b.add(p, r)
}

// behind gives a long front space the rests at the back that keep it from turning.
func (b *builder) behind() {
	for _, right := range []bool{true, false} {
		ends := b.s.class.Areas[0].Teeth
		rested := false
		for _, r := range b.d.Of(design.Rest) {
			rested = rested || r.Tooth.Right() == right && r.Tooth.Place() >= 5 && r.Tooth.Mesial() != ends[0] && r.Tooth.Mesial() != ends[len(ends)-1]
		}
		if rested {
			continue
		}
		for _, place := range []int{7, 6, 8, 5} {
			n := at(b.s.in.Chart.Arch, right, place)
			if !b.s.fit(n) {
				continue
			}
			site := tooth.Distal
			b.rest(n, design.RestOcclusal, site, design.Indirect,
				b.why("IND-15", words.Tell("A rest far behind the space keeps the long front base from turning about the teeth beside it."), "mccracken-lectures"))
			break
		}
	}
}

// thirdRests brings the number of rests to the least that is asked, each as far from the
// others as a fit tooth stands.
func (b *builder) thirdRests() {
	want := int(b.s.book.Limit("sup.minRests"))
	for len(b.d.Of(design.Rest)) < want {
		var best tooth.Number
		bestDist := -9
		for _, n := range tooth.All(b.s.in.Chart.Arch) {
			if !b.s.fit(n) || len(b.d.On(design.Rest, n)) > 0 {
				continue
			}
			near := 99
			for _, r := range b.d.Of(design.Rest) {
				near = min(near, abs(n.Index()-r.Tooth.Index()))
			}
			if n.Kind().Incisor() {
				near -= 3
			}
			if near > bestDist {
				best, bestDist = n, near
			}
		}
		if best == 0 {
			return
		}
		form, site := b.restForm(best, tooth.Mesial)
		b.rest(best, form, site, design.Auxiliary, b.why("SUP-05", words.Tell("Three rests spread out make a plane that does not rock."), "exam-keys", "ankara-etextbook"))
	}
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}
