package words

// Headings and sentences of the order's pages.
var (
	CaseFile    = say("case file", "Falldatei")
	WorkOrder   = say("Work order", "Arbeitsauftrag")
	Draft       = say("DRAFT", "ENTWURF")
	DraftNotice = say("DRAFT: not complete, not signed, not to be built from.", "ENTWURF: unvollständig, nicht unterzeichnet, nicht danach bauen.")
	PageOf      = say("page %d of %d", "Seite %d von %d")
	CheckBar    = say("50 mm: measure it; if it is not 50 mm, print again at 100 %.", "50 mm: nachmessen; stimmt es nicht, mit 100 % neu drucken.")

	BoxOrder     = say("order", "Auftrag")
	BoxCase      = say("case (patient by number)", "Fall (Patient nach Nummer)")
	BoxArch      = say("arch", "Kiefer")
	BoxRevision  = say("revision", "Fassung")
	BoxState     = say("state", "Stand")
	BoxDate      = say("made on", "erstellt am")
	BoxProgram   = say("program", "Programm")
	BoxRulebook  = say("rulebook", "Regelbuch")
	BoxCheckedOn = say("form checked on", "Formblatt geprüft am")

	StateDraft    = say("draft", "Entwurf")
	StateComplete = say("complete, not signed", "vollständig, nicht unterzeichnet")
	StateSigned   = say("signed", "unterzeichnet")

	SectionMissing   = say("Missing before this order can go out", "Fehlt, bevor dieser Auftrag hinausgehen kann")
	SectionParties   = say("Who", "Wer")
	SectionPatient   = say("Patient", "Patientin, Patient")
	SectionDates     = say("Dates", "Termine")
	SectionWork      = say("Work", "Arbeit")
	SectionMaterials = say("Materials", "Werkstoffe")
	SectionOcclusion = say("Occlusion", "Okklusion")
	SectionEnclosed  = say("Enclosed, with digests", "Beilagen mit Prüfsummen")
	SectionInfection = say("Infection control", "Infektionsschutz")
	SectionTryIns    = say("Try-in stages and sign-off", "Anproben und Freigaben")
	SectionConsent   = say("Mark and consent", "Kennzeichnung und Zustimmung")
	SectionParts     = say("Part table", "Teiletabelle")
	SectionSpaces    = say("Block-out and relief", "Ausblocken und Hohllegung")
	SectionPath      = say("Path of insertion", "Einschubrichtung")
	SectionQueries   = say("Questions of the laboratory and answers", "Rückfragen des Labors und Antworten")
	SectionSign      = say("Signature", "Unterschrift")
	SectionLab       = say("To be filled in by the laboratory", "Vom Labor auszufüllen")
	SectionStatement = say("Statement for a custom-made device, by the laboratory", "Erklärung zur Sonderanfertigung, vom Labor")
	SectionRecords   = say("Records", "Aufbewahrung")
	SectionChanges   = say("What changed since revision %d", "Was sich seit Fassung %d geändert hat")
	AbutmentTooth    = say("abutment %s", "Pfeilerzahn %s")
	CautionsTitle    = say("Cautions", "Warnungen")
	SectionAside     = say("Cautions set aside", "Zurückgestellte Warnungen")
	SectionOpen      = say("Cautions neither mended nor set aside", "Warnungen, weder behoben noch zurückgestellt")

	ColumnWhat     = say("what", "was")
	ColumnWhere    = say("where to enter it", "wo einzutragen")
	ColumnRule     = say("who asks", "wer verlangt es")
	RuleHead       = say("rule", "Regel")
	ColumnNumber   = say("no.", "Nr.")
	ColumnTooth    = say("tooth", "Zahn")
	ColumnPart     = say("part", "Teil")
	ColumnPlace    = say("place", "Lage")
	ColumnMaterial = say("material", "Werkstoff")
	ColumnMeasures = say("dimensions", "Maße")
	ColumnFrom     = say("from", "Quelle")
	ColumnFile     = say("file", "Datei")
	ColumnDigest   = say("SHA-256, first 12", "SHA-256, erste 12")
	ColumnSize     = say("bytes", "Bytes groß")
	ColumnStage    = say("stage", "Stufe")
	ColumnDate     = say("date", "Datum")
	ColumnSignOff  = say("seen and released by", "geprüft und freigegeben von")
	ColumnFinding  = say("finding", "Befund")
	ColumnReason   = say("reason and name", "Begründung und Name")
	ColumnAsked    = say("question", "Frage")
	ColumnAnswer   = say("answer", "Antwort")
	ColumnRemedy   = say("what would mend it", "was es behöbe")

	NameByHand        = say("Name, by hand, on the dentist's copy only (never stored)", "Name, von Hand, nur auf der Ausfertigung der Praxis (nie gespeichert)")
	NameLabCopy       = say("Name, by hand, where the law asks for it on this copy (never stored)", "Name, von Hand, wo das Recht ihn hier verlangt (nie gespeichert)")
	TripodMarks       = say("Tripod marks on the cast, in mm right of and in front of the middle of the arch, and height: %s", "Dreipunktmarken am Modell, in mm rechts und vor der Mitte des Bogens, und Höhe: %s")
	TripodNone        = say("Tripod marks: set them on the cast at one height of the analysing rod.", "Dreipunktmarken: am Modell in einer Höhe des Analysierstifts anzeichnen.")
	PathHow           = say("Tilt the cast table from the horizontal occlusal plane by these angles; then all three marks touch the rod at one locked height.", "Den Modelltisch aus der waagerechten Okklusionsebene um diese Winkel neigen; dann berühren alle drei Marken den Stift in einer festgestellten Höhe.")
	OneSource         = say("Table, drawing and preparation plan are made from one design; where a print differs, ask.", "Tabelle, Zeichnung und Präparationsplan stammen aus einem Entwurf; weicht ein Ausdruck ab, nachfragen.")
	AskUs             = say("Ask before building where anything is unclear: name the part's number.", "Vor dem Bau fragen, wenn etwas unklar ist: Nummer des Teils nennen.")
	SignHere          = say("Signature of the dentist", "Unterschrift der Zahnärztin/des Zahnarztes")
	SignDate          = say("Date", "Datum der Unterschrift")
	CheckedOn         = say("Form of %s, checked on %s against: %s. Confirm with your board or authority.", "Formblatt für: %s; geprüft am %s anhand von: %s. Bei Kammer oder Behörde bestätigen lassen.")
	NumberOnModels    = say("Write the order number on every model and on the work.", "Die Auftragsnummer auf jedes Modell und auf die Arbeit schreiben.")
	FrozenInputs      = say("A signed order is never changed. A later change makes a new revision with its own number and seal.", "Ein unterzeichneter Auftrag wird nie geändert. Eine spätere Änderung ergibt eine neue Fassung mit eigener Nummer und eigenem Siegel.")
	SectionNotChecked = say("Not checked", "Nicht geprüft")
	NotCheckedRules   = say("The case does not hold what these %d rules ask for. They are not passed: record or measure what is missing, or judge it yourself.", "Was diese %d Regeln brauchen, steht nicht im Fall. Sie gelten nicht als bestanden: das Fehlende aufnehmen oder messen, oder selbst beurteilen.")
	NoneSetAside      = say("No caution was set aside.", "Keine Warnung wurde zurückgestellt.")
	NoneOpen          = say("None.", "Keine.")
	NoLonger          = say("(no longer found)", "(nicht mehr gefunden)")
	NoChange          = say("Nothing but the revision's number.", "Nichts außer der Nummer der Fassung.")
	OverlayLegend     = say("scale 2:1; black: this revision; red and dashed: revision %d; thin: unchanged", "Maßstab 2:1; schwarz: diese Fassung; rot und gestrichelt: Fassung %d; dünn: unverändert")
	OverlayTitle      = say("Overlay of revisions %d and %d", "Überlagerung der Fassungen %d und %d")

	StatementItems = [...]Word{
		say("name and address of the manufacturer and of all places of manufacture", "Name und Anschrift des Herstellers und aller Fertigungsstätten"),
		say("authorised representative, if any", "Bevollmächtigter, sofern vorhanden"),
		say("data identifying the device", "Daten zur Identifizierung des Produkts"),
		say("for the exclusive use of one patient, identified by name, acronym or number", "zum ausschließlichen Gebrauch durch einen Patienten, bezeichnet mit Name, Kürzel oder Nummer"),
		say("name of the prescriber and, where there is one, of the institution", "Name des Verordnenden und gegebenenfalls der Einrichtung"),
		say("specific characteristics given in the prescription: see this order", "spezifische Merkmale der Verordnung: siehe diesen Auftrag"),
		say("conformity with the general safety and performance requirements; those not fully met, with grounds", "Übereinstimmung mit den grundlegenden Sicherheits- und Leistungsanforderungen; nicht vollständig erfüllte mit Gründen"),
		say("where applicable, medicinal substances, human or animal tissues", "gegebenenfalls Arzneistoffe, menschliche oder tierische Gewebe"),
	}
)

