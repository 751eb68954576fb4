package typodont

import (
	"slices"

	"halfpear/cast"
	"halfpear/tooth"
)

// form is the shape of one kind of crown as it stands in an average arch, lengths in mm.
// x runs mesially and y facially from the middle of the crown, h occlusally from the
// gingival margin at mid-facial. The lean of the crown is part of the profiles, so h is
// vertical.
//
// Crown height, mesiodistal and faciolingual size and the mesiodistal size at the cervix
// are those of cast.Average; heights of contour follow the thirds taught in Nelson & Ash,
// Wheeler's Dental Anatomy. The undercuts at the
// margin are ours, of the order that surveys of real arches show, larger on the facial of
// upper teeth and on the lingual of lower molars.
type form struct {
	height, md, mdCervix, fl float64
	riseM, riseD             float64 // how far the margin climbs toward a papilla, mesially and distally

	facial, lingual    profile
	contactM, contactD float64 // height of the contact
	topM, topD         float64 // half width lost at the top, mesially and distally
	round              float64 // exponent of the section: 2 an ellipse, more is squarer
	taper              float64 // how much narrower the lingual is
	fossa              float64 // depth of a front tooth's lingual fossa
	cingulum           float64 // height of a front tooth's cingulum
	grooves            []groove
	cusps              []cusp
	marginal           float64 // drop of the marginal ridges below the height
	oblique            bool    // upper molars' ridge from mesiolingual to distofacial cusp
}

// tall is the form squeezed or drawn out to another height: as much of a crown as stands
// out of the gum, with its bulge, contacts and cusps in the same thirds.
func (f form) tall(height float64) form {
	k := height / f.height
	for _, v := range []*float64{&f.height, &f.riseM, &f.riseD, &f.facial.contour, &f.lingual.contour, &f.contactM, &f.contactD, &f.cingulum, &f.marginal} {
		*v *= k
	}
	f.cusps = slices.Clone(f.cusps)
	for i := range f.cusps {
		f.cusps[i].drop *= k
	}
	return f
}

// profile is one outline of a crown: y at the margin, at the height of contour and at
// the top, all as distances outward from the middle.
type profile struct {
	contour  float64 // height of the height of contour
	undercut float64 // how far the margin stands back from it
	lean     float64 // how far the top stands back from it
	bend     float64 // exponent of the curve above the contour
}

// groove is a furrow down a facial or lingual surface, or a lobe where depth is negative.
type groove struct {
	lingual             bool
	x, width, depth     float64
	fromShare, topShare float64 // of the height: where it begins, where it is full
}

// cusp is a cusp tip: x from the middle, on the facial or the lingual row.
type cusp struct {
	lingual bool
	x       float64
	in      float64 // further in than the top of the profile
	drop    float64 // below the height
}

// formOf is the form of a tooth.
func formOf(n tooth.Number) form {
	f, a := forms[n.Arch()][n.Kind()], cast.AverageOf(n)
	f.height, f.md, f.mdCervix, f.fl = a.Height, a.MD, a.MDCervix, a.FL
	return f
}

