package words

// terms are the trade's words by the codes that case files use: "kind" for a kind of part
// and "kind.form" for its forms, "material.…", "surface.…", "site.…" and so on.
var terms = map[string]Word{
	"kind.rest":              say("rest", "Auflage"),
	"kind.retainer":          say("clasp", "Klammer"),
	"kind.reciprocation":     say("reciprocation", "Gegenlager"),
	"kind.guide-plate":       say("guide plate", "Führungsplatte"),
	"kind.minor-connector":   say("minor connector", "kleiner Verbinder"),
	"kind.major-connector":   say("major connector", "großer Verbinder"),
	"kind.base":              say("denture base", "Prothesensattel"),
	"kind.tissue-stop":       say("tissue stop", "Gewebestopp"),
	"kind.finish-line":       say("finish line", "Abschlusslinie"),
	"kind.replacement-tooth": say("replacement tooth", "Ersatzzahn"),

	"rest.occlusal":  say("occlusal rest", "okklusale Auflage"),
	"rest.extended":  say("extended occlusal rest", "verlängerte okklusale Auflage"),
	"rest.embrasure": say("embrasure rest", "interdentale Doppelauflage"),
	"rest.cingulum":  say("cingulum rest", "Zingulumauflage"),
	"rest.ball":      say("ball rest", "Kugelauflage"),
	"rest.incisal":   say("incisal rest", "inzisale Auflage"),
	"rest.onlay":     say("onlay rest", "Onlay-Auflage"),

	"retainer.i-bar":                       say("I-bar", "I-Klammer"),
	"retainer.half-t-bar":                  say("half T-bar", "Halb-T-Klammer"),
	"retainer.t-bar":                       say("T-bar", "T-Klammer"),
	"retainer.y-bar":                       say("Y-bar", "Y-Klammer"),
	"retainer.circumferential":             say("circumferential clasp", "Umlaufklammer"),
	"retainer.mesial-rest-circumferential": say("circumferential clasp with mesial rest", "Umlaufklammer mit mesialer Auflage"),
	"retainer.ring":                        say("ring clasp", "Ringklammer"),
	"retainer.embrasure":                   say("embrasure clasp", "Bonwill-Klammer"),
	"retainer.reverse-circlet":             say("reverse circlet clasp", "rückläufige Umlaufklammer"),
	"retainer.hairpin":                     say("hairpin clasp", "Haarnadelklammer"),
	"retainer.back-action":                 say("back-action clasp", "Back-Action-Klammer"),
	"retainer.half-and-half":               say("half-and-half clasp", "geteilte Umlaufklammer"),
	"retainer.combination":                 say("combination clasp, wrought arm", "Kombinationsklammer, gebogener Arm"),
	"retainer.extended-arm":                say("extended-arm clasp", "Klammer mit verlängertem Arm"),
	"retainer.multiple":                    say("multiple clasp", "Mehrfachklammer"),
	"retainer.none":                        say("no retentive arm", "kein Haltearm"),

	"reciprocation.arm":          say("reciprocal arm", "Gegenarm"),
	"reciprocation.plate":        say("reciprocal plate", "Gegenplatte"),
	"reciprocation.guide-plates": say("reciprocation by guide plates", "Gegenlager durch Führungsplatten"),

	"major-connector.none":                          say("none", "keiner"),
	"major-connector.lingual-bar":                   say("lingual bar", "Lingualbügel"),
	"major-connector.sublingual-bar":                say("sublingual bar", "Sublingualbügel"),
	"major-connector.lingual-plate":                 say("lingual plate", "Lingualplatte"),
	"major-connector.lingual-bar-with-cingulum-bar": say("lingual bar with cingulum bar", "Lingualbügel mit Zingulumbügel"),
	"major-connector.cingulum-bar":                  say("cingulum bar", "Zingulumbügel"),
	"major-connector.labial-bar":                    say("labial bar", "Labialbügel"),
	"major-connector.palatal-strap":                 say("palatal strap", "Transversalband"),
	"major-connector.palatal-bar":                   say("palatal bar", "Transversalbügel"),
	"major-connector.anterior-posterior-strap":      say("anterior-posterior strap", "ringförmiges Transversalband"),
	"major-connector.anterior-posterior-bar":        say("anterior-posterior bar", "ringförmiger Transversalbügel"),
	"major-connector.palatal-plate":                 say("palatal plate", "Gaumenplatte"),
	"major-connector.u-shaped":                      say("U-shaped connector", "hufeisenförmiger Verbinder"),

	"replacement-tooth.resin":      say("resin tooth", "Kunststoffzahn"),
	"replacement-tooth.backing":    say("facing on metal backing", "Facette auf Metallrückenplatte"),
	"replacement-tooth.tube":       say("tube tooth", "Röhrenzahn"),
	"replacement-tooth.reinforced": say("reinforced resin tooth", "verstärkter Kunststoffzahn"),
	"replacement-tooth.metal":      say("metal tooth", "Metallzahn"),
	"replacement-tooth.porcelain":  say("porcelain tooth", "Porzellanzahn"),

	"surface.mesial":   say("mesial", "mesial"),
	"surface.distal":   say("distal", "distal"),
	"surface.facial":   say("facial", "vestibulär"),
	"surface.lingual":  say("lingual", "oral"),
	"surface.occlusal": say("occlusal", "okklusal"),
	"surface.incisal":  say("incisal", "inzisal"),

	"site.mesio-facial":  say("mesio-facial", "mesiovestibulär"),
	"site.mid-facial":    say("mid-facial", "vestibulär mittig"),
	"site.disto-facial":  say("disto-facial", "distovestibulär"),
	"site.mesio-lingual": say("mesio-lingual", "mesiooral"),
	"site.mid-lingual":   say("mid-lingual", "oral mittig"),
	"site.disto-lingual": say("disto-lingual", "distooral"),

	"role.primary":   say("primary", "Hauptauflage"),
	"role.indirect":  say("indirect retainer", "Kippmeider"),
	"role.auxiliary": say("auxiliary", "Hilfsauflage"),

	"support.extension": say("extension base", "Freiendsattel"),
	"support.bounded":   say("bounded base", "Schaltsattel"),

	"attachment.lattice": say("open lattice", "offenes Gitter"),
	"attachment.mesh":    say("mesh", "Netz"),
	"attachment.beads":   say("retention beads", "Retentionsperlen"),
	"attachment.posts":   say("posts", "Retentionsstifte"),

	"side.internal": say("internal", "innen"),
	"side.external": say("external", "außen"),

	"material.co-cr-cast":            say("cobalt-chromium, cast", "Kobalt-Chrom, gegossen"),
	"material.co-cr-laser":           say("cobalt-chromium, laser-melted", "Kobalt-Chrom, lasergeschmolzen"),
	"material.gold-iv":               say("gold alloy, type 4", "Goldlegierung, Typ 4"),
	"material.cp-ti":                 say("commercially pure titanium", "Reintitan"),
	"material.ti-6al-4v":             say("titanium, 6 Al 4 V", "Titan, 6 Al 4 V"),
	"material.ti-6al-7nb":            say("titanium, 6 Al 7 Nb", "Titan, 6 Al 7 Nb"),
	"material.wrought-wire-steel":    say("wrought wire, stainless steel", "Drahtklammer, Edelstahl"),
	"material.wrought-wire-pgp":      say("wrought wire, platinum-gold-palladium", "Drahtklammer, Platin-Gold-Palladium"),
	"material.wrought-wire-co-cr-ni": say("wrought wire, cobalt-chromium-nickel", "Drahtklammer, Kobalt-Chrom-Nickel"),
	"material.peek":                  say("PEEK", "PEEK"),
	"material.ni-cr":                 say("nickel-chromium", "Nickel-Chrom"),
	"material.pekk":                  say("PEKK", "PEKK"),
	"material.acetal":                say("acetal resin", "Polyacetal"),
	"material.polyamide":             say("polyamide", "Polyamid"),
	"material.resin":                 say("heat-cured denture resin", "heißpolymerisierter Prothesenkunststoff"),

	"opposing.natural":          say("natural teeth", "natürliche Zähne"),
	"opposing.complete-denture": say("complete denture", "Totalprothese"),
	"opposing.partial-denture":  say("partial denture", "Teilprothese"),
	"opposing.implant":          say("implant-borne restoration", "implantatgetragener Ersatz"),
	"opposing.mixed":            say("mixed", "gemischt"),

	"arch.upper": say("upper", "Oberkiefer"),
	"arch.lower": say("lower", "Unterkiefer"),

	"allergy.nickel":   say("nickel", "Nickel"),
	"allergy.cobalt":   say("cobalt", "Kobalt"),
	"allergy.chromium": say("chromium", "Chrom"),
	"allergy.acrylic":  say("acrylic resin", "Acrylat"),
	"allergy.none":     say("none known", "keine bekannt"),

	"tryin.framework":    say("framework", "Gerüst"),
	"tryin.altered-cast": say("altered-cast impression", "Sattelabformung auf dem Gerüst (altered cast)"),
	"tryin.teeth":        say("teeth in wax", "Zahnaufstellung in Wachs"),
	"tryin.none":         say("none", "keine"),

	"work.framework":           say("framework only", "nur Gerüst"),
	"work.framework-and-teeth": say("framework, teeth and finish", "Gerüst, Zähne und Fertigstellung"),
	"work.finish":              say("finish on an existing framework", "Fertigstellung auf vorhandenem Gerüst"),
	"work.repair":              say("repair", "Reparatur"),
	"work.rebase":              say("rebase", "Unterfütterung"),

	"mark.wanted":          say("wanted", "gewünscht"),
	"mark.declined":        say("offered and declined", "angeboten und abgelehnt"),
	"mark.not-practicable": say("not practicable", "nicht durchführbar"),

	"answer.yes": say("yes", "ja"),
	"answer.no":  say("no", "nein"),

	"occlusion.canine":     say("canine guidance", "Eckzahnführung"),
	"occlusion.group":      say("group function", "Gruppenführung"),
	"occlusion.balanced":   say("balanced", "balanciert"),
	"occlusion.as-natural": say("as the natural teeth", "wie die natürlichen Zähne"),
	"sex.female":           say("female", "weiblich"),
	"sex.male":             say("male", "männlich"),
	"age.18-39":            say("18 to 39", "18 bis 39"),
	"age.40-59":            say("40 to 59", "40 bis 59"),
	"age.60-79":            say("60 to 79", "60 bis 79"),
	"age.80-":              say("80 and over", "80 und älter"),

	"measure.height":             say("height", "Höhe"),
	"measure.width":              say("width", "Breite"),
	"measure.thickness":          say("thickness", "Dicke"),
	"measure.relief":             say("relief", "Hohllegung"),
	"measure.length":             say("length", "Länge"),
	"measure.bead":               say("bead", "Randperle"),
	"measure.posterior_clear":    say("rear border in front of the vibrating line", "Hinterrand vor der Ah-Linie"),
	"measure.cingulum_height":    say("height of the cingulum bar", "Höhe des Zingulumbügels"),
	"measure.cingulum_thickness": say("thickness of the cingulum bar", "Dicke des Zingulumbügels"),
	"measure.clearance":          say("clearance to the margin", "Abstand zum Rand"),
	"measure.below_margin":       say("below the gingival margin", "unter dem Gingivarand"),
	"measure.size":               say("edge length", "Kantenlänge"),
	"measure.offset":             say("offset from the other line", "Versatz zur anderen Linie"),
	"measure.torus_relief":       say("relief over the torus", "Hohllegung über dem Torus"),
	"measure.gauge":              say("wire diameter", "Drahtdurchmesser"),
	"measure.above_margin":       say("above the gingival margin", "über dem Gingivarand"),

	"torus.lingual": say("lingual", "mandibularis"),
	"torus.palatal": say("palatal", "palatinus"),

	"unit.teeth":  say("teeth", "Zähne"),
	"unit.months": say("months", "Monate"),
	"unit.grade":  say("grade", "Grad"),

	"lack.alloy":     say("framework material", "Gerüstwerkstoff"),
	"lack.class":     say("class", "Klasse"),
	"lack.path":      say("path of insertion", "Einschubrichtung"),
	"lack.connector": say("major connector", "großer Verbinder"),
	"lack.undercut":  say("undercut of", "Unterschnitt von"),

	"severity.stop":    say("stop", "Stopp"),
	"severity.caution": say("caution", "Vorsicht"),
	"severity.note":    say("note", "Hinweis"),

	"mark.looked up":       say("looked up", "nachgeschlagen"),
	"mark.from memory":     say("from memory", "aus dem Gedächtnis"),
	"mark.common practice": say("common practice", "übliche Praxis"),
	"mark.ours":            say("ours", "eigene Festlegung"),

	"origin.measured":        say("measured", "gemessen"),
	"origin.entered by hand": say("entered by hand", "von Hand eingetragen"),
	"origin.average":         say("average", "Durchschnitt"),
	"origin.computed":        say("computed", "berechnet"),

	"over.case":        say("the case", "dem Fall"),
	"over.tooth":       say("every place of the arch", "jedem Platz des Kiefers"),
	"over.abutment":    say("every abutment", "jedem Pfeilerzahn"),
	"over.part":        say("every part", "jedem Teil"),
	"over.rest":        say("every rest", "jeder Auflage"),
	"over.retainer":    say("every retainer", "jeder Klammer"),
	"over.plate":       say("every guide plate", "jeder Führungsplatte"),
	"over.base":        say("every base", "jedem Sattel"),
	"over.connector":   say("the major connector", "dem großen Verbinder"),
	"over.minor":       say("every minor connector", "jedem kleinen Verbinder"),
	"over.replacement": say("every replacement tooth", "jedem Ersatzzahn"),
	"over.torus":       say("every torus", "jedem Torus"),
	"over.preparation": say("every preparation", "jeder Präparation"),
	"over.pair":        say("every two like clasps", "je zwei gleichen Klammern"),
	"over.situation":   say("every abutment to be equipped", "jedem zu versorgenden Pfeilerzahn"),
	"over.arch":        say("the arch", "dem Kiefer"),

	"class.none": say("none", "keine"),

	"stands.present": say("present", "vorhanden"),
	"stands.missing": say("missing", "fehlend"),
	"stands.extract": say("to be extracted", "zu extrahieren"),
	"stands.pontic":  say("a pontic", "ein Brückenglied"),
	"stands.implant": say("an implant", "ein Implantat"),
	"stands.root":    say("a root", "eine Wurzel"),
	"stands.closed":  say("a closed space", "eine geschlossene Lücke"),

	"state.draft":    say("draft", "Entwurf"),
	"state.complete": say("complete", "vollständig"),
	"state.signed":   say("signed", "unterzeichnet"),

	"where.mesial":       say("mesial", "mesial"),
	"where.distal":       say("distal", "distal"),
	"where.mid":          say("mid-facial", "vestibulär mittig"),
	"where.near":         say("next to the space", "neben der Lücke"),
	"where.far":          say("away from the space", "fern der Lücke"),
	"where.lingual":      say("lingual", "oral"),
	"where.mesiolingual": say("mesio-lingual", "mesiooral"),
	"where.cingulum":     say("on the cingulum", "auf dem Zingulum"),
	"where.embrasure":    say("in the embrasure", "im Zwischenraum"),
	"where.both":         say("on both sides", "beidseits"),
	"where.none":         say("none", "keine"),

	"status.failed":      say("failed", "nicht erfüllt"),
	"status.borderline":  say("borderline", "grenzwertig"),
	"status.not-checked": say("not checked", "nicht geprüft"),

	"make.splint":       say("joining the crowns", "Verblocken der Kronen"),
	"make.fixed-bridge": say("a fixed bridge", "einer festsitzenden Brücke"),
	"make.composite":    say("bonded composite", "Kompositaufbau"),
	"make.dimple":       say("a dimple", "einer Mulde"),
	"make.recontour":    say("recontouring", "Umformen"),
	"make.survey-crown": say("a survey crown", "einer Fräskrone"),

	"tooth.incisor":  say("incisor", "Schneidezahn"),
	"tooth.canine":   say("canine", "Eckzahn"),
	"tooth.premolar": say("premolar", "Prämolar"),
	"tooth.molar":    say("molar", "Molar"),
}

