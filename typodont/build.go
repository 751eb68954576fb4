package typodont

import (
	"fmt"
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// builder puts the parts of one cast together. Its x is the patient's right.
type builder struct {
	spec  Spec
	edge  float64
	slots [16]slot
	arch  *archLine
	gum   *gum
	crest [16]float64 // height of the ridge at each empty place

	vertices []geom.Vec
	faces    [][3]int32
	labels   []tooth.Number
	crowns   map[tooth.Number]*standing
	order    []tooth.Number

	soft   []softPoint // the vertices of gum and palate or floor
	heel   []int32     // the right heel, lingual to facial
	bottom float64
}

// standing is one crown on the cast.
type standing struct {
	slot   slot
	crown  *crown
	first  int32   // its first vertex, the first of the margin
	margin []int32 // counter-clockwise seen from above
	count  int     // of its vertices
	flip   bool    // its own axes are left-handed
}

// softPoint is a vertex of the soft tissue and where it lies in the flat layout.
type softPoint struct {
	v     int32
	s, t  float64
	inner bool // of the palate or the floor within the arch
}

func newBuilder(s Spec) *builder {
	b := &builder{spec: s, edge: s.Edge, crowns: map[tooth.Number]*standing{}}
	if b.edge == 0 {
		b.edge = 0.6
	}
	for _, n := range tooth.All(s.Arch) {
		if _, ok := s.Teeth[n]; ok {
			b.order = append(b.order, n)
		}
	}
	return b
}

func (b *builder) build() error {
	b.slots, b.arch = layOut(b.spec.Arch)
	for _, n := range b.order {
		if h := b.spec.Teeth[n].CrownHeight; h != 0 { // the top stays on the occlusal plane
			s := &b.slots[n.Index()]
			s.z0 += s.form.height - h
			s.form = s.form.tall(h)
		}
	}
	for _, n := range b.order {
		if err := b.stand(n); err != nil {
			return fmt.Errorf("crown of %v: %w", n, err)
		}
	}
	b.layGum()
	ring, rim, err := b.meshGum()
	if err != nil {
		return fmt.Errorf("gum: %w", err)
	}
	rear, err := b.meshInside(ring)
	if err != nil {
		return fmt.Errorf("inside of the arch: %w", err)
	}
	b.evenSeam(rim, rear)
	b.details()
	return b.meshBase(rim, rear)
}

// toOuter places a point of a slot's crown: x mesial, y facial, z above the margin.
func (b *builder) toOuter(s slot, c *crown, p geom.Vec) geom.Vec {
	// Angulation turns about the contact's height, where the crown touches its
	// neighbours.
	sin, cos := math.Sincos(geom.Deg(b.angulation(s.n)))
	h := p.Z - c.contactM
	x, z := p.X*cos+h*sin, c.contactM+h*cos-p.X*sin
	y := p.Y
	t := b.spec.Teeth[s.n]
	sin, cos = math.Sincos(geom.Deg(t.MesialTiltDeg))
	x, z = x*cos+z*sin, z*cos-x*sin
	sin, cos = math.Sincos(geom.Deg(t.FacialTiltDeg))
	y, z = y*cos+z*sin, z*cos-y*sin
	sin, cos = math.Sincos(geom.Deg(t.RotationDeg))
	x, y = x*cos+y*sin, y*cos-x*sin
	q := s.middle.Add(s.mesial.Scale(x)).Add(s.facial.Scale(y + s.inset))
	return geom.V(q.X, q.Y, s.z0+z)
}

func (b *builder) angulation(n tooth.Number) float64 {
	return stances[b.spec.Arch][n.Place()-1].angulationDeg
}

// stand makes a tooth's crown and puts it on its place.
func (b *builder) stand(n tooth.Number) error {
	s := b.slots[n.Index()]
	// Beside a gap there is no papilla for the margin to climb to.
	if !b.stands(n.Mesial()) {
		s.form.riseM *= 0.35
	}
	if !b.stands(n.Distal()) {
		s.form.riseD *= 0.35
	}
	c := newCrown(s.form, n.Kind().Anterior(), n.Kind().Incisor())
	p, err := c.surface(0.63 * b.edge)
	if err != nil {
		return err
	}
	st := &standing{slot: s, crown: c, first: int32(len(b.vertices)), count: len(p.vertices)}
	st.flip = s.mesial.Cross(s.facial) < 0
	for _, v := range p.vertices {
		b.vertices = append(b.vertices, b.keepApart(s, c, b.toOuter(s, c, v)))
	}
	for _, f := range p.faces {
		for i := range f {
			f[i] += st.first
		}
		if st.flip {
			f[1], f[2] = f[2], f[1]
		}
		b.faces = append(b.faces, f)
		b.labels = append(b.labels, n)
	}
	for i := range p.columns {
		k := int32(i)
		if st.flip {
			k = int32(p.columns - 1 - i)
		}
		st.margin = append(st.margin, st.first+k)
	}
	b.crowns[n] = st
	return nil
}

func (b *builder) stands(n tooth.Number) bool {
	_, ok := b.spec.Teeth[n]
	return ok
}

// keepApart holds a crown's point on its own side of the planes between it and its
// standing neighbours: a hair at the contact, more toward the gum, so that there is
// always an embrasure with room for a papilla.
func (b *builder) keepApart(s slot, c *crown, p geom.Vec) geom.Vec {
	for _, side := range []struct {
		nb    tooth.Number
		at    geom.Vec2
		along float64
		z     float64
	}{{s.n.Mesial(), s.contactM, 1, c.contactM}, {s.n.Distal(), s.contactD, -1, c.contactD}} {
		if !b.stands(side.nb) {
			continue
		}
		o := b.slots[side.nb.Index()]
		// The plane stands across the line between the two crowns' middles.
		dir := o.middle.Sub(s.middle).Unit()
		z := s.z0 + side.z
		gap := 0.02 + 0.10*math.Max(0, z-0.7-p.Z)
		d := p.XY().Sub(side.at).Dot(dir)
		if over := d + gap; over > 0 {
			q := p.XY().Sub(dir.Scale(over))
			p.X, p.Y = q.X, q.Y
		}
	}
	return p
}

// marginPoint is the margin's vertex whose direction from the middle is nearest to one of
// the crown's: along = (mesial, facial).
func (b *builder) marginPoint(st *standing, mesial, facial float64) geom.Vec {
	best, at := math.Inf(-1), geom.Vec{}
	c := b.middleOf(st.margin)
	for _, v := range st.margin {
		d := b.vertices[v].XY().Sub(c.XY()).Unit()
		if k := d.Dot(st.slot.mesial)*mesial + d.Dot(st.slot.facial)*facial; k > best {
			best, at = k, b.vertices[v]
		}
	}
	return at
}

func (b *builder) middleOf(ids []int32) geom.Vec {
	var sum geom.Vec
	for _, v := range ids {
		sum = sum.Add(b.vertices[v])
	}
	return sum.Scale(1 / float64(len(ids)))
}

func (b *builder) addVertex(p geom.Vec) int32 {
	b.vertices = append(b.vertices, p)
	return int32(len(b.vertices) - 1)
}

func (b *builder) addFaces(fs [][3]int32, name []int32, back bool) {
	for _, f := range fs {
		g := [3]int32{name[f[0]], name[f[1]], name[f[2]]}
		if back {
			g[1], g[2] = g[2], g[1]
		}
		b.faces = append(b.faces, g)
		b.labels = append(b.labels, 0)
	}
}

// meshBase closes the cast: walls down from the rim and a flat bottom. rim runs along the
// facial edge and both heels; rear closes it behind the palate or floor.
func (b *builder) meshBase(rim, rear []int32) error {
	loop := append(append([]int32{}, rim...), rear...)
	low := math.Inf(1)
	var mid geom.Vec2
	for _, v := range loop {
		mid = mid.Add(b.vertices[v].XY().Scale(1 / float64(len(loop))))
	}
	for _, p := range b.soft {
		low = math.Min(low, b.vertices[p.v].Z)
	}
	b.bottom = low - 9
	n := len(loop)
	foot := make([]int32, n)
	plane := make([]geom.Vec2, n)
	ids := make([]int32, n)
	// Rows down the wall: narrow ones beside the two edges, so that a viewer that rounds
	// shading over shared corners rounds it there only. The wall flares by a hair so that
	// it is never undercut for an upright path.
	above := loop
	for _, row := range []struct{ from, foot, flare float64 }{{0.35, 0, 1.004}, {0, 0.35, 1.012}, {0, 0, 1.012}} {
		for i, v := range loop {
			p := b.vertices[v]
			z := p.Z - row.from
			if row.from == 0 {
				z = b.bottom + row.foot
			}
			q := mid.Add(p.XY().Sub(mid).Scale(row.flare))
			foot[i] = b.addVertex(geom.V(q.X, q.Y, z))
			plane[i], ids[i] = q, int32(i)
		}
		for i := range loop {
			j := (i + 1) % n
			u, v, fu, fv := above[i], above[j], foot[i], foot[j]
			b.faces = append(b.faces, [3]int32{v, u, fu}, [3]int32{v, fu, fv})
			b.labels = append(b.labels, 0, 0)
		}
		above = append([]int32(nil), foot...)
	}
	box := geom.EmptyBox()
	for _, q := range plane {
		box = box.Add(geom.V(q.X, q.Y, 0))
	}
	border := append([]geom.Vec2(nil), plane...)
	const step = 5.0
	for y := box.Min.Y; y < box.Max.Y; y += step {
		for x := box.Min.X; x < box.Max.X; x += step {
			q := geom.Vec2{X: x, Y: y}
			if geom.Contains2(border, q) && !nearAny(border, q, 2) {
				plane = append(plane, q)
				foot = append(foot, b.addVertex(geom.V(x, y, b.bottom)))
			}
		}
	}
	tris, err := triangulate(plane, [][]int32{ids})
	if err != nil {
		return fmt.Errorf("bottom: %w", err)
	}
	b.addFaces(tris, foot, true)
	return nil
}

// mesh is the finished surface in the cast frame.
func (b *builder) mesh() *mesh.Mesh {
	m := &mesh.Mesh{Vertices: make([]geom.Vec, len(b.vertices)), Faces: make([][3]int32, len(b.faces))}
	for i, v := range b.vertices {
		m.Vertices[i] = b.outward(v)
	}
	for i, f := range b.faces {
		if b.spec.Arch == tooth.Upper {
			f[1], f[2] = f[2], f[1]
		}
		m.Faces[i] = f
	}
	return m
}

// outward turns a point of the builder's frame into the cast frame.
func (b *builder) outward(p geom.Vec) geom.Vec {
	if b.spec.Arch == tooth.Upper {
		p.X = -p.X
	}
	return p
}
