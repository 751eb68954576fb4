package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpear/drawing"
	"halfpear/encoding/ply"
	"halfpear/encoding/png"
	"halfpear/encoding/scan"
	"halfpear/encoding/stl"
	"halfpear/encoding/svg"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/internal/atomicfile"
	"halfpear/sheet"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

type surveyOptions struct {
	direction, tilt, arch     string
	depthMap, lines, blockout string
	pictures, at              string
	taper, pixel, resolution  float64
	plain, relief             bool
}

// A mesh smaller or larger across is no cast or tooth in millimetres: it may be in metres,
// inches or micrometres.
const leastAcross, mostAcross = 4, 400

// isCase tells a case file from a mesh by its name.
func isCase(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml", ".json":
		return true
	}
	return false
}

func newSurvey(c *console) *cobra.Command {
	var o surveyOptions
	cmd := &cobra.Command{
		Use:   "survey (MESH (--direction X,Y,Z | --tilt ANTERIOR,RIGHT) | CASE)",
		Short: "Undercut depths, survey lines and block-out of a mesh or a case's cast along a path",
		Long: `Survey a triangle mesh (STL, PLY or OBJ; open or closed) along a path of insertion, in the
mesh's own coordinates and unit. The path points the way the denture is lifted off.

The undercut depth at a point is the distance, across the path, to the nearest place where
a rod parallel to the path can stand from that height upward without meeting the surface.

A case file is surveyed on its cast, in the cast's frame and millimetres, along the case's
own path unless another is given. Then the answer has the crown charts too, the measures of
the soft tissues on sections, readings by hand beside the scan's, and the line for a
vertical path.

--blockout fills undercuts parallel to the path, or with --taper from the survey line down;
nothing above the survey line is covered. With a design in the case the undercut above the
lower border of each retentive end stays free, which leaves a ledge there, and so do the
rest seats; --relief adds the sheets under lattice and connectors.

--pictures writes the undercut map as SVG and PNG, with contours at 0.25, 0.50 and 0.75 mm,
and for a case the elevation of each abutment as SVG.

--direction gives the path in the mesh's axes. --tilt gives it as two angles in degrees from
+z: + leans to +y (anterior), + leans to the patient's right, which is +x in a lower arch and
-x in an upper one (--arch).
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runSurvey(cmd.Context(), c, args[0], o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.direction, "direction", "", "path of insertion as X,Y,Z")
	f.StringVar(&o.tilt, "tilt", "", "path of insertion as ANTERIOR,RIGHT in degrees from +z")
	f.StringVar(&o.arch, "arch", "lower", "which side is the patient's right, for --tilt: upper or lower")
	f.StringVar(&o.depthMap, "depth-map", "", "write the depths: PLY with a property undercut at each vertex")
	f.StringVar(&o.lines, "lines", "", "write the survey lines as JSON")
	f.StringVar(&o.pictures, "pictures", "", "write the undercut map and the elevations into this folder")
	f.StringVar(&o.at, "at", "", "time printed on the pictures, such as 2026-03-31T10:00:00Z; now where left out")
	f.StringVar(&o.blockout, "blockout", "", "write the surface with its undercuts filled, a closed STL")
	f.Float64Var(&o.taper, "taper", 0, "angle of the block-out's walls to the path, in degrees")
	f.BoolVar(&o.relief, "relief", false, "lay the relief of a case's design over its block-out")
	f.BoolVar(&o.plain, "plain", false, "block out a case without regard to its design: no ledges, nothing kept free")
	f.Float64Var(&o.pixel, "pixel", 0, "of the grid that faces are looked up in, in the mesh's unit; chosen by the mesh's size where left out")
	f.Float64Var(&o.resolution, "resolution", 0, "error bound of the depths, in the mesh's unit; refines the survey until it is met")
	cmd.MarkFlagsMutuallyExclusive("direction", "tilt")
	return cmd
}

// numbers reads so many numbers with commas between them.
func numbers(flag, s string, n int) ([]float64, error) {
	words := strings.Split(s, ",")
	if len(words) != n {
		return nil, usagef("--%s %q: expected %d numbers with commas, found %d", flag, s, n, len(words))
	}
	out := make([]float64, n)
	for i, w := range words {
		v, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, usagef("--%s %q: %q is no number (a decimal point is written as a point)", flag, s, w)
		}
		out[i] = v
	}
	return out, nil
}

// usage is what is wrong with the flags themselves, whatever is surveyed.
func (o surveyOptions) usage() error {
	switch {
	case o.blockout == "" && o.taper != 0:
		return usagef("--taper shapes the block-out: give --blockout, where it is written")
	case !(o.taper >= 0 && o.taper <= 30):
		return usagef("--taper %g: expected 0 to 30 degrees", o.taper)
	case !(o.pixel >= 0):
		return usagef("--pixel %g: expected a length above 0", o.pixel)
	case !(o.resolution >= 0):
		return usagef("--resolution %g: expected a length above 0", o.resolution)
	}
	return nil
}

func (o surveyOptions) path() (geom.Vec, error) {
	if o.direction != "" {
		v, err := numbers("direction", o.direction, 3)
		if err != nil {
			return geom.Vec{}, err
		}
		d := geom.V(v[0], v[1], v[2])
		if d.Norm() == 0 {
			return geom.Vec{}, usagef("--direction %q: expected three numbers that are not all 0", o.direction)
		}
		return d, nil
	}
	v, err := numbers("tilt", o.tilt, 2)
	if err != nil {
		return geom.Vec{}, err
	}
	a, err := tooth.ParseArch(o.arch)
	if err != nil {
		return geom.Vec{}, usageError{fmt.Errorf("--arch: %w", err)}
	}
	for _, deg := range v {
		if math.Abs(deg) >= 89 {
			return geom.Vec{}, usagef("--tilt %q: expected angles between -89 and 89 degrees", o.tilt)
		}
	}
	return survey.PathFromTilt(a, v[0], v[1]).Direction, nil
}

type surveyLine struct {
	Closed bool     `json:"closed"`
	Tooth  int      `json:"tooth,omitempty"`
	Points []triple `json:"points"`
}

type surveyLines struct {
	Lines []surveyLine `json:"survey_lines"`
}

type surveyAnswer struct {
	Direction      triple   `json:"direction"`
	Vertices       int      `json:"vertices"`
	Triangles      int      `json:"triangles"`
	MaxUndercut    float64  `json:"max_undercut_mm"`
	UndercutArea   float64  `json:"undercut_area_mm2"`
	Resolution     float64  `json:"resolution_mm"`
	Lines          int      `json:"survey_lines"`
	Assumed        []string `json:"assumed"`
	BlockOutVolume *float64 `json:"blockout_volume_mm3,omitempty"`
	BlockOutGap    *float64 `json:"blockout_largest_gap_mm,omitempty"`
	BlockOutKept   *float64 `json:"blockout_kept_free_mm3,omitempty"`
	Shelves        *float64 `json:"blockout_shelves_mm3,omitempty"`
	Relief         *float64 `json:"relief_volume_mm3,omitempty"`
	Seconds        float64  `json:"seconds"`
	*caseSurvey
}

func runSurvey(ctx context.Context, c *console, name string, o surveyOptions) error {
	if err := o.usage(); err != nil {
		return err
	}
	if isCase(name) {
		return runCaseSurvey(ctx, c, name, o)
	}
	if o.relief || o.plain {
		return usagef("--relief and --plain are about the design of a case: expected a case file, found the mesh %s", name)
	}
	if o.direction == "" && o.tilt == "" {
		return usagef("a mesh is surveyed along a path: give --direction or --tilt")
	}
	direction, err := o.path()
	if err != nil {
		return err
	}
	data, err := readFile("mesh", name)
	if err != nil {
		return err
	}
	f, err := scan.Read(name, data)
	if err != nil {
		return err
	}
	start := time.Now()
	m := f.Mesh
	if f.Format != "STL" {
		m = m.WeldVertices()
	}
	m, repair := mesh.Mend(m)
	if len(m.Faces) == 0 {
		return fmt.Errorf("could not survey %s: none of its %d triangles has an area", name, len(f.Mesh.Faces))
	}
	t, err := survey.NewTable(m, survey.Options{Pixel: o.pixel, Resolution: o.resolution})
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	s, err := t.Survey(ctx, direction)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if labels := labelsOf(f.FaceLabels); len(labels) == len(m.Faces) && slices.ContainsFunc(labels, isTooth) && !s.ShowsTeeth(labels) {
		return fmt.Errorf("%s: surveying along (%.3g, %.3g, %.3g): this path hides all its teeth; expected the way the denture is lifted off", name, s.Direction.X, s.Direction.Y, s.Direction.Z)
	}
	a := answerOf(s, repair.Text(), c.lang)
	if across := geom.BoxOf(m.Vertices).Size().Norm(); across < leastAcross || across > mostAcross {
		a.Assumed = append(a.Assumed, words.Tell("the mesh is %v across, no size of a cast in millimetres: it is surveyed in its own unit, and lengths called mm are in that", words.Figure{Value: across, Digits: max(0, 1-int(math.Floor(math.Log10(across))))}).In(c.lang))
	}
	a.Seconds = time.Since(start).Seconds()
	if o.blockout != "" {
		tell, end := c.progress("blocking out")
		b, err := t.BlockOut(ctx, direction, survey.Shaping{TaperDeg: o.taper, Progress: tell})
		end()
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := a.blockOut(o.blockout, b); err != nil {
			return err
		}
	}
	if err := o.write(s, s.Lines); err != nil {
		return err
	}
	if o.pictures != "" {
		at, err := timeOf(o.at)
		if err != nil {
			return err
		}
		page := drawing.UndercutMap(drawing.MapInput{Title: filepath.Base(name), Surface: filepath.Base(name), Date: at.Format("2006-01-02"), Program: "Halfpear " + Version, Survey: s, Lang: c.lang})
		if err := writePictures(o.pictures, page, nil); err != nil {
			return err
		}
	}
	return c.tellSurvey(name, a)
}

func isTooth(n tooth.Number) bool { return n != 0 }

// labelsOf are a file's face labels as tooth numbers.
func labelsOf(labels []uint8) []tooth.Number {
	out := make([]tooth.Number, len(labels))
	for i, l := range labels {
		out[i] = tooth.Number(l)
	}
	return out
}

// answerOf is what a survey answers of itself.
func answerOf(s *survey.Survey, repair words.Text, l words.Lang) surveyAnswer {
	m := s.Mesh
	a := surveyAnswer{Direction: tripleOf(s.Direction), Vertices: len(m.Vertices), Triangles: len(m.Faces), Resolution: s.Resolution, Lines: len(s.Lines), Assumed: []string{}}
	if !repair.Empty() {
		a.Assumed = append(a.Assumed, repair.In(l))
	}
	a.Assumed = append(a.Assumed, words.Lines(l, s.Assumed)...)
	for i := range m.Faces {
		deep := 0
		for _, v := range m.Faces[i] {
			if s.Depth[v] > 0 {
				deep++
			}
		}
		p, q, r := m.Corners(i)
		a.UndercutArea += float64(deep) / 3 * q.Sub(p).Cross(r.Sub(p)).Norm() / 2
	}
	for _, d := range s.Depth {
		a.MaxUndercut = math.Max(a.MaxUndercut, d)
	}
	return a
}

// blockOut writes a block-out and takes its measures into the answer.
func (a *surveyAnswer) blockOut(to string, b *survey.BlockOut) error {
	if err := atomicfile.Write(to, func(w io.Writer) error { return stl.Write(w, b.Mesh) }); err != nil {
		return err
	}
	a.BlockOutGap, a.BlockOutKept, a.Shelves, a.Relief = &b.LargestGap, &b.Kept, &b.Shelved, &b.Relieved
	if !math.IsNaN(b.Volume) {
		a.BlockOutVolume = &b.Volume
	}
	return nil
}

// write writes the depth map and the lines that were asked for.
func (o surveyOptions) write(s *survey.Survey, lines []survey.Line) error {
	if o.depthMap != "" {
		depth := make([]float32, len(s.Depth))
		for i, d := range s.Depth {
			depth[i] = float32(d)
		}
		if err := atomicfile.Write(o.depthMap, func(w io.Writer) error { return ply.Write(w, &ply.File{Mesh: s.Mesh, Undercut: depth}, false) }); err != nil {
			return err
		}
	}
	if o.lines == "" {
		return nil
	}
	out := surveyLines{Lines: []surveyLine{}}
	for _, l := range lines {
		line := surveyLine{Closed: l.Closed, Tooth: int(l.Tooth)}
		for _, p := range l.Points {
			line.Points = append(line.Points, tripleOf(p))
		}
		out.Lines = append(out.Lines, line)
	}
	return atomicfile.Write(o.lines, func(w io.Writer) error { return json.NewEncoder(w).Encode(out) })
}

// mapDPI is how fine the undercut map's PNG is.
const mapDPI = 200

// writePictures writes an undercut map, and elevations named by their pages, into a folder.
func writePictures(dir string, page sheet.Page, elevations []sheet.Page) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("could not make the folder for the pictures: %w", err)
	}
	write := func(name string, p sheet.Page) error {
		return atomicfile.Write(filepath.Join(dir, name), func(w io.Writer) error { return svg.Write(w, &p) })
	}
	if err := write("undercuts.svg", page); err != nil {
		return err
	}
	if err := atomicfile.Write(filepath.Join(dir, "undercuts.png"), func(w io.Writer) error { return png.Write(w, &page, mapDPI) }); err != nil {
		return err
	}
	for _, e := range elevations {
		if err := write(strings.ReplaceAll(e.Name, " ", "-")+".svg", e); err != nil {
			return err
		}
	}
	return nil
}

// tellSurvey prints the answer.
func (c *console) tellSurvey(name string, a surveyAnswer) error {
	if c.json {
		return c.answer(a)
	}
	fmt.Fprintf(c.out, "%s: %d vertices, %d triangles\n  deepest undercut %.3f, undercut area %.1f, %d survey lines, depths good to %.4f, %.2f s\n",
		name, a.Vertices, a.Triangles, a.MaxUndercut, a.UndercutArea, a.Lines, a.Resolution, a.Seconds)
	for _, n := range a.Assumed {
		fmt.Fprintf(c.out, "  %s\n", n)
	}
	if a.BlockOutGap != nil {
		volume := "its volume is not known: triangles disagree which side is outside"
		if a.BlockOutVolume != nil {
			volume = fmt.Sprintf("%.1f mm³", *a.BlockOutVolume)
		}
		fmt.Fprintf(c.out, "  block-out: %s, largest gap %.2f; %.2f mm³ kept free, shelves %.2f mm³, relief %.1f mm³\n", volume, *a.BlockOutGap, *a.BlockOutKept, *a.Shelves, *a.Relief)
	}
	if a.caseSurvey != nil {
		a.tell(c.out, c.lang)
	}
	return nil
}
