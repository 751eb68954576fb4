package words

// What the command line says of measurements.
var _ = tell(map[string]string{
	"%d paths within %g°": "%d Richtungen innerhalb von %g°",
	"%5.1f° anterior %5.1f° right   guide planes lean %4.1f°, %d of %d abutments held, score %.3f": "%5.1f° nach vorn %5.1f° nach rechts   Führungsflächen %4.1f° geneigt, %d von %d Pfeilern gehalten, Wert %.3f",
	"flat within %.1f° of the first":   "flach im Umkreis von %.1f° um die erste",
	"not held":                         "nicht gehalten",
	"reached %.1f mm above the margin": "erreicht %.1f mm über dem Rand",
	"%v: %.2f mm (%.2f to %.2f within a degree), vertical %.2f; %v": "%v: %.2f mm (%.2f bis %.2f im Umkreis eines Grads), senkrecht %.2f; %v",
	"%v: %.2f mm at most, survey line %.1f mm above the margin":     "%v: höchstens %.2f mm, Äquator %.1f mm über dem Rand",
	"%.2f at %.1f (%.2f to %.2f within a degree)":                   "%.2f bei %.1f (%.2f bis %.2f im Umkreis eines Grads)",
	"%v %.1f ±%.1f mm (%.1f over the surface)":                      "%v %.1f ±%.1f mm (%.1f entlang der Oberfläche)",
	"tissues at %v:":                      "Gewebe bei %v:",
	"vestibule":                           "Vestibulum",
	"floor":                               "Mundboden",
	"%v undercut %.2f mm from %.1f below": "Unterschnitt %v %.2f mm ab %.1f darunter",
	"ridge %.1f mm high":                  "Kamm %.1f mm hoch",
	"%.1f mm wide 3 mm down":              "%.1f mm breit 3 mm tiefer",
	"vault between %v and %v: %.1f mm deep, %.1f mm wide":                                     "Gewölbe zwischen %v und %v: %.1f mm tief, %.1f mm breit",
	"between the tori: %.1f mm":                                                               "zwischen den Tori: %.1f mm",
	"tip on %v: %.2f mm (%.2f to %.2f within a degree), %.2f vertical, %.1f above the margin": "Spitze an %v: %.2f mm (%.2f bis %.2f im Umkreis eines Grads), senkrecht %.2f, %.1f über dem Rand",
	"they agree":        "sie stimmen überein",
	"they do not agree": "sie stimmen nicht überein",
	"%v %v: %.2f mm by hand, %.2f mm on the scan, ±%.2f mm: %v": "%v %v: %.2f mm von Hand, %.2f mm am Scan, ±%.2f mm: %v",
})
