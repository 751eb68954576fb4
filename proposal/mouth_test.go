package proposal

import (
	"strconv"
	"strings"
	"testing"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// mouth reads a chart from a few lines of text:
//
//	lower                        the arch
//	missing 36,37,46,47          third molars that are not named are missing too
//	37 replace=no mobility=2     findings of one tooth
//	floor=9 vestibule=8          tissues, the same at every tooth
//	34 mid-facial .25            an undercut read with the gauge
//	smile=high gag nickel        the patient
func mouth(t testing.TB, text string) (chart.Chart, rulebook.Undercuts) {
	t.Helper()
	c := chart.Chart{Teeth: map[tooth.Number]chart.Tooth{}}
	u := rulebook.Undercuts{}
	named := map[tooth.Number]bool{}
	fail := func(line string, why any) { t.Fatalf("chart line %q: %v", line, why) }
	yes, no := true, false
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == ';' }) {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		switch f[0] {
		case "upper", "lower":
			c.Arch, _ = tooth.ParseArch(f[0])
			continue
		case "missing":
			for _, w := range strings.Split(f[1], ",") {
				n, err := tooth.Parse(w)
				if err != nil {
					fail(line, err)
				}
				x := c.Teeth[n]
				x.State, x.Replace = chart.Missing, &yes
				c.Teeth[n], named[n] = x, true
			}
			continue
		}
		if n, err := tooth.Parse(f[0]); err == nil {
			named[n] = true
			x := c.Teeth[n]
			for i := 1; i < len(f); i++ {
				if site := tooth.Site(f[i]); strings.HasSuffix(f[i], "facial") || strings.HasSuffix(f[i], "lingual") && strings.Contains(f[i], "-") {
					v, err := strconv.ParseFloat(f[i+1], 64)
					if err != nil {
						fail(line, err)
					}
					if u[n] == nil {
						u[n] = map[tooth.Site]rulebook.Reading{}
					}
					u[n][site] = rulebook.Reading{MM: v, Origin: unit.Entered}
					i++
					continue
				}
				k, v, _ := strings.Cut(f[i], "=")
				num := func() *float64 {
					x, err := strconv.ParseFloat(v, 64)
					if err != nil {
						fail(line, err)
					}
					return &x
				}
				switch k {
				case "replace":
					x.Replace = map[string]*bool{"yes": &yes, "no": &no}[v]
				case "abutment":
					x.Abutment = map[string]*bool{"yes": &yes, "no": &no}[v]
				case "state":
					x.State = chart.State(v)
				case "mobility":
					m := int(*num())
					x.Mobility = &m
				case "bone":
					x.BoneLossPercent = num()
				case "crr":
					x.CrownRootRatio = num()
				case "tilt":
					x.TiltDeg = num()
				case "toward":
					x.TiltToward = v
				case "rotated":
					x.RotationDeg = num()
				case "filled":
					x.RootFilled = &yes
				case "crown":
					x.Crown = v
				case "caries":
					x.Caries = v
				case "prognosis":
					x.Prognosis = v
				case "room":
					x.OpposingRoomMM = num()
				case "height":
					x.CrownHeightMM = num()
				case "mesial":
					x.MesialContact = v
				case "diastema":
					x.Diastema = &yes
				case "frenum":
					c.Tissues.FrenumNear = append(c.Tissues.FrenumNear, n)
				case "vestibule":
					if c.Tissues.VestibuleDepthMM == nil {
						c.Tissues.VestibuleDepthMM = map[tooth.Number]float64{}
					}
					c.Tissues.VestibuleDepthMM[n] = *num()
				case "tissue":
					a, b, _ := strings.Cut(v, "@")
					d, _ := strconv.ParseFloat(a, 64)
					s, _ := strconv.ParseFloat(b, 64)
					if c.Tissues.TissueUndercutMM == nil {
						c.Tissues.TissueUndercutMM = map[tooth.Number]chart.TissueUndercut{}
					}
					c.Tissues.TissueUndercutMM[n] = chart.TissueUndercut{DepthMM: d, BelowMarginMM: s}
				default:
					fail(line, "unknown finding "+k)
				}
			}
			c.Teeth[n] = x
			continue
		}
		for _, w := range f {
			k, v, _ := strings.Cut(w, "=")
			x, _ := strconv.ParseFloat(v, 64)
			switch k {
			case "floor":
				c.Tissues.FloorDepthMM = map[tooth.Number]float64{34: x, 33: x, 43: x, 44: x}
			case "vestibule":
				c.Tissues.VestibuleDepthMM = map[tooth.Number]float64{}
				for _, n := range tooth.All(c.Arch) {
					c.Tissues.VestibuleDepthMM[n] = x
				}
			case "functional":
				c.Tissues.FloorIsFunctional = &yes
			case "frenum":
				c.Tissues.LingualFrenum = v
			case "torus":
				place := map[tooth.Arch]string{tooth.Upper: "palatal", tooth.Lower: "lingual"}[c.Arch]
				torus := chart.Torus{Place: place, Size: "large", Operable: &no}
				if v != "" {
					torus.ToVibratingMM = &x
				}
				c.Tissues.Tori = append(c.Tissues.Tori, torus)
			case "smile":
				c.Patient.SmileLine = v
			case "gag":
				c.Patient.Gag = &yes
			case "dexterity":
				c.Patient.Dexterity = v
			case "opposing":
				c.Opposing.Kind = v
			case "nickel", "cobalt":
				c.Patient.Allergies = append(c.Patient.Allergies, k)
			default:
				fail(line, "unknown word "+k)
			}
		}
	}
	for _, n := range tooth.All(c.Arch) {
		if n.Kind() == tooth.ThirdMolar && !named[n] {
			c.Teeth[n] = chart.Tooth{State: chart.Missing}
		}
	}
	return c, u
}

func propose(t testing.TB, profile, text string) []Proposal {
	t.Helper()
	c, u := mouth(t, text)
	book, err := rulebook.Open(profile)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Propose(Input{Chart: c, Book: book, Undercuts: u})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func mustClass(t testing.TB, c chart.Chart) arch.Result {
	t.Helper()
	r, err := arch.Classify(c.Pattern(false))
	if err != nil {
		t.Fatal(err)
	}
	return r
}
