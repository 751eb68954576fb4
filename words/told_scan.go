package words

// What is noticed on scans, casts, charts and surveys.
var _ = tell(map[string]string{
	// Meshes.
	"the widest side measures %.4g: in no common unit is that the size of a dental arch (%g to %g mm)": "die breiteste Seite misst %.4g: in keiner üblichen Einheit ist das die Größe eines Zahnbogens (%g bis %g mm)",
	"the widest side measures %.4g: taken as %s, which makes it %.1f mm":                               "die breiteste Seite misst %.4g: als %s gelesen, das sind %.1f mm",
	"%d pieces: the largest has %d triangles, the others %d together":                                  "%d Stücke: das größte hat %d Dreiecke, die übrigen zusammen %d",
	"%d open edges in %d loops: the surface is not closed":                                             "%d offene Kanten in %d Schleifen: die Oberfläche ist nicht geschlossen",
	"%d edges where more than two triangles meet":                                                      "%d Kanten, an denen mehr als zwei Dreiecke zusammentreffen",
	"%d edges where neighbours disagree which side is outside":                                         "%d Kanten, an denen die Nachbarn sich nicht einig sind, wo außen ist",
	"%d triangles without area":                                                                        "%d Dreiecke ohne Fläche",
	"%d triangles stand there twice":                                                                   "%d Dreiecke kommen doppelt vor",
	"the surface is inside out: its triangles look inward":                                             "die Oberfläche ist umgestülpt: ihre Dreiecke schauen nach innen",
	"triangles without area or standing twice dropped: %d":                                             "Dreiecke ohne Fläche oder doppelte entfernt: %d",
	"triangles turned over to agree with their neighbours: %d":                                         "Dreiecke umgedreht, damit sie zu den Nachbarn passen: %d",
	"points that no triangle uses dropped: %d":                                                         "unbenutzte Eckpunkte entfernt: %d",
	"the whole surface turned outside out":                                                             "die ganze Oberfläche nach außen gewendet",
	"on a copy: %s":                                                                                    "an einer Kopie: %s",

	// Mounting and finding teeth.
	"the cast was made from the chart: sizes are averages, depths as charted":                                         "das Modell ist aus dem Befund gebildet: Größen sind Durchschnitte, Tiefen wie eingetragen",
	"the scan is coarse (edges of %.2f mm): undercuts are uncertain by about a tenth of a millimetre":                 "der Scan ist grob (Kanten von %.2f mm): Unterschnitte sind auf etwa ein Zehntelmillimeter unsicher",
	"no crown was found round the point given; choose a point on the middle of its chewing surface":                   "um den gegebenen Punkt fand sich keine Krone; einen Punkt mitten auf der Kaufläche wählen",
	"the crown's border is uncertain; look at its margin":                                                             "die Grenze der Krone ist unsicher; den Gingivarand ansehen",
	"neighbouring teeth stand %.3g apart in the file: taken as %v, which makes it %.1f mm (an average arch: %.1f mm)": "Nachbarzähne stehen in der Datei %.3g auseinander: als %v gelesen, das sind %.1f mm (ein durchschnittlicher Bogen: %.1f mm)",
	"the scan does not show %v":          "der Scan zeigt nicht: %v",
	"the vestibule":                      "das Vestibulum",
	"the floor of the mouth":             "den Mundboden",
	"the palate's midline":               "die Mittellinie des Gaumens",
	"the rugae":                          "die Gaumenfalten",
	"the pad or tuberosity on the right": "Trigonum retromolare oder Tuber rechts",
	"the pad or tuberosity on the left":  "Trigonum retromolare oder Tuber links",
	"the teeth stand unusually (%.1f mm off an average arch); check that each point is on the tooth it is named for":             "die Zähne stehen ungewöhnlich (%.1f mm neben einem durchschnittlichen Bogen); prüfen, ob jeder Punkt auf dem genannten Zahn liegt",
	"the points on %d teeth were found by the program: they are to be looked at before the design is used":                       "die Punkte auf %d Zähnen hat das Programm gefunden: sie sind anzusehen, bevor der Entwurf benutzt wird",
	"the gaps fit the chart only with left and right exchanged: the scan is mirrored, or the chart has its sides exchanged":      "die Lücken passen nur mit vertauschten Seiten zum Befund: der Scan ist gespiegelt, oder im Befund sind die Seiten vertauscht",
	"the triangles look into the model: they were turned over on a copy (a mirrored export does this too; check left and right)": "die Dreiecke schauen ins Modell: sie wurden an einer Kopie umgedreht (auch ein gespiegelter Export tut das; links und rechts prüfen)",
	"the teeth look more like those of the other arch: check the arch":                                                           "die Zähne sehen eher aus wie die des anderen Kiefers: den Kiefer prüfen",
	"%v; point out the middle of each tooth that stands":                                                                         "%v; die Mitte jedes stehenden Zahns zeigen",
	"still to be pointed out: %v": "noch zu zeigen: %v",
	"tooth %v: the row of teeth may be counted otherwise here; check its number":                           "Zahn %v: die Zahnreihe lässt sich hier auch anders zählen; die Nummer prüfen",
	"tooth %v: its crown has a hole of %.1f mm round; what would be measured there is not known":           "Zahn %v: in der Krone ist ein Loch von %.1f mm Umfang; was dort zu messen wäre, ist nicht bekannt",
	"tooth %v is charted missing, and one seems to stand there: correct the chart, or take the point away": "Zahn %v ist als fehlend eingetragen, und dort scheint einer zu stehen: den Befund berichtigen oder den Punkt wegnehmen",
	"tooth %v is charted as standing, and none is seen there: correct the chart, or set a point on it":     "Zahn %v ist als stehend eingetragen, und dort ist keiner zu sehen: den Befund berichtigen oder einen Punkt auf ihn setzen",
	"tooth %v: charted missing, and one seems to stand on the scan: the chart was followed":                "Zahn %v: als fehlend eingetragen, auf dem Scan scheint einer zu stehen: der Befund gilt",

	// The survey.
	"most of the surface looks away from the path: the path points the wrong way, or the surface is inside out":                         "der größte Teil der Oberfläche ist von der Einschubrichtung abgewandt: die Richtung weist verkehrt, oder die Oberfläche ist umgestülpt",
	"the surface is open (%d open edges): what it does not show is taken as empty, so a rod may stand in its holes and outside its rim": "die Oberfläche ist offen (%d offene Kanten): was sie nicht zeigt, gilt als leer, ein Stift kann also in ihren Löchern und außerhalb ihres Rands stehen",
	"%d edges where more than two triangles meet: each triangle is taken as it stands":                                                  "%d Kanten, an denen mehr als zwei Dreiecke zusammentreffen: jedes Dreieck gilt, wie es steht",
	"%d edges whose triangles disagree which side is outside: depths do not depend on it":                                               "%d Kanten, deren Dreiecke sich nicht einig sind, wo außen ist: die Tiefen hängen davon nicht ab",
	"a piece of the surface is inside out: depths do not depend on it":                                                                  "ein Stück der Oberfläche ist umgestülpt: die Tiefen hängen davon nicht ab",
	"%d pieces: surveyed together, one may hide another":                                                                                "%d Stücke: gemeinsam vermessen, eines kann ein anderes verdecken",
	"guide surfaces lean %v, %v of %v abutments hold":                                                                                   "Führungsflächen um %v geneigt, %v von %v Pfeilern halten",

	// The class.
	"the wider reading of Applegate's rules gives %v":                               "die weite Lesart der Regeln von Applegate ergibt: %v",
	"the strict reading of Applegate's rules gives %v":                              "die strenge Lesart der Regeln von Applegate ergibt: %v",
	"no tooth is left to carry a partial denture":                                   "es ist kein Zahn übrig, der eine Teilprothese tragen könnte",
	"no edentulous area is to be restored":                                          "keine Lücke ist zu versorgen",
	"one tooth is left: an overdenture or a complete denture is usually considered": "ein Zahn ist übrig: üblicherweise erwägt man eine Deckprothese oder eine Totalprothese",
	"one side has no tooth: the base crosses the midline, unusual leverage":         "eine Seite hat keinen Zahn: der Sattel reicht über die Mittellinie, ungewöhnliche Hebel",
	"no third molar was named: both are taken to be absent":                         "kein dritter Molar ist genannt: beide gelten als fehlend",
})
