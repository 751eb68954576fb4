package survey

import (
	"math"
	"slices"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
)

const (
	sharpFold = 35.0 // from this angle between neighbours on an edge of the surface is a real edge [deg]
	longEdge  = 10   // an edge longer than this, and than longEdgeShare times the height of the
	// faces on it, keeps both its ends in the line [pixels]
	longEdgeShare = 3
	speck         = 10 // a shorter line is a speck [usual pixels]
	fewFolds      = 8  // a line of fewer folds is one too where it is
	speckFew      = 50 // shorter than this [usual pixels]
	coveredBy     = 5  // surface this much above an edge and the face on it hides it [pixels; of a line usual ones]
)

// fold is an edge of the mesh on the survey line, walked with the seen surface on the left.
type fold struct {
	face   int32
	corner int8
	a, b   int32
}

// lines joins the edges where the seen part of the surface ends. The rim of an open
// surface is no height of contour and is left out.
func (w *view) lines() []Line {
	folds := w.folds
	// Of each vertex the first fold that begins, or ends, there, and of each fold the next
	// that does; counted from 1.
	begin, end := make([]int32, len(w.v)), make([]int32, len(w.v))
	links := make([]struct{ begins, ends int32 }, len(folds))
	for i := len(folds) - 1; i >= 0; i-- {
		f, l := folds[i], &links[i]
		l.begins, begin[f.a] = begin[f.a], int32(i+1)
		l.ends, end[f.b] = end[f.b], int32(i+1)
	}
	used := make([]bool, len(folds))
	var out []Line
	next := func(v int32) int32 {
		for j := begin[v]; j > 0; j = links[j-1].begins {
			if !used[j-1] {
				return j - 1
			}
		}
		return -1
	}
	back := func(v int32) int32 {
		for j := end[v]; j > 0; j = links[j-1].ends {
			if !used[j-1] {
				return j - 1
			}
		}
		return -1
	}
	walk := func(i int32) {
		var chain []fold
		start, first := folds[i].a, i
		closed := false
		for i >= 0 {
			used[i] = true
			chain = append(chain, folds[i])
			at := folds[i].b
			if at == start {
				closed = true
				break
			}
			i = next(at)
		}
		if !closed { // where lines meet, the walk may have begun in the middle of one
			var before []fold
			for i := back(folds[first].a); i >= 0; i = back(folds[i].a) {
				used[i] = true
				before = append(before, folds[i])
			}
			slices.Reverse(before)
			chain = append(before, chain...)
			closed = chain[0].a == chain[len(chain)-1].b
		}
		if l, ok := w.line(chain, closed); ok {
			out = append(out, l)
		}
	}
	for i, f := range folds { // lines that begin somewhere, before those that close
		if !used[i] && end[f.a] == 0 {
			walk(int32(i))
		}
	}
	for i := range folds {
		if !used[i] {
			walk(int32(i))
		}
	}
	return out
}

// foldOf takes a face's edge into the survey line, unless another part of the surface
// hides it. Its neighbourhood may hide it by as much as its own faces rise: seen edgeways
// they fold over each other.
func (w *view) foldOf(out []fold, t int32, k int, outMid float32) []fold {
	f := w.m.Faces[t]
	a, b, c := f[k], f[(k+1)%3], f[(k+2)%3]
	if w.adj.Across[t][k] < 0 {
		return out
	}
	p, q, r := w.v[a], w.v[b], w.v[c]
	top := max(p.z, q.z, r.z)
	limit := top + coveredBy*float32(max(w.px, w.usual)) + top - min(p.z, q.z, r.z)
	if outMid > limit {
		return out
	}
	ex, ey := q.x-p.x, q.y-p.y
	l := max(float32(math.Sqrt(float64(ex*ex+ey*ey))), 1e-6)
	nx, ny := -ey/l*w.beside, ex/l*w.beside
	if nx*(r.x-p.x)+ny*(r.y-p.y) < 0 {
		nx, ny = -nx, -ny
	}
	if w.above((p.x+q.x)/2+nx, (p.y+q.y)/2+ny, limit) {
		return out
	}
	if w.side[t] < 0 {
		a, b = b, a
	}
	return append(out, fold{t, int8(k), a, b})
}

