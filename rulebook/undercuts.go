package rulebook

import (
	"math"

	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
)

// siteHalfWidth is how far from the middle of a site a place still belongs to it [deg]:
// half of the turn from one site to the next.
const siteHalfWidth = 22.5

// UndercutsOf reads the undercuts of surveyed crowns: at each site the deepest place that
// is at least clear [mm] above the gingival margin, where a clasp's tip may lie.
func UndercutsOf(crowns map[tooth.Number]survey.Crown, clear float64, origin unit.Origin, spread float64) Undercuts {
	out := Undercuts{}
	for n, c := range crowns {
		m := map[tooth.Site]Reading{}
		for _, s := range tooth.Sites {
			best := Reading{Origin: origin, Spread: spread}
			for _, col := range c.Columns {
				if d := math.Mod(math.Abs(col.AngleDeg-siteAngle[s])+360, 360); d > siteHalfWidth && d < 360-siteHalfWidth {
					continue
				}
				for i, depth := range col.Depth {
					if i >= len(col.Height) || col.Height[i] < clear || depth <= best.MM {
						continue
					}
					h := col.Height[i]
					best.MM, best.AboveMarginMM = depth, &h
				}
			}
			m[s] = best
		}
		out[n] = m
	}
	return out
}

// Over lays u over under: where u knows a tooth, what it says of that tooth counts alone.
func (u Undercuts) Over(under Undercuts) Undercuts {
	out := Undercuts{}
	for n, m := range under {
		out[n] = m
	}
	for n, m := range u {
		out[n] = m
	}
	return out
}
