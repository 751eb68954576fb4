package words

var (
	RightSide       = say("right side", "rechte Seite")
	LeftSide        = say("left side", "linke Seite")
	NoRowTooth      = say("No row of the table speaks of this tooth", "Keine Zeile der Tabelle spricht von diesem Zahn")
	NoRowArch       = say("No row of the table speaks of this arch", "Keine Zeile der Tabelle spricht von diesem Kiefer")
	RestOnlyThere   = say("It carries a rest only.", "Er trägt nur eine Auflage.")
	NoRetainerFits  = say("rest only: no retainer of this school fits", "nur Auflage: keine Klammer dieser Schule passt")
	NoConnectorFits = say("no connector of the table fits without other treatment", "ohne weitere Behandlung passt kein Verbinder der Tabelle")
)
