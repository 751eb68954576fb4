package typodont_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/typodont"
)

func made(t testing.TB, s typodont.Spec) *cast.Cast {
	t.Helper()
	c, err := typodont.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var fullCasts = map[tooth.Arch]*cast.Cast{}

// full is the cast of an arch without its third molars, made once.
func full(t testing.TB, a tooth.Arch) *cast.Cast {
	t.Helper()
	if fullCasts[a] == nil {
		fullCasts[a] = made(t, typodont.Full(a))
	}
	return fullCasts[a]
}

// whole is an arch with all sixteen teeth.
func whole(a tooth.Arch) typodont.Spec {
	s := typodont.Full(a)
	for _, n := range tooth.All(a) {
		s.Teeth[n] = typodont.Tooth{}
	}
	return s
}

// charts are arches of many kinds: the usual ones, and patterns drawn by a fixed counter.
func charts() map[string]typodont.Spec {
	out := map[string]typodont.Spec{
		"lower without third molars": typodont.Full(tooth.Lower),
		"upper with all":             whole(tooth.Upper),
		"lower class I":              typodont.Full(tooth.Lower, 35, 36, 37, 45, 46, 47),
		"upper bounded":              typodont.Full(tooth.Upper, 15, 16, 24, 25, 26),
		"lower one tooth":            {Arch: tooth.Lower, Teeth: map[tooth.Number]typodont.Tooth{33: {}}},
		"upper front gap":            typodont.Full(tooth.Upper, 11, 21, 12, 22),
	}
	leaning := typodont.Full(tooth.Lower, 36, 46, 45)
	leaning.Teeth[37] = typodont.Tooth{MesialTiltDeg: 25, RotationDeg: 15}
	leaning.Teeth[47] = typodont.Tooth{MesialTiltDeg: 20, FacialTiltDeg: -15}
	leaning.Teeth[34] = typodont.Tooth{RotationDeg: -30}
	leaning.FloorDepth = map[tooth.Number]float64{34: 4, 44: 11}
	leaning.VestibuleDepth = map[tooth.Number]float64{34: 4}
	leaning.Frena = []tooth.Number{31, 34}
	leaning.TissueUndercuts = map[tooth.Number]typodont.TissueUndercut{34: {Depth: 1, BelowMargin: 3}}
	leaning.Tori = []typodont.Torus{{Teeth: []tooth.Number{33, 34}, Height: 4}}
	leaning.RidgeDrop = map[tooth.Number]float64{36: 5, 46: 1.5, 45: 1.5}
	out["lower leaning, tori, shallow"] = leaning
	mandibular := typodont.Full(tooth.Lower, 36, 37, 46, 47)
	mandibular.Tori = []typodont.Torus{{Teeth: []tooth.Number{33, 34}, Height: 2}, {Teeth: []tooth.Number{43, 44}, Height: 4}}
	mandibular.Frena = []tooth.Number{31, 44}
	mandibular.TissueUndercuts = map[tooth.Number]typodont.TissueUndercut{34: {Depth: 1, BelowMargin: 4}}
	out["lower tori"] = mandibular
	worn := typodont.Full(tooth.Lower, 36, 37, 46)
	for n, h := range map[tooth.Number]float64{35: 5, 45: 4.2, 47: 3.5, 43: 7, 31: 13} {
		worn.Teeth[n] = typodont.Tooth{CrownHeight: h}
	}
	out["lower short and long crowns"] = worn
	torus := typodont.Full(tooth.Upper, 16, 26)
	torus.Tori = []typodont.Torus{{Palatal: true, Teeth: []tooth.Number{15, 17}, Height: 4}}
	torus.VaultDepth = 18
	out["upper torus, high vault"] = torus
	seed := uint32(7)
	for i := range 5 {
		a := tooth.Lower
		if i%2 == 1 {
			a = tooth.Upper
		}
		s := typodont.Spec{Arch: a, Teeth: map[tooth.Number]typodont.Tooth{}, Edge: 0.9}
		for _, n := range tooth.All(a) {
			seed = seed*1664525 + 1013904223
			if seed>>28 < 9 {
				s.Teeth[n] = typodont.Tooth{MesialTiltDeg: float64(seed>>20&15) - 7, RotationDeg: float64(seed>>16&31) - 15}
			}
		}
		out[fmt.Sprintf("%v drawn %d", a, i)] = s
	}
	return out
}

func TestEveryChartGivesAWholeCast(t *testing.T) {
	for name, s := range charts() {
		t.Run(name, func(t *testing.T) {
			c := made(t, s)
			m := c.Mesh
			if e := mesh.EdgesOf(m); !e.Closed() {
				t.Errorf("%d open, %d shared and %d turned edges, expected a closed surface", e.Opens, e.Shareds, e.Turned)
			} else if _, sizes := e.Pieces(); len(sizes) != 1 {
				t.Errorf("%d pieces, expected one", len(sizes))
			}
			for i, v := range m.Vertices {
				if !v.IsFinite() {
					t.Fatalf("vertex %d is %v", i, v)
				}
			}
			if v := m.Volume(); v < 20000 || v > 200000 {
				t.Errorf("volume %.0f mm3, expected that of a plaster cast", v)
			}
			if n := len(m.Faces); s.Edge == 0 && (n < 30000 || n > 140000) {
				t.Errorf("%d triangles", n)
			}
			count := map[tooth.Number]int{}
			for _, l := range c.Labels {
				count[l]++
			}
			for _, n := range tooth.All(s.Arch) {
				_, stands := s.Teeth[n]
				if stands != (count[n] > 150) || stands != (c.Teeth[n] != nil) {
					t.Errorf("tooth %v: %d faces, tooth on the cast %v, in the chart %v", n, count[n], c.Teeth[n] != nil, stands)
				}
			}
			if len(c.Labels) != len(m.Faces) {
				t.Errorf("%d labels for %d faces", len(c.Labels), len(m.Faces))
			}
			marksLieOnTheSurface(t, c)
		})
	}
}

func marksLieOnTheSurface(t *testing.T, c *cast.Cast) {
	t.Helper()
	on := cast.NewSurface(c.Mesh)
	check := func(what string, pts ...geom.Vec) {
		t.Helper()
		for _, p := range pts {
			if q, _ := on.Nearest(p); q.Dist(p) > 1e-6 {
				t.Errorf("%s lies %.4f mm off the surface at %v", what, q.Dist(p), p)
				return
			}
		}
	}
	for _, n := range c.Standing() {
		k := c.Teeth[n]
		check(n.String()+" margin", k.Margin...)
		check(n.String()+" tips", k.CuspTips...)
		check(n.String()+" contacts", k.MesialContact, k.DistalContact)
		check(n.String()+" ridges", k.MesialRidge, k.DistalRidge)
		if n.Kind().Anterior() {
			check(n.String()+" cingulum", k.Cingulum)
			if k.MesialFossa != (geom.Vec{}) || k.Cingulum == (geom.Vec{}) {
				t.Errorf("%v: a front tooth has a cingulum and no fossae", n)
			}
		} else {
			check(n.String()+" fossae", k.MesialFossa, k.DistalFossa)
			for _, f := range []geom.Vec{k.MesialFossa, k.DistalFossa} {
				if top := max(k.MesialRidge.Z, k.DistalRidge.Z); f.Z > top+0.5 {
					t.Errorf("%v: a fossa lies %.1f mm above the marginal ridges", n, f.Z-top)
				}
			}
		}
		turn := 0.0
		for i, p := range k.Margin {
			turn += p.XY().Cross(k.Margin[(i+1)%len(k.Margin)].XY())
		}
		if turn <= 0 {
			t.Errorf("%v: the margin runs clockwise seen from above", n)
		}
		f := k.Frame
		if math.Abs(f.X.Dot(f.Y))+math.Abs(f.Y.Dot(f.Z))+math.Abs(f.Z.Dot(f.X)) > 1e-9 || math.Abs(f.Z.Norm()-1) > 1e-9 {
			t.Errorf("%v: its frame's axes are not square", n)
		}
		if f.LocalDir(k.MesialContact.Sub(k.DistalContact)).X <= 0 {
			t.Errorf("%v: X does not run mesially", n)
		}
	}
	m := c.Marks
	curves := map[string]cast.Curve{"arch": m.Arch, "vestibule": m.Vestibule, "right pad": m.PadRight, "left pad": m.PadLeft}
	if c.Arch == tooth.Lower {
		curves["floor"] = m.Floor
	} else {
		curves["midline"], curves["papilla"], curves["rugae"], curves["vibrating line"] = m.Midline, m.Papilla, m.Rugae, m.Vibrating
	}
	for _, r := range m.Ridges {
		curves["ridge of "+r.Teeth[0].String()] = r.Crest
	}
	for name, l := range curves {
		if len(l.Points) < 3 {
			t.Errorf("%s has %d points", name, len(l.Points))
		}
		check(name, l.Points...)
	}
	right := cast.RightSign(c.Arch)
	for name, l := range map[string]cast.Curve{"arch": m.Arch, "vestibule": m.Vestibule, "floor": m.Floor, "vibrating line": m.Vibrating} {
		if n := len(l.Points); n > 0 && right*(l.Points[0].X-l.Points[n-1].X) <= 0 {
			t.Errorf("%s does not run from the patient's right to left", name)
		}
	}
}

func TestSameBytesEveryTime(t *testing.T) {
	s := charts()["lower leaning, tori, shallow"]
	bytesOf := func() []byte {
		var b bytes.Buffer
		c := made(t, s)
		for _, v := range []any{c.Mesh.Vertices, c.Mesh.Faces, c.Labels, c.Marks.Floor.Points, c.Marks.Tori[0].Outline.Points} {
			if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
				t.Fatal(err)
			}
		}
		for _, n := range c.Standing() {
			fmt.Fprint(&b, *c.Teeth[n])
		}
		return b.Bytes()
	}
	if !bytes.Equal(bytesOf(), bytesOf()) {
		t.Error("the same chart gave two different casts")
	}
}