// Words of the preparation plan.
var (
	PrepTitle    = say("Preparation plan, for the chair", "Präparationsplan für den Stuhl")
	PrepOrder    = say("Work from top to bottom. Guide planes first, rest seats last: a plane cut afterwards takes the seat's ridge away.", "Von oben nach unten arbeiten. Führungsflächen zuerst, Auflagelager zuletzt: eine danach geschliffene Fläche nimmt dem Lager die Randleiste.")
	PrepNothing  = say("This design needs no preparation.", "Dieser Entwurf braucht keine Präparation.")
	PrepStep     = say("Step %d: %s", "Schritt %d: %s")
	PrepRehearse = say("Rehearsed on a duplicate cast", "Am Duplikatmodell geübt")
	PrepResurvey = say("Re-survey: quick cast, same tilt (%s forward, %s right); planes touch the rod, tips reach their undercut", "Nachvermessen: Schnellmodell, gleiche Neigung (%s vorn, %s rechts); Flächen liegen am Stift, Spitzen erreichen ihren Unterschnitt")
	PrepWax      = say("Rest seats: wax bite is %s thick over every seat", "Auflagelager: Wachsbiss über jedem Lager %s dick")
	PrepPolish   = say("All cut surfaces polished", "Alle geschliffenen Flächen poliert")
	PrepFluoride = say("Fluoride on all cut surfaces", "Alle geschliffenen Flächen fluoridiert")
	PrepFinal    = say("Only then the final impression or scan", "Erst dann die Abformung oder der Scan")
	PrepEnamel   = say("enamel about %s", "Schmelz etwa %s")
	PrepDentine  = say("If dentine shows: stop, restore, fluoride, recall.", "Zeigt sich Dentin: halt, restaurieren, fluoridieren, nachsehen.")
	PrepTable    = say("Enamel: values of a table, not measured.", "Schmelz: Tabellenwerte, nicht gemessen.")
	PrepLeft     = say("leaves about %s of enamel", "lässt etwa %s Schmelz")
	PrepCheckEn  = say("enamel not known: check it", "Schmelz nicht bekannt: prüfen")
	PrepTake     = say("take %s at most", "höchstens %s abtragen")
	PrepAdd      = say("add %s", "%s auftragen")
	PrepPolishOn = say("polish only", "nur polieren")
	PrepHigh     = say("%s to %s mm high", "%s bis %s mm hoch")
	PrepWide     = say("at least %s wide", "mindestens %s breit")
	PrepLong     = say("at least %s long", "mindestens %s lang")
	PrepDeep     = say("%s deep", "%s tief")
	PrepReach    = say("that gives about %s of height", "das ergibt etwa %s Höhe")
	PrepTogether = say("with the guide plane %s in all", "mit der Führungsfläche zusammen %s")
	PrepAngle    = say("now %s off the path", "jetzt %s neben der Richtung")
	PrepIn       = say("cut in %s", "in %s")
	PrepLimit    = say("Not into the cervical third.", "Nicht ins zervikale Drittel.")
	PrepPictures = say("The depth in a picture is what the height asks for on this cast; the words give the most that may be taken.", "Die Tiefe im Bild ist, was die Höhe an diesem Modell verlangt; die Worte nennen das Höchste, was abgetragen werden darf.")
	PrepView     = say("%s view", "Ansicht %s")
	PrepProfile  = say("profile", "Profil")

	Stages = [...]Word{
		say("Treat first", "Zuerst behandeln"),
		say("Crowns", "Kronen"),
		say("Guide planes", "Führungsflächen"),
		say("Survey lines", "Äquatorlinien"),
		say("Undercuts", "Unterschnitte"),
		say("Rest seats", "Auflagelager"),
		say("Polish and fluoride", "Polieren und fluoridieren"),
	}
	Operations = map[string]Word{
		"extract":            say("extract", "extrahieren"),
		"treat-disease":      say("treat caries or periodontal infection", "Karies oder Parodontitis behandeln"),
		"fixed-bridge":       say("fixed bridge", "festsitzende Brücke"),
		"splint":             say("join the crowns", "Kronen verblocken"),
		"survey-crown":       say("survey crown on the path", "Fräskrone auf der Einschubrichtung"),
		"guide-plane":        say("guide plane", "Führungsfläche"),
		"lower-survey-line":  say("lower the survey line", "Äquatorlinie senken"),
		"recontour":          say("recontour", "umformen"),
		"dimple":             say("dimple for the tip", "Mulde für die Spitze"),
		"composite-undercut": say("composite to make an undercut", "Komposit für einen Unterschnitt"),
		"occlusal-seat":      say("occlusal rest seat", "okklusales Auflagelager"),
		"extended-seat":      say("extended occlusal rest seat", "verlängertes okklusales Auflagelager"),
		"embrasure-seat":     say("embrasure rest seat", "interdentales Auflagelager"),
		"cingulum-seat":      say("cingulum rest seat", "Zingulum-Auflagelager"),
		"incisal-seat":       say("incisal rest seat", "inzisales Auflagelager"),
		"ball-seat":          say("ball rest seat", "Kugel-Auflagelager"),
		"onlay-preparation":  say("onlay preparation", "Onlay-Präparation"),
		"polish":             say("polish", "polieren"),
		"fluoride":           say("apply fluoride", "fluoridieren"),
	}
	Burs = map[string]Word{
		"guide-plane":        say("cylindrical diamond, held parallel to the path", "zylindrischer Diamant, parallel zur Einschubrichtung"),
		"lower-survey-line":  say("fine tapered diamond, light strokes", "feiner konischer Diamant, leichte Züge"),
		"recontour":          say("fine tapered diamond, light strokes", "feiner konischer Diamant, leichte Züge"),
		"dimple":             say("small round diamond, drawn along the margin", "kleiner runder Diamant, am Rand entlang geführt"),
		"composite-undercut": say("etch, bond, build up, finish smooth", "ätzen, bonden, aufbauen, glätten"),
		"occlusal-seat":      say("round diamond, then a round finishing bur", "runder Diamant, dann runder Finierer"),
		"extended-seat":      say("round diamond, then a round finishing bur", "runder Diamant, dann runder Finierer"),
		"embrasure-seat":     say("tapered diamond through the embrasure, keep the contact", "konischer Diamant durch den Zwischenraum, Kontakt erhalten"),
		"cingulum-seat":      say("inverted cone, then rounded; floor toward the tooth's axis", "umgekehrter Kegel, dann gerundet; Boden zur Zahnachse geneigt"),
		"incisal-seat":       say("flame, notch rounded both ways", "Flamme, Kerbe beidseits gerundet"),
		"ball-seat":          say("round diamond", "runder Diamant"),
	}
	Checks = map[string]Word{
		"guide-plane":        say("check: the analysing rod lies flat on the plane of a quick cast", "Prüfen: der Analysierstift liegt am Schnellmodell flächig an"),
		"lower-survey-line":  say("check: survey again, the line lies in the middle third", "Prüfen: nachvermessen, die Linie liegt im mittleren Drittel"),
		"recontour":          say("check: survey again", "Prüfen: nachvermessen"),
		"dimple":             say("check: the gauge reaches the planned undercut", "Prüfen: der Messteller erreicht den geplanten Unterschnitt"),
		"composite-undercut": say("check: the gauge reaches the planned undercut; look again at each recall", "Prüfen: der Messteller erreicht den geplanten Unterschnitt; bei jeder Nachsorge ansehen"),
		"survey-crown":       say("check: survey the wax and the finished crown", "Prüfen: Wachs und fertige Krone vermessen"),
		"seat":               say("check: no undercut in the seat, floor slopes inward, room for the metal in occlusion", "Prüfen: kein Unterschnitt im Lager, Boden nach innen geneigt, Platz fürs Metall in Okklusion"),
	}
	// PrepCautions are what to watch, by operation; "bonded-seat" is a seat that is built up.
	PrepCautions = map[string]Word{
		"extract":            say("early, so that the ridge has healed before the final impression", "früh, damit der Kamm vor der Abformung verheilt ist"),
		"treat-disease":      say("sound and calm before anything is cut", "erst gesund und ruhig, dann schleifen"),
		"splint":             say("joining more than two teeth is of doubtful use", "mehr als zwei Zähne zu verblocken nützt zweifelhaft"),
		"survey-crown":       say("the crown comes before the framework, on the same path", "die Krone kommt vor dem Gerüst, in derselben Richtung"),
		"lower-survey-line":  say("only where the survey shows the line in the occlusal third", "nur wo die Vermessung die Linie im okklusalen Drittel zeigt"),
		"dimple":             say("thin enamel near the neck: if less than 0.5 mm would be left, add composite instead", "am Zahnhals ist der Schmelz dünn: bliebe weniger als 0,5 mm, stattdessen Komposit"),
		"composite-undercut": say("composite wears under a clasp: check it each year", "Komposit nutzt sich unter der Klammer ab: jährlich prüfen"),
		"bonded-seat":        say("the enamel there is too thin to cut a seat", "der Schmelz ist dort zu dünn für ein geschliffenes Lager"),
	}
	Substances = map[string]Word{
		"enamel":    say("enamel", "Schmelz"),
		"metal":     say("metal", "Metall"),
		"gold":      say("gold", "Goldlegierung"),
		"alloy":     say("alloy", "Legierung"),
		"amalgam":   say("amalgam", "Amalgam"),
		"composite": say("composite", "Komposit"),
		"ceramic":   say("ceramic", "Keramik"),
		"dentine":   say("dentine", "Dentin"),
	}
)

