package web

import (
	"net/http"

	"halfpear/casebook"
	"halfpear/encoding/svg"
	"halfpear/sheet"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// mechanics answers what is estimated of the case's design, in words and tables.
func (s *Server) mechanics(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	p, err := s.planned(r.Context(), c)
	if err != nil {
		return nil, err
	}
	text := p.MechanicsInWords(language(r))
	out := api.Reckoned{Says: append([]string{}, text.Sentences...), Tables: []api.Table{}, Mend: append([]string{}, text.Mend...), Assumed: append([]string{}, text.Assumed...)}
	for i, t := range text.Tables {
		at := api.Table{Title: text.Heads[i], Columns: []api.Column{}, Rows: [][]string{}}
		for _, c := range t.Columns {
			at.Columns = append(at.Columns, api.Column{Head: c.Head, Figure: c.Align == sheet.Right})
		}
		for _, row := range t.Rows {
			at.Rows = append(at.Rows, row.Cells)
		}
		out.Tables = append(out.Tables, at)
	}
	return out, nil
}

// mechanicsSVG draws the same.
func (s *Server) mechanicsSVG(w http.ResponseWriter, r *http.Request, c casebook.Case, _ casebook.Revision, l words.Lang) error {
	p, err := s.planned(r.Context(), c)
	if err != nil {
		return err
	}
	pages, err := p.MechanicsPage(workflow.SheetsInput{Program: "Halfpear " + s.Version, At: s.Now(), Lang: l})
	if err != nil {
		return shown{err}
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	return svg.Write(w, &pages[0])
}
