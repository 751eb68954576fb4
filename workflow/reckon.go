package workflow

import (
	"halfpear/design"
	"halfpear/mechanics"
	"halfpear/placement"
	"halfpear/tooth"
	"halfpear/words"
)

// ConnectorForm is a plan's design with one form of major connector, and how that gives.
type ConnectorForm struct {
	Form   design.Form
	Gives  *mechanics.Connector  // nil where it could not be reckoned
	Misses []placement.Shortfall // what the cast has no room for
}

// Connectors lays every form of major connector of the arch in the plan's design, each at
// its usual sizes, and tells how it gives under one and the same load: the planned one as
// it is, first.
func (p *Plan) Connectors() ([]ConnectorForm, error) {
	parts := p.Design.Of(design.MajorConnector)
	if len(parts) == 0 {
		return nil, words.Errorf("comparing the connectors of case %s: the design has no major connector", p.Case.ID)
	}
	planned := parts[0]
	of := func(form design.Form, laid *placement.Placement) ConnectorForm {
		out := ConnectorForm{Form: form, Gives: mechanics.ConnectorOf(p.Cast, laid)}
		if q, ok := laid.Part(planned.ID); ok {
			out.Misses = q.Shortfalls
		}
		return out
	}
	out := []ConnectorForm{of(planned.Form, p.Placement)}
	for _, form := range connectorForms[p.Cast.Arch] {
		if form == planned.Form {
			continue
		}
		other := planned
		other.Form, other.Dimensions = form, nil
		laid, err := placement.Relay(p.Placement, other)
		if err != nil {
			return nil, words.Errorf("laying a %s in the design of case %s: %v", form, p.Case.ID, err)
		}
		out = append(out, of(form, laid))
	}
	return out, nil
}

// connectorForms are those that join the sides of an arch as a rule; a labial bar is for
// teeth that no lingual connector passes.
var connectorForms = map[tooth.Arch][]design.Form{
	tooth.Lower: {design.LingualBar, design.SublingualBar, design.LingualPlate, design.LingualBarWithCingulumBar},
	tooth.Upper: {design.PalatalStrap, design.APStrap, design.APBar, design.PalatalPlate, design.UShaped},
}
