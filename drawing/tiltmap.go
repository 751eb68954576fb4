package drawing

import (
	"fmt"
	"math"

	"halfpear/sheet"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

// TiltMap draws a sweep of paths: each path a dot at its lean from the vertical, anterior
// up and the patient's right on the reader's left, darker the better; rings every five
// degrees, the best path ringed and the chosen one crossed.
func TiltMap(s survey.Swept, a tooth.Arch, chosen *survey.Path, withinDeg float64, l words.Lang) sheet.Page {
	const side, foot = 120.0, 40.0
	p := sheet.Page{Name: "tilt map", Size: sheet.Size{W: side, H: side + foot}}
	middle := sheet.Pt(side/2, side/2)
	scale := (side/2 - 12) / withinDeg
	at := func(t survey.Path) sheet.Point {
		// Both arches are shown with the patient's right on the reader's left.
		return sheet.Pt(middle.X-t.RightDeg*scale, middle.Y-t.AnteriorDeg*scale)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, t := range s.Tries {
		lo, hi = math.Min(lo, t.Score), math.Max(hi, t.Score)
	}
	step := 2 * withinDeg * scale / math.Max(4, math.Sqrt(float64(len(s.Tries))*4/math.Pi))
	for _, t := range s.Tries {
		q := (t.Score - lo) / math.Max(hi-lo, 1e-12)
		shade := uint8(70 + 180*math.Sqrt(q))
		p.Area("tries", sheet.RGB(shade, uint8(math.Min(255, float64(shade)+12)), uint8(math.Min(255, float64(shade)+20))), square(at(t.Path), step*0.98))
	}
	ink := sheet.RGB(40, 40, 40)
	thin := sheet.Pen{Layer: "rings", Ink: ink, Width: 0.13}
	small := sheet.Type{Layer: "text", Size: 2.6, Ink: ink, Align: sheet.Center}
	for r := 5.0; r <= withinDeg+1e-9; r += 5 {
		p.Draw(thin, true, sheet.Circle(middle, r*scale))
		p.Write(small, sheet.Pt(middle.X, middle.Y-r*scale-0.6), fmt.Sprintf("%g°", r))
	}
	p.Line(thin, sheet.Pt(10, middle.Y), sheet.Pt(side-10, middle.Y))
	p.Line(thin, sheet.Pt(middle.X, 10), sheet.Pt(middle.X, side-10))
	bold := small
	bold.Face, bold.Size = sheet.Bold, 3.2
	p.Write(bold, sheet.Pt(middle.X, 6.5), words.TiltForward.In(l))
	p.Write(bold, sheet.Pt(5, middle.Y+1), words.RightLetter.In(l))
	p.Write(bold, sheet.Pt(side-5, middle.Y+1), words.LeftLetter.In(l))
	mark := sheet.Pen{Layer: "best", Ink: sheet.RGB(0xD5, 0x5E, 0), Width: 0.5}
	best := at(s.Best.Path)
	p.Draw(mark, true, sheet.Circle(best, 2.4))
	if chosen != nil {
		q := at(*chosen)
		pen := sheet.Pen{Layer: "chosen", Ink: sheet.RGB(0x1F, 0x4E, 0x5F), Width: 0.5}
		p.Line(pen, sheet.Pt(q.X-2, q.Y-2), sheet.Pt(q.X+2, q.Y+2))
		p.Line(pen, sheet.Pt(q.X-2, q.Y+2), sheet.Pt(q.X+2, q.Y-2))
	}
	y := side + 3.0
	say := func(face sheet.Face, size float64, text string) {
		for _, line := range face.Wrap(text, size, side-14) {
			p.Write(sheet.Type{Layer: "text", Face: face, Size: size, Ink: ink}, sheet.Pt(7, y), line)
			y += size * sheet.Leading
		}
	}
	deg := func(v float64) string { return words.Deg(l, v) }
	say(sheet.Bold, 2.8, words.TiltMapTitle.In(l))
	say(sheet.Plain, 2.5, words.TiltBest.In(l, PathText(s.Best.Path, l), deg(s.Flat)))
	if chosen != nil {
		say(sheet.Plain, 2.5, words.TiltChosen.In(l, PathText(*chosen, l)))
	}
	say(sheet.Plain, 2.5, words.TiltShade.In(l))
	say(sheet.Plain, 2.5, words.TiltSwept.In(l, words.Term(l, "arch", a.String()), len(s.Tries), deg(withinDeg)))
	say(sheet.Plain, 2.1, words.Safety.In(l)+" "+words.VerifyBefore.In(l))
	return p
}

func square(c sheet.Point, side float64) []sheet.Point {
	h := side / 2
	return []sheet.Point{sheet.Pt(c.X-h, c.Y-h), sheet.Pt(c.X+h, c.Y-h), sheet.Pt(c.X+h, c.Y+h), sheet.Pt(c.X-h, c.Y+h)}
}
