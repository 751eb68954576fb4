package words

// weighedTerms name the measures that whole designs are weighed by.
var weighedTerms = map[string]Word{
	"measure.parts":             say("parts", "Teile"),
	"measure.rests":             say("rests", "Auflagen"),
	"measure.clasps":            say("retentive arms", "Retentionsarme"),
	"measure.support_area":      say("area of the support polygon", "Fläche des Unterstützungspolygons"),
	"measure.indirect_ratio":    say("indirect retainer's over base's distance from the fulcrum line", "Abstand der Kippmeiderauflage zu dem des Sattels von der Kippachse"),
	"measure.retention_balance": say("weaker side's over stronger side's retention", "Retention der schwächeren zu der der stärkeren Seite"),
	"measure.margin_cover":      say("share of gingival margin covered", "bedeckter Anteil des Gingivarands"),
	"measure.retention":         say("retention, estimated", "Retention, geschätzt"),
	"measure.arm_stress":        say("highest arm stress over proof stress, estimated", "höchste Armspannung zur Dehngrenze, geschätzt"),
	"measure.base_sinking":      say("sinking of the base under a bite, estimated", "Einsinken des Sattels unter Kaulast, geschätzt"),
	"measure.tipping":           say("greatest moment that tips a tooth under a bite, estimated", "größtes Kippmoment auf einen Zahn unter Kaulast, geschätzt"),
	"measure.pulls_held":        say("share of a sticky pull that is held, on the mean of the artificial teeth, estimated", "gehaltener Anteil eines klebrigen Zugs, im Mittel der künstlichen Zähne, geschätzt"),
	"measure.connector_gives":   say("how far the major connector gives under 5 N, estimated", "Nachgeben des großen Verbinders unter 5 N, geschätzt"),
}

func init() {
	for code, w := range weighedTerms {
		terms[code] = w
	}
}

var (
	// OpensTheWay is for a way; Weighed for the points in all, for findings, the school's
	// order, the measures and the mechanics.
	OpensTheWay   = say("would open the way: %v", "würde den Weg öffnen: %v")
	PointsWeighed = say("weighed in points, fewer is better", "gewogen in Punkten, weniger ist besser")
	Weighed       = say("weighed: %v points, fewer is better (findings %v, steps down the school's list %v, measures %v, mechanics, an estimate, %v)",
		"gewogen: %v Punkte, weniger ist besser (Befunde %v, Schritte in der Liste der Schule %v, Maße %v, Mechanik, eine Schätzung, %v)")
)
