package proposal

import (
	"slices"

	"halfpear/arch"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// post is one tooth that carries parts, and why.
type post struct {
	tooth    tooth.Number
	beside   string        // extension, bounded or none
	side     tooth.Surface // where the space lies
	spaces   []tooth.Surface
	decision rulebook.Decision
	options  []option // feasible choices, best first
	rejected []Rejection
	assumed  []words.Text
	partner  tooth.Number // other tooth of an embrasure clasp
	skipped  tooth.Number // the unfit tooth it stands in for
}

// option is a choice that can be carried out on a tooth.
type option struct {
	rulebook.Choice
	rank  int  // place in the school's list
	spare bool // not in the list: taken only where the list is used up
	site  tooth.Site
	mm    float64
	seen  bool // the undercut is known to be there
}

// findPosts lists the abutments of the case: the teeth beside the spaces, and where a side
// has no space the teeth that hold it there.
func (s *search) findPosts() []*post {
	c := s.in.Chart
	var out []*post
	find := func(n tooth.Number) *post {
		for _, p := range out {
			if p.tooth == n {
				return p
			}
		}
		return nil
	}
	add := func(n, skipped tooth.Number) {
		if n == 0 || find(n) != nil {
			return
		}
		kind, side := rulebook.Beside(s.class, c, n)
		p := &post{tooth: n, beside: kind, side: side, skipped: skipped}
		for _, x := range []struct {
			n    tooth.Number
			side tooth.Surface
		}{{n.Mesial(), tooth.Mesial}, {n.Distal(), tooth.Distal}} {
			if x.n == 0 {
				continue
			}
			if _, ok := s.class.Tooth(x.n); ok {
				p.spaces = append(p.spaces, x.side)
			}
		}
		out = append(out, p)
	}
	for _, a := range s.class.Areas {
		for end, step := range []int{-1, 1} {
			n, skipped := s.support(a, end, step)
			add(n, skipped)
		}
	}
	// Each side needs something that holds it; Class IV needs it far back.
	for _, right := range []bool{true, false} {
		back := false
		for _, p := range out {
			back = back || p.tooth.Right() == right && (p.tooth.Place() >= 4 || p.beside == "extension" && !p.tooth.Kind().Incisor())
		}
		if s.class.Class == arch.IV {
			for _, n := range s.classIVBack(right) {
				add(n, 0)
			}
			continue
		}
		if !back || !s.stands(!right) {
			// Where the other side has no tooth, all hold has to come from this one: from
			// its rear end too, as far from the base as can be.
			add(s.dentate(right), 0)
		}
	}
	// An incisor beside an extension base carries a rest only: the next premolar behind it
	// holds in its place, whose arm comes over the marginal ridge; between front teeth that
	// touch no arm gets through, so that a canine is taken only where it has no premolar.
	for _, p := range slices.Clone(out) {
		if p.beside != "extension" || !p.tooth.Kind().Incisor() {
			continue
		}
		var behind tooth.Number
		for n := p.tooth.Distal(); n != 0 && !n.Kind().Molar(); n = n.Distal() {
			if s.holds(n) && !n.Kind().Incisor() && (behind == 0 || behind.Kind().Anterior() && find(n) == nil) {
				behind = n
			}
		}
		if behind != 0 {
			add(behind, 0)
		}
	}
	for _, p := range out {
		if p.beside == "none" {
			p.partner = rulebook.EmbrasurePartner(s.book, c, p.tooth)
			if p.partner != 0 && find(p.partner) != nil {
				p.partner = 0
			}
		}
	}
	s.sortPosts(out)
	for _, p := range out {
		s.decide(p)
	}
	return out
}

// stands tells whether a side has a tooth at all.
func (s *search) stands(right bool) bool {
	return slices.ContainsFunc(tooth.All(s.in.Chart.Arch), func(n tooth.Number) bool { return n.Right() == right && s.in.Chart.Stands(n) })
}

func (s *search) sortPosts(list []*post) {
	for i := range list {
		for j := i; j > 0 && list[j].tooth.Index() < list[j-1].tooth.Index(); j-- {
			list[j], list[j-1] = list[j-1], list[j]
		}
	}
}

// support is the nearest fit tooth at an end of an area; where an unfit one stands
// between, it is passed over and named.
func (s *search) support(a arch.Area, end, step int) (n, skipped tooth.Number) {
	from := a.Teeth[0]
	if end == 1 {
		from = a.Teeth[len(a.Teeth)-1]
	}
	all := tooth.All(s.in.Chart.Arch)
	for i := from.Index() + step; i >= 0 && i < len(all); i += step {
		t := all[i]
		if _, missing := s.class.Tooth(t); missing {
			return 0, skipped // the next space begins; its own end carries
		}
		if s.fit(t) {
			return t, skipped
		}
		if s.in.Chart.Stands(t) && skipped == 0 {
			skipped = t
		}
	}
	return 0, skipped
}

// dentate is the tooth that holds a side without a space: the rear one of two molars that
// touch, else of second premolar and first molar, else the last fit tooth.
func (s *search) dentate(right bool) tooth.Number {
	var last tooth.Number
	for _, place := range []int{7, 6, 5, 4, 3} {
		n := at(s.in.Chart.Arch, right, place)
		if !s.holds(n) {
			continue
		}
		if last == 0 {
			last = n
		}
		if place >= 6 && rulebook.EmbrasurePartner(s.book, s.in.Chart, n) != 0 {
			return n
		}
	}
	if last == 0 {
		if n := at(s.in.Chart.Arch, right, 8); s.holds(n) {
			last = n
		}
	}
	return last
}

// classIVBack are the teeth that hold a Class IV denture on one side: the last molar, and
// where the school asks for it a premolar.
func (s *search) classIVBack(right bool) []tooth.Number {
	var out []tooth.Number
	for _, place := range []int{7, 6, 8, 5, 4} {
		if n := at(s.in.Chart.Arch, right, place); s.holds(n) {
			out = append(out, n)
			break
		}
	}
	base := s.book.Base
	if base == "combination-first" || base == "gingival-approach" {
		for _, place := range []int{4, 5} {
			if n := at(s.in.Chart.Arch, right, place); s.holds(n) && (len(out) == 0 || out[0] != n) {
				out = append(out, n)
				break
			}
		}
	}
	return out
}

func at(a tooth.Arch, right bool, place int) tooth.Number {
	for _, n := range tooth.All(a) {
		if n.Right() == right && n.Place() == place {
			return n
		}
	}
	return 0
}
