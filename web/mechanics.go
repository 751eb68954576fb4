package web

import (
	"bytes"
	"net/http"

	"halfpear/casebook"
	"halfpear/encoding/svg"
	"halfpear/sheet"
	"halfpear/web/api"
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
	text := p.MechanicsInWords(reader(r, c))
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
func (s *Server) mechanicsSVG(r *http.Request, c casebook.Case, _ casebook.Revision) (paper, error) {
	p, err := s.planned(r.Context(), c)
	if err != nil {
		return paper{}, err
	}
	pages, err := p.MechanicsPage(workflow.SheetsInput{Program: "Halfpear " + s.Version, At: s.Now(), Lang: reader(r, c)})
	if err != nil {
		return paper{}, shown{err}
	}
	var b bytes.Buffer
	err = svg.Write(&b, &pages[0])
	return paper{svgKind, string(c.ID) + "-mechanics.svg", b.Bytes(), len(pages)}, err
}
