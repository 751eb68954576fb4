package material

import "halfpear/source"

// Where the figures come from.
var (
	okazaki = source.Ref{Key: "okazaki-2005", Cite: "Okazaki et al., Mater Trans 2005;46:1545-50: castings of Co-Cr-Mo and Ti-6Al-7Nb", Mark: source.LookedUp}
	melted  = source.Ref{Key: "laser-cocr-2018", Cite: "Adv Mater Sci Eng 2018, article 8213023, table 2: laser-melted Co-Cr", Mark: source.LookedUp}
	tiTable = source.Ref{Key: "cast-ti-table", Cite: "table of cast dental titanium alloys in a biomedical reference", Mark: source.LookedUp}
	peekRef = source.Ref{Key: "peek-bending", Cite: "PMC6626261: pressed and milled PEEK in four-point bending", Mark: source.LookedUp}
	tribst  = source.Ref{Key: "tribst-2020", Cite: "Tribst et al., Dent Mater 2020, as tabled in Materials 2021;14:408", Mark: source.LookedUp}
	phill   = source.Ref{Key: "phillips", Cite: "Anusavice, Phillips' Science of Dental Materials", Mark: source.FromMemory}
	astm    = source.Ref{Key: "astm-f67", Cite: "ASTM F67, unalloyed titanium", Mark: source.FromMemory}
	clp     = source.Ref{Key: "clp-cobalt", Cite: "Regulation (EU) 2020/217: cobalt metal classed as carcinogenic, mutagenic and toxic to reproduction, category 1B", Mark: source.FromMemory}
	iso     = source.Ref{Key: "iso-22674", Cite: "ISO 22674, metallic materials for dental restorations: nickel to be declared above 0.1 %, beryllium and cadmium limited to 0.02 %", Mark: source.FromMemory}
	contact = source.Ref{Key: "contact-allergy", Cite: "contact allergy to metals, teaching text", Mark: source.FromMemory}
)

var (
	nickel    = Hazard{"nickel", "people allergic to nickel; the commonest contact allergy to a metal", contact}
	cobalt    = Hazard{"cobalt", "people allergic to cobalt; its dust harms those who grind it", clp}
	chromium  = Hazard{"chromium", "people allergic to chromium; rare with metal that keeps its oxide film", contact}
	beryllium = Hazard{"beryllium", "those who melt and grind it, by dust and fume; some nickel-chromium alloys hold it: ask for one that does not", iso}
	monomer   = Hazard{"methyl methacrylate", "people allergic to the monomer left in the resin", contact}
)

func read(typical, low, high float64) Value  { return Value{typical, low, high, source.LookedUp} }
func known(typical, low, high float64) Value { return Value{typical, low, high, source.FromMemory} }