// Term is the trade's word for a code, as in Term(l, "rest", "occlusal"). A code that the
// catalogue does not know, such as a material of the user's own, is given back as it is.
func Term(l Lang, group, code string) string {
	if w, ok := terms[group+"."+code]; ok {
		return w.In(l)
	}
	return code
}

// HasTerm tells whether the catalogue knows a code.
func HasTerm(group, code string) bool {
	_, ok := terms[group+"."+code]
	return ok
}

// Words of all rooms.
var (
	And       = say("and", "und")
	Or        = say("or", "oder")
	Yes       = say("yes", "ja")
	No        = say("no", "nein")
	Tooth     = say("tooth", "Zahn")
	NotKnown  = say("not known", "nicht bekannt")
	NotStated = say("not stated", "nicht angegeben")
)

// The notice every paper and screen carries.
var (
	Safety = say(
		"A design aid for licensed practitioners and students, who remain responsible. Not cleared or certified by any authority. Local law and the alloy maker's instructions prevail.",
		"Eine Entwurfshilfe für approbierte Behandler und Studierende, die verantwortlich bleiben. Von keiner Behörde zugelassen oder zertifiziert. Das örtliche Recht und die Anleitung des Legierungsherstellers gehen vor.")
	VerifyBefore = say(
		"Before making anything, verify arch, side, case number, path of insertion, units and every dimension on the cast.",
		"Vor der Herstellung Kiefer, Seite, Fallnummer, Einschubrichtung, Einheiten und jedes Maß am Modell prüfen.")
)

// Terms are all terms by group and code, as in "rest.occlusal".
func Terms(l Lang) map[string]string {
	out := make(map[string]string, len(terms))
	for k, w := range terms {
		out[k] = w.In(l)
	}
	return out
}