// crownSize is a crown measured on the cast: its extent mesially, facially and upward from
// the margin at mid-facial.
func crownSize(c *cast.Cast, n tooth.Number) (md, fl, height float64) {
	k := c.Teeth[n]
	x := geom.V(k.Frame.X.X, k.Frame.X.Y, 0).Unit()
	y := geom.V(k.Frame.Y.X, k.Frame.Y.Y, 0).Across(x).Unit()
	lo, hi := geom.V(1e9, 1e9, 0), geom.V(-1e9, -1e9, -1e9)
	for f, l := range c.Labels {
		if l != n {
			continue
		}
		for _, v := range c.Mesh.Faces[f] {
			p := c.Mesh.Vertices[v]
			lo.X, hi.X = min(lo.X, p.Dot(x)), max(hi.X, p.Dot(x))
			lo.Y, hi.Y = min(lo.Y, p.Dot(y)), max(hi.Y, p.Dot(y))
			hi.Z = max(hi.Z, p.Z)
		}
	}
	best, low := -1e9, 0.0
	for _, p := range k.Margin {
		if d := p.Dot(y); d > best {
			best, low = d, p.Z
		}
	}
	return hi.X - lo.X, hi.Y - lo.Y, hi.Z - low
}

// Nelson & Ash, Wheeler's Dental Anatomy, Physiology and Occlusion, table 1-1: crown
// height, mesiodistal and faciolingual diameter. The canine, premolar and molar rows are
// partly from memory.
var wheeler = map[tooth.Arch][8][3]float64{
	tooth.Upper: {{10.5, 8.5, 7}, {9, 6.5, 6}, {10, 7.5, 8}, {8.5, 7, 9}, {8.5, 7, 9}, {7.5, 10, 11}, {7, 9, 11}, {6.5, 8.5, 10}},
	tooth.Lower: {{9, 5, 6}, {9.5, 5.5, 6.5}, {11, 7, 7.5}, {8.5, 7, 7.5}, {8, 7, 8}, {7.5, 11, 10.5}, {7, 10.5, 10}, {7, 10, 9.5}},
}

