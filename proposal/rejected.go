package proposal

import (
	"halfpear/arch"
	"halfpear/design"
	"halfpear/tooth"
	"halfpear/words"
)

// besides names what else could stand in a part's place, and why it does not, for the parts
// whose reason has not said so yet: the usual other way of the trade.
func (b *builder) besides() {
	for i, r := range b.reasons {
		if len(r.Rejected) > 0 {
			continue
		}
		p, ok := b.d.Part(r.Part)
		if !ok {
			continue
		}
		if form, why := b.other(p); !form.Empty() {
			b.reasons[i].Rejected = []Rejection{{form, why}}
		}
	}
}

func (b *builder) other(p design.Part) (form, why words.Text) {
	switch p.Kind {
	case design.Rest:
		switch {
		case p.Form == design.RestCingulum && p.Tooth.Arch() == tooth.Upper:
			return words.Tell("incisal rest"), words.Tell("it shows, and its lever is longer")
		case p.Form == design.RestEmbrasure:
			return words.Tell("one rest alone"), words.Tell("the clasp would wedge the two teeth apart")
		case p.Role == design.Primary:
			return words.Tell("a rest at the other end of the tooth"), words.Tell("the base would have no support beside the space")
		}
		return words.Tell("no rest there"), words.Tell("the framework would lack a point that steadies it")
	case design.GuidePlate:
		return words.Tell("no plate"), words.Tell("the denture would have no single path, and food would lodge between tooth and base")
	case design.Reciprocation:
		switch p.Form {
		case design.ReciprocalArm:
			return words.Tell("a plate"), words.Tell("it covers the gingival margin where an arm leaves it free")
		case design.ReciprocalPlate:
			return words.Tell("an arm"), words.Tell("it would guide the tip a shorter way, or lie over metal that is there already")
		}
		return words.Tell("a lingual arm"), words.Tell("plate and strut oppose the tip already, and an arm would cover more tooth")
	case design.MinorConnector:
		if p.Joins != b.major {
			return words.Tell("no strut"), words.Tell("the long arm would bend as a whole and neither brace nor oppose")
		}
		return words.Tell("a strut on the middle of the lingual surface"), words.Tell("it stands on a convex surface, and the tongue feels it")
	case design.TissueStop:
		return words.Tell("no stop"), words.Tell("the frame would be pressed onto the ridge when the resin is packed")
	case design.FinishLine:
		return words.Tell("a feathered edge"), words.Tell("thin resin chips and leaks")
	case design.MajorConnector:
		if b.s.in.Chart.Arch == tooth.Lower && b.s.class.Class != arch.None && p.Form == design.LingualBar {
			return words.Tell("lingual plate"), words.Tell("it covers the gingival margins where a bar leaves them free")
		}
	case design.ReplacementTooth:
		if p.Form == design.ToothResin {
			return words.Tell("a metal tooth"), words.Tell("there is room for resin, which is adjusted and relined")
		}
		return words.Tell("plain resin tooth"), words.Tell("it would break or come off here")
	case design.Retainer:
		if p.Form == design.ClaspNone {
			return words.Text{}, words.Text{}
		}
		return words.Tell("no retention"), words.Tell("the denture needs a hold at this place")
	}
	return words.Text{}, words.Text{}
}
