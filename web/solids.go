package web

import (
	"bytes"
	"net/http"
	"strconv"

	"halfpear/encoding/stl"
	"halfpear/geom/mesh"
	"halfpear/survey"
)

// castSTL gives the cast as a file, in the cast frame.
func (s *Server) castSTL(w http.ResponseWriter, r *http.Request) {
	c, rev, err := s.load(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.solid(w, r, string(rev.ID)+"-cast.stl", m.cast.Mesh)
}

// blockOutSTL gives the cast with every undercut to the case's path filled, with walls that
// lean by the taper asked for. With design=1 the undercuts planned for its retentive ends
// and its rest seats stay free, with relief=1 its relief is laid.
func (s *Server) blockOutSTL(w http.ResponseWriter, r *http.Request) {
	filled, name, err := s.blockOut(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.solid(w, r, name, filled)
}

func (s *Server) blockOut(r *http.Request) (*mesh.Mesh, string, error) {
	taper := 0.0
	if text := r.URL.Query().Get("taper"); text != "" {
		var err error
		if taper, err = strconv.ParseFloat(text, 64); err != nil {
			return nil, "", refusef(http.StatusBadRequest, "expected the walls' taper in degrees, found %q", text)
		}
	}
	c, rev, err := s.load(r)
	if err != nil {
		return nil, "", err
	}
	how := survey.Shaping{TaperDeg: taper}
	if r.URL.Query().Get("design") != "" {
		p, err := s.planned(r.Context(), c)
		if err != nil {
			return nil, "", err
		}
		how = p.Placement.Shaping(taper, r.URL.Query().Get("relief") != "")
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return nil, "", err
	}
	if !m.whole {
		return nil, "", refusef(http.StatusConflict, "the scan cannot be surveyed yet: %s", m.trouble)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	t, err := m.surveyTable()
	if err != nil {
		return nil, "", err
	}
	path := survey.PathFromTilt(c.Chart.Arch, c.Survey.AnteriorDeg, c.Survey.RightDeg)
	b, err := t.BlockOut(r.Context(), path.Direction, how)
	if err != nil {
		if r.Context().Err() != nil {
			return nil, "", r.Context().Err()
		}
		return nil, "", shown{err}
	}
	return b.Mesh, string(rev.ID) + "-blocked-out.stl", nil
}

func (s *Server) solid(w http.ResponseWriter, r *http.Request, name string, m *mesh.Mesh) {
	var b bytes.Buffer
	b.Grow(84 + 50*len(m.Faces))
	if err := stl.Write(&b, m); err != nil {
		s.fail(w, r, err)
		return
	}
	download(w, "model/stl", name, b.Bytes())
}