func TestCrownsHaveTextbookSize(t *testing.T) {
	for _, a := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		c := made(t, whole(a))
		for _, n := range c.Standing() {
			md, fl, h := crownSize(c, n)
			want := wheeler[a][n.Place()-1]
			// Leaning by a few degrees adds to the extents; rounding off takes from them.
			if math.Abs(h-want[0]) > 0.3 || math.Abs(md-want[1]) > 0.35 || math.Abs(fl-want[2]) > 0.35 {
				t.Errorf("%v: height %.2f, width %.2f, depth %.2f; expected %v", n, h, md, fl, want)
			}
		}
	}
}

// Widths between crown middles (half way along their extent) and canine tips, mean and
// standard deviation on 13 upper and 10 lower scanned arches of published sets, measured
// by us. A made arch lies within one deviation.
// A crown stands as far out of the gum as it was measured in the mouth, and its top stays
// where its neighbours' are: crowns shorter than 4 mm take no arm (common practice), which a
// cast of average crowns would hide.
func TestCrownsStandAsHighAsCharted(t *testing.T) {
	plain := full(t, tooth.Lower)
	spec := whole(tooth.Lower)
	asked := map[tooth.Number]float64{45: 4.2, 35: 5, 47: 3.5, 33: 7.5, 31: 11}
	for n, h := range asked {
		spec.Teeth[n] = typodont.Tooth{CrownHeight: h}
	}
	c := made(t, spec)
	for n, h := range asked {
		_, _, got := crownSize(c, n)
		if math.Abs(got-h) > 0.35 {
			t.Errorf("%v stands %.2f mm out of the gum, charted %g", n, got, h)
		}
		if a, b := highest(plain, n), highest(c, n); math.Abs(a-b) > 0.3 {
			t.Errorf("the top of %v lies at %.2f, on an average crown at %.2f", n, b, a)
		}
	}
}

