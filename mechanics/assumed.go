package mechanics

// Assumptions are the figures that every assessment takes, for whoever reads its results.
type Assumptions struct {
	Friction      Range   // of metal on enamel
	CastTolerance float64 // of an arm's width and thickness [mm]
	Mucosa        Range   // stiffness [N/mm3]
	Connector     float64 // standard load on a major connector [N]
}

// Assumed gives the figures taken.
func Assumed() Assumptions {
	return Assumptions{friction, castTolerance, mucosaStiffness, connectorForce}
}