// forms by arch and kind, without their sizes.
var forms = map[tooth.Arch]map[tooth.Kind]form{
	tooth.Upper: {
		tooth.CentralIncisor: {riseM: 4.1, riseD: 3.3,
			facial: profile{6.2, 0.75, 0.25, 2}, contactM: 9.0, contactD: 7.6, topM: 0.25, topD: 0.7, round: 2.5, taper: 0.2,
			fossa: 0.95, cingulum: 2.2,
			grooves: []groove{{false, -1.4, 0.8, 0.16, 0.4, 0.8}, {false, 1.4, 0.8, 0.16, 0.4, 0.8}}},
		tooth.LateralIncisor: {riseM: 3.2, riseD: 2.6,
			facial: profile{4.8, 0.55, 0.3, 2}, contactM: 7.0, contactD: 5.8, topM: 0.45, topD: 1.0, round: 2.3, taper: 0.22,
			fossa: 0.9, cingulum: 2.0,
			grooves: []groove{{false, -1.0, 0.7, 0.12, 0.4, 0.8}, {false, 1.0, 0.7, 0.12, 0.4, 0.8}}},
		tooth.Canine: {riseM: 2.9, riseD: 2.0,
			facial: profile{3.6, 0.45, 1.3, 1.7}, contactM: 7.0, contactD: 5.8, topM: 0.5, topD: 0.7, round: 2.15, taper: 0.25,
			fossa: 0.1, cingulum: 2.6,
			grooves: []groove{{true, 1.45, 0.8, 0.4, 0.28, 0.5}, {true, -1.45, 0.8, 0.4, 0.28, 0.5}, {false, 0.1, 1.0, -0.2, 0.3, 0.7}}},
		tooth.FirstPremolar: {riseM: 1.3, riseD: 1.1,
			facial: profile{2.9, 0.45, 1.7, 1.8}, lingual: profile{3.8, 0.25, 2.0, 1.8}, contactM: 5.2, contactD: 5.0,
			topM: 0.5, topD: 0.5, round: 2.4, taper: 0.14, marginal: 1.7,
			grooves: []groove{{false, 0, 1.0, -0.15, 0.3, 0.7}},
			cusps:   []cusp{{false, -0.3, 0, 0}, {true, 0.5, 0, 1.0}}},
		tooth.SecondPremolar: {riseM: 1.3, riseD: 1.1,
			facial: profile{2.8, 0.42, 1.7, 1.8}, lingual: profile{3.8, 0.25, 1.9, 1.8}, contactM: 5.1, contactD: 4.9,
			topM: 0.5, topD: 0.5, round: 2.4, taper: 0.12, marginal: 1.6,
			grooves: []groove{{false, 0, 1.0, -0.12, 0.3, 0.7}},
			cusps:   []cusp{{false, 0, 0, 0}, {true, 0.4, 0, 0.3}}},
		tooth.FirstMolar: {riseM: 1.3, riseD: 1.0,
			facial: profile{2.4, 0.38, 1.9, 1.7}, lingual: profile{3.5, 0.3, 2.1, 1.8}, contactM: 4.9, contactD: 4.5,
			topM: 0.5, topD: 0.6, round: 2.8, taper: 0.04, marginal: 1.5, oblique: true,
			grooves: []groove{{false, 0.1, 0.7, 0.45, 0.25, 0.9}, {true, -1.1, 0.7, 0.5, 0.25, 0.9}},
			cusps:   []cusp{{false, 2.3, 0, 0.15}, {false, -2.2, 0.2, 0.4}, {true, 1.7, 0, 0}, {true, -2.8, 0.3, 1.1}}},
		tooth.SecondMolar: {riseM: 1.3, riseD: 1.0,
			facial: profile{2.4, 0.4, 1.9, 1.7}, lingual: profile{3.2, 0.3, 2.2, 1.8}, contactM: 4.5, contactD: 4.0,
			topM: 0.5, topD: 0.7, round: 2.6, taper: 0.1, marginal: 1.4, oblique: true,
			grooves: []groove{{false, -0.1, 0.7, 0.4, 0.25, 0.9}, {true, -1.3, 0.6, 0.4, 0.3, 0.9}},
			cusps:   []cusp{{false, 2.0, 0, 0.1}, {false, -2.0, 0.3, 0.6}, {true, 1.2, 0, 0}, {true, -2.7, 0.6, 1.5}}},
		tooth.ThirdMolar: {riseM: 1.2, riseD: 0.9,
			facial: profile{2.2, 0.35, 1.9, 1.7}, lingual: profile{3.0, 0.3, 2.2, 1.8}, contactM: 4.1, contactD: 3.6,
			topM: 0.6, topD: 0.9, round: 2.3, taper: 0.16, marginal: 1.3,
			grooves: []groove{{false, -0.1, 0.7, 0.35, 0.3, 0.9}},
			cusps:   []cusp{{false, 1.8, 0, 0.1}, {false, -1.8, 0.4, 0.7}, {true, 0.4, 0, 0.2}}},
	},
	tooth.Lower: {
		tooth.CentralIncisor: {riseM: 3.4, riseD: 3.2,
			facial: profile{5.0, 0.5, 0.1, 2}, contactM: 7.9, contactD: 7.8, topM: 0.15, topD: 0.2, round: 2.3, taper: 0.25,
			fossa: 0.3, cingulum: 1.8},
		tooth.LateralIncisor: {riseM: 3.5, riseD: 3.1,
			facial: profile{4.8, 0.5, 0.25, 2}, contactM: 8.3, contactD: 7.9, topM: 0.2, topD: 0.35, round: 2.3, taper: 0.25,
			fossa: 0.3, cingulum: 1.9},
		tooth.Canine: {riseM: 3.2, riseD: 2.2,
			facial: profile{3.3, 0.5, 1.1, 1.7}, contactM: 8.6, contactD: 7.2, topM: 0.3, topD: 0.6, round: 2.2, taper: 0.25,
			fossa: 0.1, cingulum: 2.4,
			grooves: []groove{{true, 1.35, 0.8, 0.3, 0.28, 0.5}, {true, -1.35, 0.8, 0.3, 0.28, 0.5}, {false, 0.2, 1.0, -0.15, 0.3, 0.7}}},
		tooth.FirstPremolar: {riseM: 1.3, riseD: 1.1,
			facial: profile{3.2, 0.56, 2.6, 1.8}, lingual: profile{4.0, 0.35, 1.0, 1.8}, contactM: 5.2, contactD: 5.0,
			topM: 0.5, topD: 0.5, round: 2.2, taper: 0.22, marginal: 2.1,
			grooves: []groove{{false, 0.1, 1.0, -0.15, 0.3, 0.7}, {true, 1.2, 0.5, 0.25, 0.35, 0.7}},
			cusps:   []cusp{{false, 0.2, 0, 0}, {true, 0.2, 0, 2.7}}},
		tooth.SecondPremolar: {riseM: 1.3, riseD: 1.1,
			facial: profile{3.2, 0.58, 2.4, 1.8}, lingual: profile{4.8, 0.5, 1.1, 1.8}, contactM: 4.9, contactD: 4.7,
			topM: 0.45, topD: 0.45, round: 2.4, taper: 0.06, marginal: 1.6,
			grooves: []groove{{false, 0.1, 1.0, -0.12, 0.3, 0.7}, {true, -0.7, 0.5, 0.3, 0.4, 0.8}},
			cusps:   []cusp{{false, 0.1, 0, 0}, {true, 1.0, 0, 0.9}, {true, -1.7, 0.1, 1.3}}},
		tooth.FirstMolar: {riseM: 1.3, riseD: 1.0,
			facial: profile{2.3, 0.3, 2.8, 1.6}, lingual: profile{3.7, 0.5, 1.2, 1.8}, contactM: 4.9, contactD: 4.5,
			topM: 0.5, topD: 0.9, round: 2.7, taper: 0.06, marginal: 1.4,
			grooves: []groove{{false, 1.2, 0.6, 0.45, 0.3, 0.9}, {false, -2.6, 0.6, 0.35, 0.35, 0.9}, {true, 0.2, 0.6, 0.4, 0.4, 0.9}},
			cusps: []cusp{{false, 3.1, 0, 0.35}, {false, -0.8, -0.2, 0.45}, {false, -3.9, 0.8, 0.9},
				{true, 2.5, 0, 0}, {true, -2.3, 0, 0.15}}},
		tooth.SecondMolar: {riseM: 1.3, riseD: 1.0,
			facial: profile{2.3, 0.3, 2.6, 1.6}, lingual: profile{3.5, 0.6, 1.2, 1.8}, contactM: 4.5, contactD: 4.1,
			topM: 0.5, topD: 0.7, round: 2.7, taper: 0.05, marginal: 1.3,
			grooves: []groove{{false, 0, 0.6, 0.45, 0.3, 0.9}, {true, 0, 0.6, 0.35, 0.4, 0.9}},
			cusps:   []cusp{{false, 2.5, 0, 0.25}, {false, -2.4, 0.1, 0.45}, {true, 2.3, 0, 0}, {true, -2.3, 0.1, 0.2}}},
		tooth.ThirdMolar: {riseM: 1.2, riseD: 0.9,
			facial: profile{2.3, 0.3, 2.4, 1.6}, lingual: profile{3.5, 0.6, 1.2, 1.8}, contactM: 4.4, contactD: 3.9,
			topM: 0.6, topD: 1.0, round: 2.4, taper: 0.06, marginal: 1.2,
			grooves: []groove{{false, 0.1, 0.6, 0.35, 0.3, 0.9}, {true, 0, 0.6, 0.3, 0.4, 0.9}},
			cusps:   []cusp{{false, 2.2, 0.1, 0.3}, {false, -2.1, 0.3, 0.5}, {true, 2.0, 0, 0}, {true, -2.0, 0.2, 0.3}}},
	},
}

// lingualFront is the lingual outline of a front tooth, as shares of the height and of
// the way from the most lingual point to the top of the incisal edge: over the cingulum,
// then hollow. The height of contour lies in the cervical third (Nelson & Ash).
var lingualFront = []struct{ h, y float64 }{
	{0, 0.03}, {0.10, 0.006}, {0.17, 0}, {0.24, 0.025}, {0.33, 0.16}, {0.45, 0.39}, {0.58, 0.60}, {0.72, 0.77}, {0.86, 0.90}, {1, 1},
}

// edgeThickness is how thick an incisal edge is, facial to lingual.
const edgeThickness = 1.0