// highest is how high a crown reaches [mm].
func highest(c *cast.Cast, n tooth.Number) float64 {
	top := math.Inf(-1)
	for f, l := range c.Labels {
		if l == n {
			for _, v := range c.Mesh.Faces[f] {
				top = math.Max(top, c.Mesh.Vertices[v].Z)
			}
		}
	}
	return top
}

func TestArchHasUsualWidth(t *testing.T) {
	for _, k := range []struct {
		n        tooth.Number
		mean, sd float64
	}{
		{13, 33.5, 2.9}, {14, 36.1, 4.4}, {15, 40.5, 4.8}, {16, 43.9, 4.8}, {17, 49.2, 4.8},
		{43, 26.8, 2.2}, {44, 34.5, 2.3}, {45, 40.1, 2.8}, {46, 45.9, 3.9}, {47, 50.8, 4.1},
	} {
		c := full(t, k.n.Arch())
		across := func(n tooth.Number) float64 {
			if n.Kind() == tooth.Canine {
				return c.Teeth[n].CuspTips[1].X
			}
			box := geom.EmptyBox()
			for f, l := range c.Labels {
				if l == n {
					p, _, _ := c.Mesh.Corners(f)
					box = box.Add(p)
				}
			}
			return box.Centre().X
		}
		if w := math.Abs(across(k.n) - across(k.n.Opposite())); math.Abs(w-k.mean) > k.sd {
			t.Errorf("%v to %v: %.1f mm, expected %.1f +- %.1f", k.n, k.n.Opposite(), w, k.mean, k.sd)
		}
	}
}

