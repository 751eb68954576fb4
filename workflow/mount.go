package workflow

import (
	"context"

	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/encoding/scan"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/order"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

// unitFactors are the units a case may say its scan is in, to mm; "" is to be guessed.
var unitFactors = map[string]float64{"": 0, "mm": 1, "cm": 10, "m": 1000, "inch": 25.4}

// Mount gives the cast of a case: from its scan where there is one, else made from the
// chart. The notes say what was found and assumed on the way.
func Mount(c casebook.Case, scanFile []byte) (*cast.Cast, []words.Text, error) {
	if c.Scan == nil {
		return MakeCast(c.Chart)
	}
	f, report, notes, err := ReadScan(c.Scan.File, scanFile)
	if err != nil {
		return nil, nil, err
	}
	mounted, told, err := MountScan(c, f, ScanFactor(*c.Scan, report))
	return mounted, append(notes, told...), err
}

// MakeCast is a cast made from a chart. Crowns that lean and turn so much that they would
// run into their neighbours, as in crowding, are drawn nearer to upright, and a note says so.
func MakeCast(c chart.Chart) (*cast.Cast, []words.Text, error) {
	notes := []words.Text{words.Tell("the cast was made from the chart: sizes are averages, depths and heights of crowns as charted")}
	var closed words.Teeth
	for _, n := range tooth.All(c.Arch) {
		if c.State(n) == chart.Closed {
			closed = append(closed, n)
		}
	}
	if len(closed) > 0 {
		notes = append(notes, words.Tell("charted as closed: %v; a cast made from the chart shows the space open", closed))
	}
	made, first := Typodont(c)
	if first == nil {
		return made, notes, nil
	}
	for _, share := range []float64{0.5, 0.25, 0} {
		if made, err := Typodont(upright(c, share)); err == nil {
			return made, append(notes, words.Tell("as charted, leaning and turned crowns would run into their neighbours: the cast shows %.0f %% of it; scan this mouth", 100*share)), nil
		}
	}
	return nil, nil, first
}

// upright is a chart whose teeth lean and turn by a share of what is charted.
func upright(c chart.Chart, share float64) chart.Chart {
	less := func(deg *float64) *float64 {
		if deg == nil {
			return nil
		}
		v := share * *deg
		return &v
	}
	teeth := map[tooth.Number]chart.Tooth{}
	for n, t := range c.Teeth {
		t.TiltDeg, t.RotationDeg = less(t.TiltDeg), less(t.RotationDeg)
		teeth[n] = t
	}
	c.Teeth = teeth
	return c
}

// ScanFactor is from a scan's unit to mm, as the case or else the file says; 0 where
// neither does.
func ScanFactor(s casebook.Scan, r mesh.Report) float64 {
	if factor := unitFactors[s.Unit]; factor != 0 {
		return factor
	}
	if r.Unit != "" {
		return r.UnitFactor
	}
	return 0
}

// LocateScan finds the charted teeth of a scan that was read. A tooth that seems to stand
// where the chart says none does is left out, and named in the notes.
func LocateScan(c casebook.Case, f scan.File, factor float64) ([]cast.Found, []words.Text, error) {
	l, err := cast.Locate(f.Mesh, c.Chart.Arch, absent(c), factor)
	if err != nil {
		return nil, nil, err
	}
	var out []cast.Found
	var notes []words.Text
	for _, t := range l.Teeth {
		if c.Chart.Stands(t.Tooth) || c.Chart.State(t.Tooth) == "extract" {
			out = append(out, t)
			continue
		}
		notes = append(notes, words.Tell("tooth %v: charted missing, and one seems to stand on the scan: the chart was followed", t.Tooth))
	}
	return out, notes, nil
}

// absent are the teeth that the chart says are not to be seen in the mouth.
func absent(c casebook.Case) []tooth.Number {
	out := []tooth.Number{}
	for _, n := range tooth.All(c.Chart.Arch) {
		if !c.Chart.Stands(n) && c.Chart.State(n) != "extract" {
			out = append(out, n)
		}
	}
	return out
}

// MountScan mounts a scan that was read; factor is from its unit to mm, 0 to be guessed.
// Where the case gives no points the program looks for the teeth.
func MountScan(c casebook.Case, f scan.File, factor float64) (*cast.Cast, []words.Text, error) {
	var told []words.Text
	if len(c.Scan.Points) == 0 {
		found, notes, err := LocateScan(c, f, factor)
		if err != nil {
			return nil, nil, err
		}
		on := *c.Scan
		on.Points, on.Proposed = map[tooth.Number]geom.Vec{}, nil
		for _, t := range found {
			on.Points[t.Tooth], on.Proposed = t.Point, append(on.Proposed, t.Tooth)
		}
		c.Scan, told = &on, notes
	}
	s, err := StandScan(c, f, factor)
	if err != nil {
		return nil, nil, err
	}
	k, notes, err := MountStood(c, s)
	return k, append(told, notes...), err
}

// StandScan sets a scan up by the points that the case gives on its teeth. Margins are of no
// concern yet.
func StandScan(c casebook.Case, f scan.File, factor float64) (*cast.Stood, error) {
	for _, n := range tooth.All(c.Chart.Arch) {
		if _, ok := c.Scan.Points[n]; ok && c.Chart.State(n) == "missing" {
			return nil, words.Errorf("the scan of case %s has a point on tooth %s, which the chart says is missing: correct the chart or take the point away", c.ID, n)
		}
	}
	return cast.Mounting{Scan: f.Mesh, Arch: c.Chart.Arch, Points: c.Scan.Points, Missing: absent(c), UnitFactor: factor}.Stand()
}

// MountStood reads teeth and landmarks of a scan that stands, with the case's own margins.
func MountStood(c casebook.Case, s *cast.Stood) (*cast.Cast, []words.Text, error) {
	var notes []words.Text
	if n := len(c.Scan.Proposed); n > 0 {
		notes = append(notes, words.Tell("the points on %d teeth were found by the program: they are to be looked at before the design is used", n))
	}
	k, report, err := s.Cast(c.Scan.Margins)
	for _, n := range report.Notes {
		if n.Tooth != 0 {
			notes = append(notes, words.Join(": ", words.ToothNo.With(n.Tooth), n.Text))
		} else {
			notes = append(notes, n.Text)
		}
	}
	return k, notes, err
}

// Surveyed is a cast measured along its path of insertion and along the vertical, the
// occlusal plane's normal; the two are one where the path is not tilted.
type Surveyed struct {
	Path            survey.Path
	Along, Vertical *survey.Survey
	Crowns          map[tooth.Number]survey.Crown // of every standing tooth
	Tissues         survey.Tissues
	Tripod          []geom.Vec // three marks of one height along the path; none where the cast shows no place
}

// Survey measures a cast along a case's path: the tilt it says, or the vertical.
func Survey(ctx context.Context, k *cast.Cast, s casebook.Survey, opt survey.Options) (Surveyed, error) {
	path := survey.PathFromTilt(k.Arch, s.AnteriorDeg, s.RightDeg)
	t, err := survey.NewTable(k.Mesh, opt)
	if err != nil {
		return Surveyed{}, err
	}
	out := Surveyed{Path: path}
	if out.Along, err = t.Survey(ctx, path.Direction); err != nil {
		return Surveyed{}, err
	}
	if len(k.Teeth) > 0 && !out.Along.ShowsTeeth(k.Labels) {
		d := path.Direction
		return Surveyed{}, words.Errorf("surveying along (%.3g, %.3g, %.3g): this path hides all %d teeth; expected a path near the occlusal plane's normal, pointing the way the denture is lifted off", d.X, d.Y, d.Z, len(k.Teeth))
	}
	out.Crowns = map[tooth.Number]survey.Crown{}
	for _, n := range k.Standing() {
		crown, err := survey.CrownOf(k, out.Along, n)
		if err != nil {
			continue // a tooth whose crown the scan does not show has no chart, and is not known
		}
		out.Crowns[n] = crown
	}
	out.Tissues = survey.TissuesOf(k, path)
	out.Tripod = order.Tripod(k, path)
	out.Vertical = out.Along
	if path.TiltDeg() > 1e-6 {
		if out.Vertical, err = t.Survey(ctx, geom.V(0, 0, 1)); err != nil {
			return Surveyed{}, err
		}
	}
	return out, nil
}
