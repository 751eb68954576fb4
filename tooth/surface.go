package tooth

// Surface is one side of a crown.
type Surface string

const (
	Mesial   Surface = "mesial"
	Distal   Surface = "distal"
	Facial   Surface = "facial"
	Lingual  Surface = "lingual"
	Occlusal Surface = "occlusal" // incisal on front teeth
)

// Site is one of the six places round a crown where an undercut is measured.
type Site string

const (
	MesioFacial  Site = "mesio-facial"
	MidFacial    Site = "mid-facial"
	DistoFacial  Site = "disto-facial"
	MesioLingual Site = "mesio-lingual"
	MidLingual   Site = "mid-lingual"
	DistoLingual Site = "disto-lingual"
)

// Sites lists the six, facial first.
var Sites = [...]Site{MesioFacial, MidFacial, DistoFacial, MesioLingual, MidLingual, DistoLingual}

// Facial tells the three facial sites.
func (s Site) Facial() bool { return s == MesioFacial || s == MidFacial || s == DistoFacial }

// Surface is the side the site lies on.
func (s Site) Surface() Surface {
	if s.Facial() {
		return Facial
	}
	return Lingual
}

// MesialSide is +1 for a mesial site, -1 for a distal one, 0 in the middle.
func (s Site) MesialSide() int {
	switch s {
	case MesioFacial, MesioLingual:
		return 1
	case DistoFacial, DistoLingual:
		return -1
	}
	return 0
}