// table is in the order materials are offered. A figure marked as looked up was read in
// one of the material's sources; the default within a band is our choice.
var table = []Material{
	{
		Name: "co-cr-cast", Label: "cobalt-chromium, cast", Class: Cast,
		E: known(220e3, 200e3, 230e3), Nu: known(0.30, 0.28, 0.32),
		Proof: read(500, 495, 710), Ultimate: read(773, 685, 870), Elongation: read(10, 1.5, 15),
		Hardness: known(380, 350, 420), Density: known(8.3, 8.2, 8.4), Shrinkage: known(2.2, 2.1, 2.3),
		Hazards: []Hazard{cobalt, chromium},
		Note:    "castings measured 589 MPa proof stress on average, with 23 MPa spread; the default is lower because castings vary",
		Sources: []source.Ref{okazaki, phill},
	},
	{
		Name: "co-cr-laser", Label: "cobalt-chromium, laser-melted", Class: Melted,
		E: read(200e3, 106e3, 230e3), Nu: known(0.30, 0.28, 0.32),
		Proof: read(650, 651, 1003), Ultimate: read(1012, 1012, 1262), Elongation: read(8, 8, 24),
		Hardness: known(450, 400, 500), Density: known(8.4, 8.3, 8.6),
		Hazards: []Hazard{cobalt, chromium},
		Note:    "heat treated; the modulus differs widely between machines and build directions: enter the maker's figure",
		Sources: []source.Ref{melted, phill},
	},
	{
		Name: "ni-cr", Label: "nickel-chromium", Class: Cast,
		E: known(195e3, 185e3, 210e3), Nu: known(0.30, 0.28, 0.32),
		Proof: known(350, 300, 690), Ultimate: known(600, 470, 800), Elongation: known(8, 2, 20),
		Hardness: known(300, 240, 350), Density: known(8.2, 7.9, 8.7), Shrinkage: known(2.15, 2.0, 2.3),
		Hazards: []Hazard{nickel, chromium, beryllium},
		Sources: []source.Ref{phill},
	},
	{
		Name: "gold-iv", Label: "gold alloy, type 4, hardened", Class: Cast,
		E: known(95e3, 90e3, 100e3), Nu: known(0.35, 0.33, 0.40),
		Proof: known(400, 370, 500), Ultimate: known(700, 600, 800), Elongation: known(5, 3, 10),
		Hardness: known(240, 220, 260), Density: known(15, 14, 16), Shrinkage: known(1.5, 1.4, 1.6),
		Note:    "left soft it yields at 250 to 300 MPa",
		Sources: []source.Ref{phill},
	},
	{
		Name: "cp-ti", Label: "commercially pure titanium, grade 4", Class: Cast,
		E: known(105e3, 103e3, 110e3), Nu: known(0.34, 0.32, 0.36),
		Proof: known(480, 480, 550), Ultimate: known(600, 550, 680), Elongation: known(15, 5, 15),
		Hardness: known(230, 200, 260), Density: known(4.5, 4.5, 4.51), Shrinkage: known(1.9, 1.8, 2.0),
		Note:    "cast grade 2 yields at 200 to 350 MPa: ask which grade is cast",
		Sources: []source.Ref{astm, phill},
	},
	{
		Name: "ti-6al-4v", Label: "titanium, 6 Al 4 V", Class: Cast,
		E: known(110e3, 105e3, 115e3), Nu: known(0.34, 0.31, 0.36),
		Proof: read(800, 729, 847), Ultimate: read(965, 954, 976), Elongation: read(5, 5, 10),
		Hardness: known(335, 320, 350), Density: known(4.4, 4.4, 4.43), Shrinkage: known(1.9, 1.8, 2.0),
		Sources: []source.Ref{tiTable, astm},
	},
	{
		Name: "ti-6al-7nb", Label: "titanium, 6 Al 7 Nb", Class: Cast,
		E: known(105e3, 100e3, 110e3), Nu: known(0.34, 0.31, 0.36),
		Proof: read(800, 800, 903), Ultimate: read(960, 933, 1009), Elongation: read(9, 7, 15),
		Hardness: known(315, 300, 330), Density: known(4.5, 4.5, 4.52), Shrinkage: known(1.9, 1.8, 2.0),
		Note:    "short life where a clasp bends 0.75 mm (Mahmoud et al., J Prosthet Dent 2005)",
		Sources: []source.Ref{okazaki, tiTable},
	},
	{
		Name: "wrought-wire-steel", Label: "wrought wire, stainless steel 18-8", Class: Wrought,
		E: known(190e3, 180e3, 200e3), Nu: known(0.30, 0.28, 0.31),
		Proof: known(1000, 900, 1600), Ultimate: known(1500, 1200, 2000), Elongation: known(4, 1, 8),
		Hardness: known(480, 400, 550), Density: known(7.9, 7.9, 8.0),
		Hazards: []Hazard{nickel, chromium},
		Note:    "as drawn; soldering softens it",
		Sources: []source.Ref{phill},
	},
	{
		Name: "wrought-wire-pgp", Label: "wrought wire, platinum-gold-palladium", Class: Wrought,
		E: known(105e3, 95e3, 115e3), Nu: known(0.35, 0.33, 0.40),
		Proof: known(550, 500, 750), Ultimate: known(800, 700, 900), Elongation: known(10, 5, 15),
		Hardness: known(250, 200, 300), Density: known(16, 15, 17),
		Hazards: []Hazard{{"palladium", "people allergic to palladium, often together with nickel", contact}},
		Sources: []source.Ref{phill},
	},
	{
		Name: "wrought-wire-co-cr-ni", Label: "wrought wire, cobalt-chromium-nickel", Class: Wrought,
		E: known(200e3, 190e3, 210e3), Nu: known(0.30, 0.28, 0.32),
		Proof: known(900, 800, 1400), Ultimate: known(1400, 1000, 1900), Elongation: known(5, 1, 10),
		Hardness: known(500, 400, 600), Density: known(8.3, 8.2, 8.4),
		Hazards: []Hazard{nickel, cobalt, chromium},
		Note:    "strength depends on the heat treatment",
		Sources: []source.Ref{phill},
	},
	{
		Name: "peek", Label: "PEEK", Class: Plastic,
		E: read(4500, 3600, 5600), Nu: known(0.38, 0.36, 0.40),
		Proof: read(90, 90, 110), Ultimate: read(100, 97, 118), Elongation: known(30, 20, 40),
		Hardness: known(25, 24, 30), Density: known(1.3, 1.3, 1.32), Creeps: true, LastingE: 0.65,
		Sources: []source.Ref{peekRef, tribst},
	},
	{
		Name: "pekk", Label: "PEKK", Class: Plastic,
		E: known(4500, 4000, 5100), Nu: known(0.39, 0.38, 0.40),
		Proof: known(100, 100, 120), Ultimate: known(120, 110, 130), Elongation: known(5, 3, 10),
		Hardness: known(25, 24, 30), Density: known(1.35, 1.3, 1.4), Creeps: true, LastingE: 0.65,
		Sources: []source.Ref{phill},
	},
	{
		Name: "acetal", Label: "acetal resin (POM)", Class: Plastic,
		E: read(2900, 2600, 3200), Nu: known(0.38, 0.35, 0.40),
		Proof: known(55, 55, 70), Ultimate: known(65, 60, 70), Elongation: known(25, 15, 40),
		Hardness: known(17, 15, 20), Density: known(1.41, 1.40, 1.42), Creeps: true, LastingE: 0.6,
		Sources: []source.Ref{tribst, phill},
	},
	{
		Name: "polyamide", Label: "polyamide", Class: Plastic,
		E: read(1440, 1000, 1800), Nu: known(0.40, 0.38, 0.42),
		Proof: known(45, 35, 60), Ultimate: known(60, 45, 75), Elongation: known(50, 20, 100),
		Density: known(1.05, 1.02, 1.14), Creeps: true, LastingE: 0.5,
		Sources: []source.Ref{tribst, phill},
	},
	{
		Name: "resin", Label: "heat-cured denture resin", Class: Plastic,
		E: known(2700, 2200, 3200), Nu: known(0.36, 0.33, 0.40),
		Proof: known(55, 45, 65), Ultimate: known(65, 50, 80), Elongation: known(3, 1, 5),
		Hardness: known(18, 15, 22), Density: known(1.18, 1.16, 1.20), Creeps: true, LastingE: 0.65,
		Hazards: []Hazard{monomer},
		Sources: []source.Ref{phill},
	},
}