// profile is a crown's outline in one direction round its middle, 0 facial and 90 mesial:
// heights above the margin there, and how far out.
func profile(c *cast.Cast, n tooth.Number, deg float64) (h, out []float64) {
	k := c.Teeth[n]
	var mid geom.Vec
	for _, p := range k.Margin {
		mid = mid.Add(p.Scale(1 / float64(len(k.Margin))))
	}
	x := geom.V(k.Frame.X.X, k.Frame.X.Y, 0).Unit()
	y := geom.V(k.Frame.Y.X, k.Frame.Y.Y, 0).Across(x).Unit()
	d := y.Scale(math.Cos(geom.Deg(deg))).Add(x.Scale(math.Sin(geom.Deg(deg))))
	side := d.Cross(geom.V(0, 0, 1))
	low := math.Inf(1)
	for f, l := range c.Labels {
		if l != n {
			continue
		}
		for i, v := range c.Mesh.Faces[f] {
			p, q := c.Mesh.Vertices[v].Sub(mid), c.Mesh.Vertices[c.Mesh.Faces[f][(i+1)%3]].Sub(mid)
			if s, e := p.Dot(side), q.Dot(side); s*e < 0 {
				if w := p.Lerp(q, s/(s-e)); w.Dot(d) > 0 {
					h, out = append(h, w.Z), append(out, w.Dot(d))
					low = min(low, w.Z)
				}
			}
		}
	}
	for i := range h {
		h[i] -= low
	}
	return h, out
}

// undercut reads a profile as a gauge would on the upright cast: the greatest bulge and
// its height, the undercut at the margin, and the height down to which it is at most the
// given amount.
func undercut(h, out []float64, want float64) (contour, atMargin, reach float64) {
	far := slices.Max(out)
	for i := range h {
		if out[i] == far {
			contour = h[i]
		}
	}
	reach = contour
	for i := range h {
		if h[i] <= contour {
			atMargin = max(atMargin, far-out[i])
			if far-out[i] <= want {
				reach = min(reach, h[i])
			}
		}
	}
	return contour, atMargin, reach
}

// Facially the height of contour lies in the cervical third, on lower molars where the
// cervical third meets the middle; lingually on back teeth in the middle third (Nelson &
// Ash). Undercuts at the margin stay within the ninetieth percentile or so of scanned
// arches (upper canine 0.77, upper first premolar 0.71, lower first premolar 0.76, lower
// second molar lingually 0.89), and a bar clasp's foot finds 0.25 mm between 1.5 and
// 2.5 mm above the margin of lower canines and premolars (common practice).
func TestUndercutsAreUsable(t *testing.T) {
	lower, upper := full(t, tooth.Lower), full(t, tooth.Upper)
	for _, k := range []struct {
		c                  *cast.Cast
		n                  tooth.Number
		deg                float64
		contourLo, contour float64 // share of the crown's height
		least, most        float64 // at the margin
	}{
		{lower, 33, 0, 0.2, 0.36, 0.3, 0.7}, {lower, 34, 0, 0.2, 0.40, 0.3, 0.76}, {lower, 35, 0, 0.2, 0.42, 0.3, 0.7},
		{lower, 36, 0, 0.2, 0.40, 0.1, 0.5}, {lower, 37, 0, 0.2, 0.40, 0.1, 0.5},
		{lower, 34, 180, 0.33, 0.67, 0.1, 0.5}, {lower, 35, 180, 0.33, 0.85, 0.1, 0.6},
		{lower, 36, 180, 0.33, 0.67, 0.16, 0.7}, {lower, 37, 180, 0.33, 0.67, 0.3, 0.89},
		{upper, 13, 0, 0.2, 0.42, 0.3, 0.77}, {upper, 14, 0, 0.2, 0.40, 0.2, 0.71}, {upper, 15, 0, 0.2, 0.40, 0.2, 0.7},
		{upper, 16, 0, 0.2, 0.42, 0.2, 0.7}, {upper, 14, 180, 0.33, 0.67, 0.1, 0.4}, {upper, 16, 180, 0.33, 0.67, 0.1, 0.5},
	} {
		h, out := profile(k.c, k.n, k.deg)
		contour, at, _ := undercut(h, out, 0.25)
		share := contour / slices.Max(h)
		if share < k.contourLo || share > k.contour || at < k.least || at > k.most {
			t.Errorf("%v at %g deg: contour at %.2f of the height, undercut %.2f at the margin; expected %g-%g and %g-%g",
				k.n, k.deg, share, at, k.contourLo, k.contour, k.least, k.most)
		}
	}
	for _, n := range []tooth.Number{33, 34, 35, 43, 44, 45} {
		for _, deg := range []float64{0, 35, -35} {
			h, out := profile(lower, n, deg)
			if _, at, reach := undercut(h, out, 0.25); at < 0.25 || reach < 1.2 || reach > 2.6 {
				t.Errorf("%v at %g deg: 0.25 mm is reached %.2f mm above the margin (%.2f there)", n, deg, reach, at)
			}
		}
	}
}

