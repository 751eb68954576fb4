package web

import (
	"math"
	"net/http"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/web/api"
)

// plan is the cast seen from the occlusal: the outline of each crown, the places of
// missing teeth on their ridges, and the landmarks.
func (s *Server) plan(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return nil, err
	}
	if !m.whole {
		return api.Plan{Origin: string(m.cast.Origin), Teeth: []api.PlanTooth{}, Lines: []api.PlanLine{}}, nil
	}
	return planOf(m.cast), nil
}

func planOf(k *cast.Cast) api.Plan {
	out := api.Plan{Origin: string(k.Origin), Teeth: []api.PlanTooth{}, Lines: []api.PlanLine{}}
	seen := crownPoints(k)
	for _, n := range k.Standing() {
		t := k.Teeth[n]
		centre := middle(t.Margin, t.Frame.Origin)
		out.Teeth = append(out.Teeth, api.PlanTooth{Tooth: int(n), Standing: true, Outline: outline(seen[n], centre), Margin: flats(t.Margin), Middle: flat(centre)})
	}
	for _, ridge := range k.Marks.Ridges {
		out.Teeth = append(out.Teeth, places(ridge)...)
	}
	for _, l := range landmarks(k) {
		out.Lines = append(out.Lines, api.PlanLine{Name: l.name, Closed: l.curve.Closed, Points: flats(l.curve.Points)})
	}
	return out
}

func flat(v geom.Vec) [2]float64 { p := point(v); return [2]float64{p[0], p[1]} }

func flats(vs []geom.Vec) [][2]float64 {
	out := make([][2]float64, len(vs))
	for i, v := range vs {
		out[i] = flat(v)
	}
	return out
}

func crownPoints(k *cast.Cast) map[tooth.Number][]geom.Vec {
	out := map[tooth.Number][]geom.Vec{}
	for i, n := range k.Labels {
		if n != 0 {
			a, b, c := k.Mesh.Corners(i)
			out[n] = append(out[n], a, b, c)
		}
	}
	return out
}

// outline is how far the crown reaches from its middle in each direction, seen from the
// occlusal: crowns are star-shaped from there.
func outline(ps []geom.Vec, centre geom.Vec) [][2]float64 {
	const directions = 72
	var reach [directions]float64
	for _, p := range ps {
		d := p.Sub(centre)
		i := int(math.Floor((math.Atan2(d.Y, d.X)+math.Pi)/(2*math.Pi)*directions+0.5)) % directions
		reach[i] = math.Max(reach[i], math.Hypot(d.X, d.Y))
	}
	out := make([][2]float64, 0, directions)
	for i := range reach {
		// The middle of three takes out the spikes where no vertex or a stray one lies.
		before, r, after := reach[(i+directions-1)%directions], reach[i], reach[(i+1)%directions]
		r = math.Max(math.Min(before, r), math.Min(math.Max(before, r), after))
		if r == 0 {
			continue
		}
		a := float64(i)/directions*2*math.Pi - math.Pi
		out = append(out, flat(centre.Add(geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)})))
	}
	return out
}

// planWidth is how wide a missing tooth's place is drawn [mm], along the ridge and across
// it, from the midline backwards. It only marks the place; nothing is measured from it.
var planWidth = [...][2]float64{{}, {7, 6}, {6.5, 6}, {7.5, 7.5}, {7, 8}, {7, 8.5}, {10.5, 10}, {10, 10}, {9, 9}}

// places share the ridge among the missing teeth whose place it is.
func places(r cast.Ridge) []api.PlanTooth {
	if len(r.Crest.Points) < 2 {
		return nil
	}
	sum := 0.0
	for _, n := range r.Teeth {
		sum += planWidth[n.Place()][0]
	}
	walk := geom.NewWalk(r.Crest.Points)
	scale := walk.Length() / sum
	var out []api.PlanTooth
	at := 0.0
	for _, n := range r.Teeth {
		w := planWidth[n.Place()]
		half := w[0] * scale / 2
		middle, along := walk.At(at+half), walk.Tangent(at+half)
		along.Z = 0
		along = along.Unit()
		across := geom.Vec{X: -along.Y, Y: along.X}
		p := api.PlanTooth{Tooth: int(n), Middle: flat(middle), Margin: [][2]float64{}}
		for i := range 24 {
			s, c := math.Sincos(float64(i) / 24 * 2 * math.Pi)
			// A squarish oval: an ellipse of the fourth power.
			grow := 1 / math.Pow(s*s*s*s+c*c*c*c, 0.25)
			p.Outline = append(p.Outline, flat(middle.Add(along.Scale(c*grow*math.Min(half, w[0]/2)*0.94)).Add(across.Scale(s*grow*w[1]/2*0.94))))
		}
		out = append(out, p)
		at += 2 * half
	}
	return out
}
