package web

import (
	"context"
	"encoding/json"
	"math"
	"net/http"

	"halfpear/casebook"
	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/placement"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// lay lays a design on a study's cast. The ground, which is the costly part, is kept from
// the last design laid on the same cast along the same path.
func (s *Server) lay(ctx context.Context, st *workflow.Study, d design.Design) (*placement.Placement, error) {
	ground, err := take(ctx, s.bench.grounds, keyed(castKey(st.Case), st.Path.Direction, st.Book.Profile), func(ctx context.Context) (*placement.Placement, error) {
		tell(ctx, "ground", 0, 0)
		p, err := placement.Lay(st.Cast, st.Along, st.Vertical, design.Design{Arch: d.Arch}, st.Book.Laying())
		if err != nil {
			return nil, shown{err}
		}
		return p, nil
	})
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	tell(ctx, "lay", 0, 0)
	p, err := placement.RelayDesign(ground, d)
	if err != nil {
		return nil, shown{err}
	}
	return p, nil
}

// laid answers the case's design on its cast.
func (s *Server) laid(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	_, p, err := s.laidCase(r.Context(), c)
	if err != nil {
		return nil, err
	}
	return api.Laid{Parts: laidParts(p, reader(r, c)), SupportFulcrum: points(p.SupportFulcrum), RetentiveFulcrum: points(p.RetentiveFulcrum)}, nil
}

func (s *Server) laidCase(ctx context.Context, c casebook.Case) (*workflow.Study, *placement.Placement, error) {
	if c.Design == nil || len(c.Design.Parts) == 0 {
		return nil, nil, refusef(http.StatusConflict, "the case has no design yet")
	}
	st, err := s.study(ctx, c)
	if err != nil {
		return nil, nil, err
	}
	// Order fields and the like change no part's place.
	parts, err := json.Marshal(casefile.Parts(*c.Design))
	if err != nil {
		return nil, nil, err
	}
	p, err := take(ctx, s.bench.laid, keyed(castKey(c), st.Path.Direction, st.Book.Profile, string(parts)), func(ctx context.Context) (*placement.Placement, error) {
		return s.lay(ctx, st, *c.Design)
	})
	return st, p, err
}

// moveTip answers a retainer as it would be with its tip at a point: the site nearest to
// it and the undercut that is there.
func (s *Server) moveTip(w http.ResponseWriter, r *http.Request) (any, error) {
	var in api.MoveTip
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	if c.Design == nil {
		return nil, refusef(http.StatusConflict, "the case has no design yet")
	}
	part, ok := c.Design.Part(design.ID(in.Part))
	if !ok || part.Kind != design.Retainer {
		return nil, refusef(http.StatusUnprocessableEntity, "%q is no retainer of this design", in.Part)
	}
	st, err := s.study(r.Context(), c)
	if err != nil {
		return nil, err
	}
	crown, ok := st.Crowns[part.Tooth]
	if !ok {
		return nil, refusef(http.StatusUnprocessableEntity, "the cast does not show the crown of tooth %s", part.Tooth)
	}
	at := vec(in.Point)
	site := nearestSite(crown, crown.AngleOf(at))
	_, depth := crown.At(crown.Site(site), crown.HeightOf(at))
	if depth <= 0 {
		return nil, refusef(http.StatusUnprocessableEntity, "there is no undercut there: a retentive tip stands below the survey line")
	}
	part.Undercut = &design.Undercut{Site: site, MM: math.Max(0.05, math.Round(depth*20)/20)}
	return casefile.Parts(design.Design{Parts: []design.Part{part}})[0], nil
}

func nearestSite(crown survey.Crown, angleDeg float64) tooth.Site {
	best, nearest := math.Inf(1), tooth.MidFacial
	for _, site := range tooth.Sites {
		off := math.Abs(math.Remainder(crown.Site(site)-angleDeg, 360))
		if off < best {
			best, nearest = off, site
		}
	}
	return nearest
}

func laidParts(p *placement.Placement, l words.Lang) []api.LaidPart {
	out := []api.LaidPart{}
	for i, part := range p.Design().Listed() {
		if q, ok := p.Part(part.ID); ok {
			lp := laidPart(q, l)
			lp.Number = i + 1
			out = append(out, lp)
		}
	}
	return out
}

func laidPart(q placement.Placed, l words.Lang) api.LaidPart {
	lp := api.LaidPart{ID: string(q.Part.ID), Kind: string(q.Part.Kind), Curves: []api.LaidCurve{}, Patches: []api.LaidPatch{}, Measures: []api.LaidRead{}, Short: []api.Shortfall{}}
	for _, c := range q.Curves {
		lp.Curves = append(lp.Curves, api.LaidCurve{Role: string(c.Role), Closed: c.Closed, Points: points(c.Points), Width: append([]float64{}, c.Width...)})
	}
	for _, a := range q.Patches {
		lpp := api.LaidPatch{Role: string(a.Role), Outline: points(a.Outline), Holes: [][]api.Point{}}
		for _, h := range a.Holes {
			lpp.Holes = append(lpp.Holes, points(h))
		}
		lp.Patches = append(lp.Patches, lpp)
	}
	for _, m := range q.Measures {
		lp.Measures = append(lp.Measures, api.LaidRead{Measured: measured(m.Name, measureLabel(m.Name, l), m.Quantity), Tooth: int(m.Tooth), From: point(m.From), To: point(m.To), Set: settable(q.Part.Kind, m.Name)})
	}
	for _, x := range q.Shortfalls {
		lp.Short = append(lp.Short, api.Shortfall{Measure: x.Measure, Wanted: x.Wanted, Got: x.Got, Why: x.Why.In(l), Tooth: int(x.Tooth)})
	}
	if t := q.Tip; t != nil {
		lp.Tip = &api.LaidTip{Point: point(t.Point), Site: string(t.Site), UndercutMM: t.UndercutMM, AboveMarginMM: t.AboveMargin, SlopeDeg: t.SlopeDeg}
	}
	return lp
}

// dimensions name the dimension of a part that a measure answers to, where the names
// differ.
var dimensions = map[string]string{
	"seat_width": "width", "seat_length": "length", "seat_depth_ridge": "depth", "seat_depth_centre": "depth_centre", "channel_width": "channel",
	"metal_at_ridge": "thickness", "plate_height": "height", "plate_width": "width", "plate_tissue_extent": "tissue_extent", "plate_thickness": "thickness",
	"upper_border_to_margin": "upper_border_to_margin", "bar_height": "height", "bar_thickness": "thickness", "border_to_margin": "border_to_margin",
	"strap_width": "width", "anterior_strap_width": "anterior_strap_width", "posterior_strap_width": "posterior_strap_width",
	"lateral_strap_width": "lateral_strap_width", "approach_clearance": "clearance", "foot_height": "foot_height", "root_width": "root_width",
	"root_thickness": "root_thickness", "tip_width": "tip_width", "tip_thickness": "tip_thickness", "connector_width": "width",
	"connector_thickness": "thickness", "lattice_share": "lattice_share", "relief_start": "relief_start", "stop_size": "size", "finish_offset": "offset",
	"strut_to_margin": "strut_clearance", "slot": "slot",
}

// settable is the dimension that a measure of a kind of part answers to, or nothing where
// it follows from other choices.
func settable(k design.Kind, measure string) string {
	if k == design.MajorConnector && measure == "plate_thickness" {
		return "plate_thickness"
	}
	if k == design.Base && measure == "relief" {
		return "relief"
	}
	return dimensions[measure]
}