// Words of the delivery and recall page, which the patient may keep.
var (
	DeliveryTitle  = say("Delivery and recall", "Eingliederung und Nachsorge")
	DeliveryFor    = say("For the record of the practice and for the patient to take home. It names nobody.", "Für die Akte der Praxis und zum Mitnehmen. Das Blatt nennt niemanden.")
	DeliveryCheck  = say("At delivery", "Bei der Eingliederung")
	DeliveryHome   = say("At home", "Zu Hause")
	DeliveryDanger = say("Danger", "Gefahr")
	DeliveryRecall = say("Recall", "Nachsorge")
	DeliveryChecks = [...]Word{
		say("case number, arch and side on the denture match this sheet", "Fallnummer, Kiefer und Seite der Prothese stimmen mit diesem Blatt überein"),
		say("received disinfected; cleaned before it goes into the mouth", "desinfiziert erhalten; vor dem Einsetzen gereinigt"),
		say("every rest is fully seated, nothing rocks", "jede Auflage sitzt ganz, nichts kippelt"),
		say("clasps lie passive; they hold only when lifted", "Klammern liegen spannungsfrei; sie halten nur beim Abziehen"),
		say("pressure areas found with paste and relieved", "Druckstellen mit Paste gesucht und entlastet"),
		say("gingival margins stay clear", "Gingivaränder bleiben frei"),
		say("occlusion with and without the denture is the same on the natural teeth", "Okklusion der natürlichen Zähne mit und ohne Prothese gleich"),
		say("the patient puts it in and takes it out without help", "die Prothese wird ohne Hilfe ein- und ausgegliedert"),
	}
	DeliveryHints = [...]Word{
		say("Put the denture in with the fingers along its path; never bite it into place.", "Die Prothese mit den Fingern in ihrer Richtung einsetzen; nie einbeißen."),
		say("Take it out at night and keep it in clean water, so that gums and teeth can rest.", "Nachts herausnehmen und in klarem Wasser aufbewahren, damit Zahnfleisch und Zähne ruhen."),
		say("Clean it over a basin of water after meals with a denture brush and mild soap; clean the teeth that carry it just as carefully.", "Nach dem Essen über Wasser mit Prothesenbürste und milder Seife reinigen; die tragenden Zähne ebenso sorgfältig putzen."),
		say("Use a fluoride toothpaste; the teeth that carry the denture decay more easily.", "Fluoridzahnpasta verwenden; die tragenden Zähne erkranken leichter an Karies."),
		say("Never bend a clasp yourself.", "Nie selbst eine Klammer biegen."),
		say("A sore spot: take the denture out, come to the practice, and wear it for some hours before, so that the place can be seen.", "Druckstelle: Prothese herausnehmen, in die Praxis kommen und sie vorher einige Stunden tragen, damit die Stelle zu sehen ist."),
	}
	DeliveryDangers = [...]Word{
		say("A broken or loose clasp, or a denture that no longer holds: stop wearing it and come at once. A small piece can be swallowed or breathed in.", "Gebrochene oder lockere Klammer, oder die Prothese hält nicht mehr: nicht weiter tragen und sofort kommen. Ein kleines Teil kann verschluckt oder eingeatmet werden."),
		say("If the denture or a part of it was swallowed or breathed in: go to an emergency department at once and take this sheet along. The metal shows in an X-ray; the resin does not.", "Wurde die Prothese oder ein Teil verschluckt oder eingeatmet: sofort in die Notaufnahme und dieses Blatt mitnehmen. Das Metall ist im Röntgenbild zu sehen, der Kunststoff nicht."),
		say("Take it out before an anaesthetic, when a seizure may come and for contact sports, and say that you wear one.", "Vor einer Narkose, bei Anfallsgefahr und vor Kontaktsport herausnehmen und sagen, dass man eine trägt."),
		say("Itching, burning, rash or swelling: take it out and come; it may be an allergy.", "Jucken, Brennen, Ausschlag oder Schwellung: herausnehmen und kommen; es kann eine Allergie sein."),
	}
	DeliverySmall     = say("This denture is small or one-sided: the danger of swallowing it is greater.", "Diese Prothese ist klein oder einseitig: die Gefahr des Verschluckens ist größer.")
	DeliveryEpilepsy  = say("Epilepsy is recorded: do not wear it when a seizure is likely.", "Epilepsie ist vermerkt: bei drohendem Anfall nicht tragen.")
	DeliveryContents  = say("What it is made of: %s; %s.", "Woraus sie besteht: %s; %s.")
	RecallFirst       = say("Review within a few days, again after two weeks", "Kontrolle nach wenigen Tagen, wieder nach zwei Wochen")
	RecallEvery       = say("Then every %d months: teeth, gums, fit of base and rests, clasps", "Danach alle %d Monate: Zähne, Zahnfleisch, Sitz von Sattel und Auflagen, Klammern")
	RecallAsked       = say("%s: teeth, gums, fit of base and rests, clasps", "%s: Zähne, Zahnfleisch, Sitz von Sattel und Auflagen, Klammern")
	RecallWhy         = say("Without recall, abutments of extension-base dentures failed about nine times as often as with a 6-month recall (515 abutments, adjusted hazard ratio 9.26; lost abutments).", "Ohne Nachsorge gingen Pfeilerzähne von Freiendprothesen etwa neunmal so oft verloren wie bei halbjährlicher Nachsorge (515 Pfeilerzähne, adjustierte Hazard Ratio 9,26; Verlust von Pfeilern).")
	RecallBase        = say("Extension base: test for rocking at every recall; rebase when it rocks.", "Freiendsattel: bei jeder Nachsorge auf Kippeln prüfen; unterfüttern, wenn er kippelt.")
	RecallClasp       = say("Clasps broke in 16 of 100 such dentures over years of use (174 dentures): look for cracks.", "Klammern brachen im Lauf der Jahre bei 16 von 100 solcher Prothesen (174 Prothesen): auf Risse achten.")
	RecallDates       = say("Next dates", "Nächste Termine")
	DeliveryDelivered = say("Delivered on", "Eingegliedert am")
	DeliveryBy        = say("by", "durch")
	DeliveryTeeth     = say("Teeth that carry it: %s. Teeth it replaces: %s.", "Tragende Zähne: %s. Ersetzte Zähne: %s.")
)
