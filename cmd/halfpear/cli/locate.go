package cli

import (
	"encoding/json"
	"fmt"
	"image"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpear/cast"
	"halfpear/encoding/ply"
	"halfpear/encoding/scan"
	"halfpear/geom"
	"halfpear/internal/atomicfile"
	"halfpear/internal/plaster"
	"halfpear/tooth"
)

type locateOptions struct {
	arch, points, labels, unit, picture string
	missing                             []string
	charted                             bool
}

func newLocate(c *console) *cobra.Command {
	var o locateOptions
	cmd := &cobra.Command{
		Use:   "locate SCAN --arch upper|lower",
		Short: "Find the teeth of a scan that has no labels",
		Long: `Find the teeth of a scan (STL, PLY or OBJ; open or closed, in any position and unit): a point
on each, its number, its crown and its gingival margin.

Name the missing teeth with --missing, or --missing none where all stand: numbers are surer
then, and the scan is compared with it. Third molars may stand or not. With --points the
teeth are those named in the file, {"11": [x, y, z], …}, one point on each crown in the
scan's own coordinates. Points that were proposed are to be looked at before they are used.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.charted = cmd.Flags().Changed("missing")
			return runLocate(c, args[0], o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.arch, "arch", "", "upper or lower")
	f.StringSliceVar(&o.missing, "missing", nil, "missing teeth, FDI, with commas; none where all stand")
	f.StringVar(&o.points, "points", "", "JSON file with one point on each tooth")
	f.StringVar(&o.labels, "labels", "", "write the scan as PLY with the tooth number of each triangle")
	f.StringVar(&o.picture, "picture", "", "write a PNG of the scan with numbers and margins; what is to be looked at is ringed")
	f.StringVar(&o.unit, "unit", "", "unit of the scan: mm, cm, m or inch; found from its size where left out")
	_ = cmd.MarkFlagRequired("arch")
	return cmd
}

type locatedTooth struct {
	Tooth      int      `json:"tooth"`
	Point      triple   `json:"point"`
	Confidence float64  `json:"confidence"`
	Proposed   bool     `json:"proposed"`
	Margin     []triple `json:"margin"`

	// Absent where no crown was found.
	Axis   *locatedWay   `json:"axis,omitempty"`
	Facial *locatedWay   `json:"facial,omitempty"`
	Mesial *locatedWay   `json:"mesial,omitempty"`
	Marks  []locatedMark `json:"marks,omitempty"`
}

// locatedWay is a direction in the scan's own coordinates.
type locatedWay struct {
	Direction  triple  `json:"direction"`
	Confidence float64 `json:"confidence"`
}

// locatedMark is a place on a tooth; one that the scan does not show has no point.
type locatedMark struct {
	Mark       string  `json:"mark"`
	Point      *triple `json:"point,omitempty"`
	Confidence float64 `json:"confidence"`
	Missing    bool    `json:"missing,omitempty"`
}

// locatedCurve is a line on the arch; one that the scan does not show has no points.
type locatedCurve struct {
	Mark       string   `json:"mark"`
	Teeth      []int    `json:"teeth,omitempty"` // of a ridge: the teeth that stood there
	Closed     bool     `json:"closed,omitempty"`
	Points     []triple `json:"points,omitempty"`
	Confidence float64  `json:"confidence"`
	Missing    bool     `json:"missing,omitempty"`
}

type locatedPlane struct {
	Point      triple  `json:"point"`
	Normal     triple  `json:"normal"`
	RMS        float64 `json:"rms_mm"`
	Confidence float64 `json:"confidence"`
}

type locateFinding struct {
	Severity string `json:"severity"`
	Kind     string `json:"kind"`
	Tooth    int    `json:"tooth,omitempty"`
	Message  string `json:"message"`

	At *triple `json:"at,omitempty"` // where on the scan, in its own coordinates
}

type locateAnswer struct {
	Unit       string          `json:"unit"`
	UnitFactor float64         `json:"unit_factor"`
	Occlusal   triple          `json:"occlusal"`
	Anterior   triple          `json:"anterior"`
	Teeth      []locatedTooth  `json:"teeth"`
	Findings   []locateFinding `json:"findings"`
	Seconds    float64         `json:"seconds"`

	Plane *locatedPlane  `json:"occlusal_plane"`
	Arch  []locatedCurve `json:"arch_marks"`
}

// given reads the flags that name teeth, and the file of points.
func (o locateOptions) given(c *console) (cast.Sighting, error) {
	var s cast.Sighting
	a, err := tooth.ParseArch(o.arch)
	if err != nil {
		return s, usageError{fmt.Errorf("--arch: %w", err)}
	}
	s.Arch, s.Charted = a, o.charted
	for _, w := range o.missing {
		if w = strings.TrimSpace(w); w == "none" || w == "" {
			continue
		}
		n, err := tooth.Parse(w)
		if err != nil {
			return s, usageError{fmt.Errorf("--missing: %w", err)}
		}
		if n.Arch() != a {
			return s, usagef("--missing: tooth %v does not belong to the %v arch", n, a)
		}
		s.Missing = append(s.Missing, n)
	}
	factors := map[string]float64{"": 0, "mm": 1, "cm": 10, "m": 1000, "inch": 25.4}
	factor, ok := factors[o.unit]
	if !ok {
		return s, usagef("--unit %q: expected mm, cm, m or inch", o.unit)
	}
	s.UnitFactor = factor
	if o.points != "" {
		var raw map[string]json.RawMessage
		if err := c.readJSON("points", o.points, &raw); err != nil {
			return s, err
		}
		s.Points = map[tooth.Number]geom.Vec{}
		for k, v := range raw {
			n, err := tooth.Parse(k)
			if err != nil {
				return s, fmt.Errorf("could not read the points %s: field %q: %w", o.points, k, err)
			}
			var p []float64
			if err := json.Unmarshal(v, &p); err != nil || len(p) != 3 {
				return s, fmt.Errorf("could not read the points %s: field %q: expected three numbers [x, y, z], found %s", o.points, k, v)
			}
			s.Points[n] = geom.V(p[0], p[1], p[2])
		}
	}
	return s, nil
}

func runLocate(c *console, name string, o locateOptions) error {
	s, err := o.given(c)
	if err != nil {
		return err
	}
	data, err := readFile("scan", name)
	if err != nil {
		return err
	}
	f, err := scan.Read(name, data)
	if err != nil {
		return err
	}
	start := time.Now()
	s.Scan = f.Mesh
	seen, err := s.Look()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	back := seen.Cast.Scan.Inverse()
	a := locateAnswer{Unit: seen.Report.Unit, UnitFactor: seen.Report.UnitFactor, Teeth: []locatedTooth{}, Findings: []locateFinding{},
		Occlusal: tripleOf(back.ApplyDir(geom.V(0, 0, 1))), Anterior: tripleOf(back.ApplyDir(geom.V(0, 1, 0)))}
	for _, t := range seen.Teeth {
		w := locatedTooth{Tooth: int(t.Tooth), Point: tripleOf(t.Point), Confidence: t.Confidence, Proposed: s.Points == nil, Margin: []triple{}}
		if k := seen.Cast.Teeth[t.Tooth]; k != nil {
			for _, p := range k.Margin {
				w.Margin = append(w.Margin, tripleOf(back.Apply(p)))
			}
			w.mark(k, back)
		}
		a.Teeth = append(a.Teeth, w)
	}
	for _, x := range seen.Findings {
		f := locateFinding{Severity: x.Severity, Kind: x.Kind, Tooth: int(x.Tooth), Message: x.Text.In(c.lang)}
		if x.At != nil {
			at := tripleOf(*x.At)
			f.At = &at
		}
		a.Findings = append(a.Findings, f)
	}
	a.markArch(seen.Cast, back)
	a.Seconds = time.Since(start).Seconds()
	if o.labels != "" {
		labels := make([]uint8, len(seen.Labels))
		for i, n := range seen.Labels {
			labels[i] = uint8(n)
		}
		// 32 bits keep a scan's coordinates only where the file had no more.
		wide := slices.ContainsFunc(f.Mesh.Vertices, func(v geom.Vec) bool {
			return float64(float32(v.X)) != v.X || float64(float32(v.Y)) != v.Y || float64(float32(v.Z)) != v.Z
		})
		if err := atomicfile.Write(o.labels, func(w io.Writer) error {
			return ply.Write(w, &ply.File{Mesh: f.Mesh, FaceLabels: labels}, wide)
		}); err != nil {
			return err
		}
	}
	if o.picture != "" {
		if err := atomicfile.Write(o.picture, func(w io.Writer) error { return plaster.Write(w, picture(seen)) }); err != nil {
			return err
		}
	}
	stop := slices.ContainsFunc(a.Findings, func(f locateFinding) bool { return f.Severity == "stop" })
	if c.json {
		if err := c.answer(a); err != nil {
			return err
		}
	} else {
		tellLocated(c, name, a)
	}
	if stop {
		return stopped
	}
	return nil
}

// mark adds what is known of a tooth beside its margin.
func (w *locatedTooth) mark(k *cast.Tooth, back geom.Similarity) {
	way := func(d geom.Vec, sure float64) *locatedWay { return &locatedWay{tripleOf(back.ApplyDir(d)), sure} }
	w.Axis, w.Facial, w.Mesial = way(k.Frame.Z, k.Marks.Axis), way(k.Frame.Y, k.Marks.Facing), way(k.Frame.X, k.Marks.Facing)
	for _, m := range k.Named() {
		out := locatedMark{Mark: m.Name, Confidence: m.Sure, Missing: m.Sure == 0}
		if !out.Missing {
			at := tripleOf(back.Apply(m.At))
			out.Point = &at
		}
		w.Marks = append(w.Marks, out)
	}
}

// markArch adds the marks of the arch, those that the scan does not show too.
func (a *locateAnswer) markArch(c *cast.Cast, back geom.Similarity) {
	k := c.Marks
	if k.Plane.Confidence > 0 {
		a.Plane = &locatedPlane{tripleOf(back.Apply(geom.Vec{})), a.Occlusal, k.Plane.RMS, k.Plane.Confidence}
	}
	add := func(name string, l cast.Curve, teeth ...tooth.Number) {
		out := locatedCurve{Mark: name, Closed: l.Closed, Confidence: l.Confidence, Missing: !l.Known()}
		for _, n := range teeth {
			out.Teeth = append(out.Teeth, int(n))
		}
		for _, p := range l.Points {
			out.Points = append(out.Points, tripleOf(back.Apply(p)))
		}
		a.Arch = append(a.Arch, out)
	}
	add("arch-curve", k.Arch)
	for _, r := range k.Ridges {
		add("ridge-crest", r.Crest, r.Teeth...)
	}
	add("vestibule", k.Vestibule)
	pad := "tuberosity"
	if c.Arch == tooth.Lower {
		pad = "retromolar-pad"
		add("floor", k.Floor)
	}
	add(pad+"-right", k.PadRight)
	add(pad+"-left", k.PadLeft)
	if c.Arch == tooth.Upper {
		add("palate-midline", k.Midline)
		add("incisive-papilla", k.Papilla)
		add("rugae", k.Rugae)
		add("vibrating-line", k.Vibrating)
	}
}

// picture shows the scan from the occlusal with each tooth's number and margin; what is
// to be looked at is ringed.
func picture(seen cast.Seen) *image.RGBA {
	v := plaster.Views(seen.Cast.Arch)[0]
	img := plaster.Draw(seen.Cast, v, 1200, 1040)
	plaster.Margins(img, v, seen.Cast)
	for _, f := range seen.Findings {
		if f.At != nil && f.Severity != "note" {
			plaster.Ring(img, v, seen.Cast.Scan.Apply(*f.At), f.Tooth.String())
		}
	}
	return img
}

func tellLocated(c *console, name string, a locateAnswer) {
	fmt.Fprintf(c.out, "%s: in %s, occlusal (%.3f, %.3f, %.3f), anterior (%.3f, %.3f, %.3f), %.1f s\n", name, a.Unit,
		a.Occlusal[0], a.Occlusal[1], a.Occlusal[2], a.Anterior[0], a.Anterior[1], a.Anterior[2], a.Seconds)
	fmt.Fprintf(c.out, "  tooth  confidence  margin  point\n")
	for _, t := range a.Teeth {
		margin := "none"
		if len(t.Margin) > 0 {
			margin = fmt.Sprint(len(t.Margin))
		}
		word := ""
		if t.Proposed {
			word = "  proposed"
		}
		fmt.Fprintf(c.out, "  %5d  %10.2f  %6s  %.4g, %.4g, %.4g%s\n", t.Tooth, t.Confidence, margin, t.Point[0], t.Point[1], t.Point[2], word)
	}
	fmt.Fprintf(c.out, "  how sure each landmark is, 0 to 1; - is not on the scan\n")
	fmt.Fprintf(c.out, "  tooth  axis  facial  contacts   cusps or edge             ridges      fossae or cingulum\n")
	for _, t := range a.Teeth {
		if t.Axis == nil {
			continue
		}
		sure := func(names ...string) string {
			var out []string
			for _, m := range t.Marks {
				switch {
				case !slices.Contains(names, m.Mark):
				case m.Missing:
					out = append(out, "-   ")
				default:
					out = append(out, fmt.Sprintf("%.2f", m.Confidence))
				}
			}
			return strings.Join(out, " ")
		}
		fmt.Fprintf(c.out, "  %5d  %.2f  %6.2f  %-9s  %-24s  %-10s  %s\n", t.Tooth, t.Axis.Confidence, t.Facial.Confidence, sure("mesial-contact", "distal-contact"),
			sure("cusp-tip", "mesial-angle", "incisal-edge", "distal-angle"), sure("mesial-marginal-ridge", "distal-marginal-ridge"), sure("mesial-fossa", "distal-fossa", "cingulum"))
	}
	if a.Plane != nil {
		fmt.Fprintf(c.out, "  %-22s %.2f  (tops of the teeth %.1f mm off it)\n", "occlusal-plane", a.Plane.Confidence, a.Plane.RMS)
	}
	for _, m := range a.Arch {
		word := "-     not on the scan"
		if !m.Missing {
			word = fmt.Sprintf("%.2f", m.Confidence)
		}
		if len(m.Teeth) > 0 {
			word += fmt.Sprintf("  at %v", m.Teeth)
		}
		fmt.Fprintf(c.out, "  %-22s %s\n", m.Mark, word)
	}
	for _, f := range a.Findings {
		fmt.Fprintf(c.out, "  %-8s %s\n", f.Severity, f.Message)
	}
}
