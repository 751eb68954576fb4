// Package unit says how the program's quantities are written: millimetres beside
// inches, degrees, newtons and megapascals, and how sure a number is.
package unit

import (
	"fmt"
	"math"
	"strconv"
)

// Origin says how a number came about. Unknown numbers have no Origin: they are absent.
type Origin string

const (
	Measured Origin = "measured"        // on a scan or a cast, by the program
	Entered  Origin = "entered by hand" // by a person, with a gauge, probe or ruler
	Average  Origin = "average"         // a published average or a default of ours
	Computed Origin = "computed"        // by a model, from the others
)

// Quantity is a number with its unit, where it came from and how far it may be off.
type Quantity struct {
	Value  float64
	Unit   string  // "mm", "deg", "N", "MPa", "teeth", "" for a ratio or a count
	Spread float64 // half-width of the band the true value is expected in; 0 not stated
	Origin Origin
}

// MM is a length in millimetres.
func MM(v float64, o Origin, spread float64) Quantity { return Quantity{v, "mm", spread, o} }

// String writes the quantity as on a drawing, as in "0.25 mm".
func (q Quantity) String() string {
	digits := 2
	switch q.Unit {
	case "mm":
		if q.Value >= 10 || q.Value <= -10 {
			digits = 1
		}
	case "deg":
		return strconv.FormatFloat(q.Value, 'f', 1, 64) + "°"
	case "MPa", "teeth", "mm²", "N·mm":
		digits = 0
	}
	s := strconv.FormatFloat(q.Value, 'f', digits, 64)
	if q.Unit == "" {
		return s
	}
	return s + " " + q.Unit
}

// Inches writes a length in millimetres as surveyors' gauges are named, as in "0.010 in":
// to the nearest five thousandths, because 0.25 mm is the name of the 0.010 in gauge.
func Inches(mm float64) string {
	thou := 5 * int(math.Round(mm/0.0254/5))
	return fmt.Sprintf("0.%03d in", thou)
}

// Thousandths is a number as documents keep it: to the third decimal, with no minus before
// nothing.
func Thousandths(v float64) float64 { return math.Round(v*1000)/1000 + 0 }
