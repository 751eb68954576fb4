package web

import (
	"bytes"
	"net/http"
	"strconv"

	"halfpear/casebook"
	"halfpear/encoding/stl"
	"halfpear/geom/mesh"
	"halfpear/survey"
)

// castSTL gives the cast as a file, in the cast frame.
func (s *Server) castSTL(r *http.Request, c casebook.Case, _ casebook.Revision) (paper, error) {
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return paper{}, err
	}
	return solid(string(c.ID)+"-cast.stl", m.cast.Mesh)
}

// blockOutSTL gives the cast with every undercut to the case's path filled, with walls that
// lean by the taper asked for. With design=1 the undercuts planned for its retentive ends
// and its rest seats stay free, with relief=1 its relief is laid.
func (s *Server) blockOutSTL(r *http.Request, c casebook.Case, _ casebook.Revision) (paper, error) {
	taper := 0.0
	q := r.URL.Query()
	if text := q.Get("taper"); text != "" {
		var err error
		if taper, err = strconv.ParseFloat(text, 64); err != nil {
			return paper{}, refusef(http.StatusBadRequest, "expected the walls' taper in degrees, found %q", text)
		}
	}
	ctx := r.Context()
	how := survey.Shaping{TaperDeg: taper}
	if q.Get("design") != "" {
		p, err := s.planned(ctx, c)
		if err != nil {
			return paper{}, err
		}
		how = p.Placement.Shaping(taper, q.Get("relief") != "")
	}
	m, err := s.mount(ctx, c)
	if err != nil {
		return paper{}, err
	}
	if !m.whole {
		return paper{}, refusef(http.StatusConflict, "the scan cannot be surveyed yet: %v", m.trouble)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	tell(ctx, "fill", 0, 0)
	t, err := m.surveyTable()
	if err != nil {
		return paper{}, err
	}
	path := survey.PathFromTilt(c.Chart.Arch, c.Survey.AnteriorDeg, c.Survey.RightDeg)
	b, err := t.BlockOut(ctx, path.Direction, how)
	switch {
	case ctx.Err() != nil:
		return paper{}, ctx.Err()
	case err != nil:
		return paper{}, shown{err}
	}
	return solid(string(c.ID)+"-blocked-out.stl", b.Mesh)
}

func solid(name string, m *mesh.Mesh) (paper, error) {
	var b bytes.Buffer
	b.Grow(84 + 50*len(m.Faces))
	err := stl.Write(&b, m)
	return paper{kind: "model/stl", name: name, data: b.Bytes()}, err
}