// A floor and a fold of one depth all along are read back from the cast as they were made,
// straight down from the margin as a probe is held.
func TestEvenDepthComesBack(t *testing.T) {
	for _, want := range []float64{5, 6, 8, 9} {
		s := typodont.Full(tooth.Lower, 36, 37, 46, 47)
		s.FloorDepth, s.VestibuleDepth = map[tooth.Number]float64{}, map[tooth.Number]float64{}
		for _, n := range tooth.All(tooth.Lower) {
			s.FloorDepth[n], s.VestibuleDepth[n] = want, want
		}
		c := made(t, s)
		for n := range c.Teeth {
			if got, ok := c.FloorDepth(n); !ok || math.Abs(got-want) > 0.1 {
				t.Errorf("floor at %v: made %g deep, reads %.2f", n, want, got)
			}
			if got, ok := c.VestibuleDepth(n); !ok || math.Abs(got-want) > 0.1 {
				t.Errorf("vestibule at %v: made %g deep, reads %.2f", n, want, got)
			}
		}
	}
}

// So are depths that change from tooth to tooth.
func TestDepthsComeBack(t *testing.T) {
	s := typodont.Full(tooth.Lower, 36, 37, 46, 47)
	s.FloorDepth = map[tooth.Number]float64{35: 8, 34: 9, 33: 8.5, 32: 7, 43: 6, 44: 7.5, 45: 10}
	s.VestibuleDepth = map[tooth.Number]float64{34: 8, 44: 6, 33: 9}
	c := made(t, s)
	for n, want := range s.FloorDepth {
		if got, ok := c.FloorDepth(n); !ok || math.Abs(got-want) > 0.2 {
			t.Errorf("floor at %v: %.2f mm below the margin, asked for %g", n, got, want)
		}
	}
	for n, want := range s.VestibuleDepth {
		if got, ok := c.VestibuleDepth(n); !ok || math.Abs(got-want) > 0.3 {
			t.Errorf("fold at %v: %.2f mm below the margin, asked for %g", n, got, want)
		}
	}
}