// line lays a smooth line through a chain of folds. On a rounded surface the chain zigzags
// along the mesh's edges; the line goes through the places between neighbouring faces
// where their leans to either side of the path balance. On a real edge it keeps the edge.
func (w *view) line(chain []fold, closed bool) (Line, bool) {
	l := Line{Closed: closed}
	var fixed []bool
	put := func(p geom.Vec, f fold, fix bool) {
		if n := len(l.Points); n > 0 && l.Points[n-1].Dist(p) < 1e-9 {
			return
		}
		l.Points = append(l.Points, p)
		l.faces = append(l.faces, f.face)
		fixed = append(fixed, fix)
	}
	sharpBefore := false
	for i, f := range chain {
		a, b := w.m.Vertices[f.a], w.m.Vertices[f.b]
		g := w.adj.Across[f.face][f.corner]
		na, nb := w.normal(f.face), w.normal(g)
		if w.side[f.face] < 0 {
			na, nb = na.Neg(), nb.Neg()
		}
		la, lb := na.Dot(w.frame.Z), nb.Dot(w.frame.Z)
		if lb = math.Min(lb, 0); geom.InDeg(na.AngleTo(nb)) >= sharpFold || la <= 0 {
			put(a, f, true)
			sharpBefore = true
			if i == len(chain)-1 && !closed {
				put(b, f, true)
			}
			continue
		}
		if sharpBefore {
			put(a, f, true)
			sharpBefore = false
		}
		t := la / (la - lb)
		c := w.centroid(f.face).Lerp(w.centroid(g), t)
		mid, along := a.Lerp(b, 0.5), b.Sub(a)
		if long := along.Norm(); long > longEdge*w.px && long*long > 2*longEdgeShare*math.Max(w.area(f.face), w.area(g)) {
			off := c.Sub(mid).Across(along.Unit())
			put(a.Add(off), f, true)
			put(b.Add(off), f, true)
			continue
		}
		put(c, f, false)
	}
	n := len(l.Points)
	if n < 2 || closed && n < 3 {
		return l, false
	}
	w.loosen(l, fixed)
	// Smoothing forth and back by turns takes out the zigzag and leaves the girth (Taubin,
	// "A signal processing approach to fair surface design", SIGGRAPH 1995).
	old := make([]geom.Vec, n)
	for pass := 0; pass < 12; pass++ {
		share := 0.5
		if pass%2 == 1 {
			share = -0.52
		}
		copy(old, l.Points)
		for i := range l.Points {
			if fixed[i] || !closed && (i == 0 || i == n-1) {
				continue
			}
			mean := old[(i+n-1)%n].Lerp(old[(i+1)%n], 0.5)
			l.Points[i] = old[i].Lerp(mean, share)
		}
	}
	long := geom.Length(l.Points)
	if closed {
		long += l.Points[n-1].Dist(l.Points[0])
	}
	return l, long >= speck*w.usual && (len(chain) >= fewFolds || long >= speckFew*w.usual)
}

// loosen frees the fixed points where a line swings to and fro in sharp turns: no edge of a
// solid does that, but a rough or coarse surface, whose folds are steep everywhere, does.
func (w *view) loosen(l Line, fixed []bool) {
	n := len(l.Points)
	turn := make([]float64, n)
	for i := range turn {
		if !l.Closed && (i == 0 || i == n-1) {
			continue
		}
		a, b := l.Points[i].Sub(l.Points[(i+n-1)%n]), l.Points[(i+1)%n].Sub(l.Points[i])
		turn[i] = math.Copysign(geom.InDeg(a.AngleTo(b)), a.Cross(b).Dot(w.frame.Z))
	}
	const sharp = 30.0
	for i := range turn {
		j := (i + 1) % n
		if turn[i]*turn[j] < 0 && math.Min(math.Abs(turn[i]), math.Abs(turn[j])) > sharp {
			fixed[i], fixed[j] = false, false
		}
	}
}

func (w *view) area(t int32) float64 {
	a, b, c := w.m.Corners(int(t))
	return b.Sub(a).Cross(c.Sub(a)).Norm() / 2
}

func (w *view) normal(t int32) geom.Vec {
	a, b, c := w.m.Corners(int(t))
	return b.Sub(a).Cross(c.Sub(a)).Unit()
}

func (w *view) centroid(t int32) geom.Vec {
	a, b, c := w.m.Corners(int(t))
	return a.Add(b).Add(c).Scale(1.0 / 3)
}

// ToothLines gives the survey lines of a cast cut where they pass from one tooth to
// another or to the gum, each with its tooth; 0 on soft tissue. Stretches shorter than
// half a millimetre go with what comes before them.
func (s *Survey) ToothLines(c *cast.Cast) []Line {
	const least = 0.5
	var out []Line
	for _, l := range s.Lines {
		n := len(l.Points)
		label := make([]tooth.Number, n)
		for i, f := range l.faces {
			if int(f) < len(c.Labels) {
				label[i] = c.Labels[f]
			}
		}
		first := 0
		if l.Closed { // begin at a change, if there is one
			for i := range label {
				if label[i] != label[(i+n-1)%n] {
					first = i
					break
				}
			}
		}
		at := func(i int) int { return (first + i) % n }
		type run struct{ from, to int } // points from..to-1
		var runs []run
		for i := 0; i < n; i++ {
			if i == 0 || label[at(i)] != label[at(i-1)] {
				runs = append(runs, run{i, i + 1})
			} else {
				runs[len(runs)-1].to = i + 1
			}
		}
		var kept []run
		for _, r := range runs {
			long := 0.0
			for i := r.from + 1; i < r.to; i++ {
				long += l.Points[at(i)].Dist(l.Points[at(i-1)])
			}
			if k := len(kept); k > 0 && (long < least || label[at(kept[k-1].from)] == label[at(r.from)]) {
				kept[k-1].to = r.to
			} else {
				kept = append(kept, r)
			}
		}
		if len(kept) == 1 {
			l.Tooth = label[at(kept[0].from)]
			out = append(out, l)
			continue
		}
		for k, r := range kept {
			piece := Line{Tooth: label[at(r.from)], under: l.under}
			end := r.to // with the next stretch's first point, so that no gap is left
			if k == len(kept)-1 && !l.Closed {
				end--
			}
			for i := r.from; i <= end; i++ {
				piece.Points = append(piece.Points, l.Points[at(i)])
				piece.faces = append(piece.faces, l.faces[at(i)])
			}
			if len(piece.Points) > 1 {
				out = append(out, piece)
			}
		}
	}
	return out
}
