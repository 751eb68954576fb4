package placement_test

import (
	"fmt"
	"math"
	"testing"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
)

// patch is the outline of a part's patch of a role.
func patch(t *testing.T, q placement.Placed, role placement.PatchRole) []geom.Vec {
	t.Helper()
	for _, a := range q.Patches {
		if a.Role == role {
			return a.Outline
		}
	}
	t.Fatalf("%s has no %s", q.Part.ID, role)
	return nil
}

// Seats that are not on an occlusal surface are carved too, and read back from their floors.
// Figures: cingulum 2.5 to 3 mm long at least, 2.0 wide, 1.5 deep (McCracken's lectures and course cards);
// incisal 2.5 wide, 1.5 deep, rounded, deepest in its middle (course cards); floor and
// upright under 90°; a ball seat 1.5 to 2 mm across, half of that deep, and an onlay's metal
// 1.0 mm as common practice.
func TestSeatsAreReadBackFromTheirFloors(t *testing.T) {
	inf := math.Inf(1)
	type band struct {
		measure string
		lo, hi  float64
	}
	for _, c := range []struct {
		on   string
		part design.Part
		want []band
		// short is the measure that the crown does not give, and why that is so is in the test.
		short string
	}{
		{"lower-1", rest(43, design.RestCingulum, tooth.Lingual, design.Indirect), []band{{"seat_length", 2.5, 4}, {"seat_width", 1.95, 2.1}, {"seat_depth_ridge", 1.45, 1.55}, {"seat_floor_angle_deg", 45, 89}}, ""},
		// Cut into a lingual surface that stands at 45° to the path, 1.5 mm deep: the floor
		// cannot run farther in than the opening's upper edge, 1.5 = w·tan 45° + w/4.
		{"upper-4", rest(13, design.RestCingulum, tooth.Lingual, design.Indirect), []band{{"seat_length", 2.5, 4}, {"seat_width", 1.1, 1.3}, {"seat_depth_ridge", 1.45, 1.55}, {"seat_floor_angle_deg", 45, 89}}, "seat_width"},
		{"lower-1", rest(43, design.RestBall, tooth.Lingual, design.Indirect), []band{{"seat_width", 1.5, 2}, {"seat_length", 1.5, 2}, {"seat_depth_ridge", 0.75, 1}, {"seat_floor_angle_deg", 45, 89}}, ""},
		{"upper-4", rest(13, design.RestBall, tooth.Lingual, design.Indirect), []band{{"seat_width", 1.5, 2}, {"seat_length", 1.5, 2}, {"seat_depth_ridge", 0.75, 1}, {"seat_floor_angle_deg", 45, 89}}, ""},
		{"lower-1", rest(43, design.RestIncisal, tooth.Distal, design.Indirect), []band{{"seat_width", 2.3, 2.7}, {"seat_depth_ridge", 1.45, 1.55}, {"seat_length", 1, 4}}, ""},
		{"lower-2", rest(47, design.RestOnlay, tooth.Mesial, design.Primary), []band{{"seat_length_share", 0.5, 1}, {"seat_depth_ridge", 0.95, inf}}, ""},
	} {
		name := fmt.Sprintf("%s on %s", c.part.Form, c.part.Tooth)
		_, p := layForm(t, form{name, c.on, c.part.Tooth, parts(c.part)})
		q, _ := p.Part(c.part.ID)
		for _, b := range c.want {
			if m, ok := q.Measure(b.measure, 0); !ok || m.Quantity.Value < b.lo || m.Quantity.Value > b.hi {
				t.Errorf("%s: %s is %v, taught %g to %g", name, b.measure, m.Quantity, b.lo, b.hi)
			}
		}
		short := ""
		for _, s := range q.Shortfalls {
			short += s.Measure
		}
		if short != c.short {
			t.Errorf("%s: falls short in %q, expected %q", name, short, c.short)
		}
		// A floor lies inside the seat's opening seen along the path, so that the rest goes in,
		// but where it is built up; and no higher than the opening.
		if c.part.Form == design.RestCingulum && c.part.Tooth.Arch() == tooth.Lower {
			continue
		}
		seat, floor := patch(t, q, placement.Seat), patch(t, q, placement.Floor)
		top := math.Inf(-1)
		for _, v := range seat {
			top = math.Max(top, v.Z)
		}
		for _, v := range floor {
			if v.Z > top+0.05 {
				t.Errorf("%s: a point of the floor stands %.2f mm over the seat", name, v.Z-top)
			}
			if c.part.Form != design.RestIncisal && !within(seat, v, 0.1) {
				t.Errorf("%s: the floor reaches under the crown at %.2f", name, v)
			}
		}
	}
}

// within tells whether p, seen along z, lies in a ring or no farther than slack from it.
func within(ring []geom.Vec, p geom.Vec, slack float64) bool {
	in, near := false, math.Inf(1)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
		dx, dy := b.X-a.X, b.Y-a.Y
		f := 0.0
		if d := dx*dx + dy*dy; d > 0 {
			f = math.Max(0, math.Min(1, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/d))
		}
		near = math.Min(near, math.Hypot(p.X-a.X-f*dx, p.Y-a.Y-f*dy))
	}
	return in || near < slack
}

// Deepening a seat by the design deepens what is read back.
func TestASeatIsAsDeepAsAsked(t *testing.T) {
	for _, c := range []struct {
		on   string
		part design.Part
		deep float64
	}{
		{"lower-1", rest(43, design.RestIncisal, tooth.Distal, design.Indirect), 1.0},
		{"upper-4", rest(13, design.RestCingulum, tooth.Lingual, design.Indirect), 1.0},
		{"lower-1", rest(43, design.RestBall, tooth.Lingual, design.Indirect), 0.5},
	} {
		c.part.Dimensions = map[string]float64{"depth": c.deep}
		_, p := layForm(t, form{"", c.on, c.part.Tooth, parts(c.part)})
		q, _ := p.Part(c.part.ID)
		if m, ok := q.Measure("seat_depth_ridge", 0); !ok || math.Abs(m.Quantity.Value-c.deep) > 0.05 {
			t.Errorf("%s: %v deep, asked %g", c.part.ID, m.Quantity, c.deep)
		}
	}
}