// The palate lies 13.2 mm below the palatal margins at the first molars, as measured on
// one scanned cast, unless the vault was measured.
func TestVault(t *testing.T) {
	for _, want := range []float64{0, 9, 17} {
		s := typodont.Full(tooth.Upper)
		s.VaultDepth, s.Edge = want, 0.9
		if want == 0 {
			want = 13.2
		}
		c := made(t, s)
		k := c.Teeth[16]
		best, at := math.Inf(1), geom.Vec{}
		for _, p := range k.Margin {
			if d := k.Frame.Local(p).Y; d < best {
				best, at = d, p
			}
		}
		top, _, ok := cast.NewSurface(c.Mesh).Top(0.6, at.Y)
		if !ok || math.Abs(at.Z-top.Z-want) > 0.6 {
			t.Errorf("the palate lies %.1f mm below the margin at 16, expected %.1f", at.Z-top.Z, want)
		}
	}
}

// Standing neighbours touch and do not run into each other.
func TestNeighboursTouch(t *testing.T) {
	for _, a := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		c := full(t, a)
		on := cast.NewSurface(c.Mesh)
		st := c.Standing()
		for i := 1; i < len(st); i++ {
			l, r := st[i-1], st[i]
			near := math.Inf(1)
			for f, lab := range c.Labels {
				if lab != l {
					continue
				}
				p, _, _ := c.Mesh.Corners(f)
				if p.Dist(c.Teeth[r].Frame.Origin) > 12 || min(p.Dist(c.Teeth[l].MesialContact), p.Dist(c.Teeth[l].DistalContact)) > 1.2 {
					continue
				}
				q, _ := on.NearestOf(p, func(g int) bool { return c.Labels[g] == r })
				near = min(near, q.Dist(p))
			}
			if near > 0.25 || near < 0.01 {
				t.Errorf("%v and %v come within %.3f mm, expected a contact", l, r, near)
			}
		}
	}
}

func TestRefusesWhatNoMouthHas(t *testing.T) {
	for _, k := range []struct {
		want string
		spec typodont.Spec
	}{
		{"neither upper nor lower", typodont.Spec{}},
		{"tooth at 11", typodont.Spec{Arch: tooth.Lower, Teeth: map[tooth.Number]typodont.Tooth{11: {}}}},
		{"floor depth", typodont.Spec{Arch: tooth.Lower, FloorDepth: map[tooth.Number]float64{34: math.NaN()}}},
		{"mesial tilt", typodont.Spec{Arch: tooth.Lower, Teeth: map[tooth.Number]typodont.Tooth{34: {MesialTiltDeg: 80}}}},
		{"torus", typodont.Spec{Arch: tooth.Lower, Tori: []typodont.Torus{{Palatal: true, Teeth: []tooth.Number{36}}}}},
		{"edge length", typodont.Spec{Arch: tooth.Lower, Edge: 9}},
		{"both stands", typodont.Spec{Arch: tooth.Lower, Teeth: map[tooth.Number]typodont.Tooth{34: {}}, Stretches: [][]tooth.Number{{34}}}},
	} {
		if _, err := typodont.Make(k.spec); err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("got %v, expected an error that speaks of %q", err, k.want)
		}
	}
}

func BenchmarkMake(b *testing.B) {
	for b.Loop() {
		if _, err := typodont.Make(typodont.Full(tooth.Lower)); err != nil {
			b.Fatal(err)
		}
	}
}

// A vestibule or floor as deep as a chart may say gives a closed cast in both arches: the
// straight heel must not turn back under itself.
func TestDeepFoldsGiveACast(t *testing.T) {
	for _, depth := range []float64{10, 12, 18} {
		for _, a := range []tooth.Arch{tooth.Lower, tooth.Upper} {
			s := typodont.Full(a)
			s.VestibuleDepth = map[tooth.Number]float64{}
			for _, n := range tooth.All(a) {
				s.VestibuleDepth[n] = depth
			}
			c, err := typodont.Make(s)
			if err != nil {
				t.Errorf("%s, %g mm deep all round: %v", a, depth, err)
				continue
			}
			if r := mesh.Inspect(c.Mesh); !r.Closed {
				t.Errorf("%s, %g mm deep all round: %d open edges", a, depth, r.OpenEdges)
			}
		}
	}
}
