package words

// Why a part could be laid only short of a limit.
var _ = tell(map[string]string{
	"too little of the crown of tooth %v is on the cast: its chart has %d columns, expected at least 8; check the tooth's margin": "von der Krone von Zahn %v ist zu wenig auf dem Modell: ihre Karte hat %d Spalten, erwartet werden mindestens 8; den Rand des Zahns prüfen",
	"tooth %v does not stand on this cast": "Zahn %v steht nicht auf diesem Modell",
	"tooth %v could not be charted: %v":    "Zahn %v ließ sich nicht vermessen: %v",

	// Arms and bars.
	"the crown offers no deeper undercut there clear of the gingival margin":                               "die Krone bietet dort mit Abstand vom Gingivarand keinen tieferen Unterschnitt",
	"the undercut is reached only nearer to the gingival margin":                                           "der Unterschnitt wird erst näher am Gingivarand erreicht",
	"the tooth is too small for a longer wire":                                                             "der Zahn ist für einen längeren Draht zu klein",
	"there is no base beside the tooth for the strut to run to":                                            "neben dem Zahn ist kein Sattel, zu dem die Strebe führen könnte",
	"the crown is too low for two limbs and a slot between them":                                           "die Krone ist für zwei Schenkel mit Spalt dazwischen zu niedrig",
	"an embrasure clasp needs a second tooth beside the first":                                             "eine Bonwill-Klammer braucht einen zweiten Zahn neben dem ersten",
	"a multiple clasp needs a second tooth beside the first":                                               "eine Mehrfachklammer braucht einen zweiten Zahn neben dem ersten",
	"there is no next tooth for the arm to run to":                                                         "es gibt keinen Nachbarzahn, zu dem der Arm führen könnte",
	"there is no base beside the tooth for the approach arm to start in":                                   "neben dem Zahn ist kein Sattel, in dem der Klammerstiel beginnen könnte",
	"the gum beside the tooth is too low for the bar to run farther from the margin":                       "die Gingiva neben dem Zahn ist zu niedrig, um den Stiel weiter vom Gingivarand zu führen",
	"the vestibule is too shallow for the clearance and the width of the bar":                              "das Vestibulum ist für den Abstand und die Breite des Stiels zu flach",
	"the survey line lies too low over the undercut for a longer foot below it":                            "der Äquator liegt über dem Unterschnitt zu tief für einen längeren Fuß darunter",
	"the survey line lies so high that the arm comes into the occlusal third; lower the survey line first": "der Äquator liegt so hoch, dass der Arm ins okklusale Drittel gerät; zuerst den Äquator senken",

	// Rests, plates, minor connectors.
	"the lingual surface is too steep for a wider seat of this depth; cut it deeper where the enamel allows, or build it up": "die Lingualfläche ist zu steil für ein breiteres Lager dieser Tiefe; tiefer schleifen, wo der Schmelz es zulässt, oder aufbauen",
	"the lingual surface is too steep for a deeper seat that still opens to the path":                                        "die Lingualfläche ist zu steil für ein tieferes Lager, das zur Einschubrichtung offen bleibt",
	"the crown is too narrow there for a wider seat":                                                                         "die Krone ist dort zu schmal für ein breiteres Lager",
	"the crown is too short mesiodistally for a seat as long as it is wide":                                                  "die Krone ist mesiodistal zu kurz für ein Lager, das so lang wie breit ist",
	"the crown is too low toward the arm's end to carry its width":                                                           "die Krone ist zum Ende des Arms hin zu niedrig für seine Breite",
	"the crown is too low there between the gingival margin and the plate's top edge":                                        "die Krone ist dort zwischen Gingivarand und Oberkante der Platte zu niedrig",
	"the part names no tooth to stand at":                                                                                    "für das Teil ist kein Zahn angegeben",
	"the cast shows no gum beside the embrasure":                                                                             "das Modell zeigt neben dem Zwischenraum kein Zahnfleisch",
	"the teeth are too narrow for two uprights farther apart":                                                                "die Zähne sind zu schmal, um zwei Streben weiter auseinanderzulegen",
	"this part does not reach the rest of the framework":                                                                     "dieses Teil erreicht das übrige Gerüst nicht",

	// Bases.
	"the cast has no ridge where the part's teeth are missing": "das Modell hat keinen Kieferkamm, wo die Zähne des Teils fehlen",
	"the ridge is too short for a lattice in front of the pad": "der Kieferkamm ist für ein Gitter vor dem Trigonum retromolare zu kurz",
	"there is no lattice for the stop to stand under":          "es gibt kein Gitter, unter dem der Stopp stehen könnte",
	"the part names no base that it belongs to":                "für das Teil ist kein Sattel angegeben, zu dem es gehört",
	"the border is too short to part the two lines farther":    "der Rand ist zu kurz, um die beiden Linien weiter zu trennen",
	"no base replaces this tooth":                              "kein Sattel ersetzt diesen Zahn",
	"the base has no place for this tooth":                     "der Sattel hat für diesen Zahn keinen Platz",

	// Major connectors.
	"the design has no base or upright connector for it to join":                                                     "der Entwurf hat keinen Sattel und keinen kleinen Verbinder, an den er anschließen könnte",
	"the design has no rest for it to end on":                                                                        "der Entwurf hat keine Auflage, auf der er enden könnte",
	"the floor leaves no room for the clearance and the least height of the bar":                                     "der Mundboden lässt keinen Platz für den Abstand und die geringste Höhe des Bügels",
	"the floor leaves no room for more height under the clearance":                                                   "der Mundboden lässt unter dem Abstand keine größere Höhe zu",
	"the floor lies too high for the least height of the bar":                                                        "der Mundboden liegt für die geringste Höhe des Bügels zu hoch",
	"the scan does not show the whole palate under the connector; its borders there are drawn straight across":       "der Scan zeigt nicht den ganzen Gaumen unter dem Verbinder; seine Ränder sind dort gerade durchgezogen",
	"the palate between the front border and the vibrating line has no room for more":                                "der Gaumen bietet zwischen Vorderrand und Ah-Linie nicht mehr Platz",
	"the arch turns too sharply for the band to keep its width":                                                      "der Zahnbogen biegt zu scharf, als dass das Band seine Breite behalten könnte",
	"the connector has to join a part that stands nearer to this tooth":                                              "der Verbinder muss an ein Teil anschließen, das näher an diesem Zahn steht",
	"the palate is too short for two bands and an opening; a plate or a single strap fits it better":                 "der Gaumen ist für zwei Bänder mit Öffnung zu kurz; eine Platte oder ein einzelnes Band passt besser",
	"the bands take what the palate has; a plate or a single strap fits it better":                                   "die Bänder nehmen den ganzen Gaumen ein; eine Platte oder ein einzelnes Band passt besser",
	"on either side %v clear of the gingival margins and a lateral band of %v leave no wider opening in this palate": "auf jeder Seite lassen %v Abstand vom Gingivarand und ein seitliches Band von %v in diesem Gaumen keine breitere Öffnung",
	"the palate is too narrow beside the opening":                                                                    "der Gaumen ist neben der Öffnung zu schmal",
	"the palate has no room for a wider band":                                                                        "der Gaumen hat für ein breiteres Band keinen Platz",
})
