package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"

	"halfpear/casebook"
	"halfpear/drawing"
	"halfpear/encoding/casefile"
	"halfpear/encoding/pdf"
	"halfpear/encoding/svg"
	"halfpear/order"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// papers are an order with its design sheets, in one language.
type papers struct {
	order  order.Order
	design []sheet.Page
	file   []byte // the case file they were made from
}

// papersOf writes the order of a case and draws its sheets.
func (s *Server) papersOf(ctx context.Context, c casebook.Case, rev casebook.Revision, l words.Lang) (papers, error) {
	w, err := s.work(ctx, c, rev)
	if err != nil {
		return papers{}, err
	}
	j, err := order.JurisdictionNamed(c.Order.Jurisdiction)
	if err != nil {
		return papers{}, shown{err}
	}
	out := papers{order: order.Write(w, j, l), file: rev.Doc}
	if w.Placement == nil {
		return out, nil
	}
	out.design, err = s.sheets(ctx, c, out.order, l)
	return out, err
}

// sheets draws the design of a case; the same state of a case is drawn once.
func (s *Server) sheets(ctx context.Context, c casebook.Case, o order.Order, l words.Lang) ([]sheet.Page, error) {
	key, err := contentKey(c)
	if err != nil {
		return nil, err
	}
	date := s.Now().Format("2006-01-02")
	return take(ctx, s.bench.sheets, keyed(key, c.ID, c.Title, l, o.State, o.Number, date), func(ctx context.Context) ([]sheet.Page, error) {
		p, err := s.planned(ctx, c)
		if err != nil {
			return nil, err
		}
		in := drawing.Input{Title: c.Title, Case: string(c.ID), Class: p.Class.String(), Profile: p.Book.Title, Date: date, Program: s.Version,
			Draft: o.State == order.Draft, Cast: p.Cast, Survey: p.Along, Placement: p.Placement, Design: p.Design, Findings: p.Report.Findings,
			Numbering: drawing.Numbering(o.Jurisdiction.Numbering), Lang: l}
		for _, i := range o.Work.Inputs {
			in.Digests = append(in.Digests, drawing.Digest{Name: i.Name, Hex: i.Digest})
		}
		for _, a := range o.SetAside {
			in.SetAside = append(in.SetAside, drawing.SetAside{Rule: a.Finding.Rule, Tooth: a.Finding.Place.Tooth, Reason: a.Reason, By: a.By})
		}
		pages, err := drawing.DesignSheets(in)
		if err != nil {
			return nil, shown{err}
		}
		return pages, nil
	})
}

// inputs are the files that papers are made from, with their digests.
func (s *Server) inputs(ctx context.Context, c casebook.Case, rev casebook.Revision) ([]order.Input, error) {
	of := func(name, kind string, data []byte) order.Input {
		sum := sha256.Sum256(data)
		return order.Input{Name: name, Kind: kind, Digest: hex.EncodeToString(sum[:]), Bytes: int64(len(data))}
	}
	out := []order.Input{of(string(c.ID)+".yaml", "case", rev.Doc)}
	if c.Scan != nil {
		data, err := s.Store.Attachment(ctx, c.ID, c.Scan.File)
		if err != nil {
			return nil, err
		}
		out = append(out, of(c.Scan.File, "scan", data))
	}
	return out, nil
}

func (s *Server) write(pages []sheet.Page, title string, l words.Lang) ([]byte, error) {
	var b bytes.Buffer
	err := pdf.Write(&b, pages, pdf.Document{Title: title, Maker: "Halfpear " + s.Version, Lang: string(l), Date: s.Now()})
	return b.Bytes(), err
}

// withPapers answers a request for papers of one kind.
func (s *Server) withPapers(w http.ResponseWriter, r *http.Request, answer func(papers, casebook.Case, words.Lang) error) {
	c, rev, err := s.load(r)
	if err == nil {
		l := language(r)
		var p papers
		if p, err = s.papersOf(r.Context(), c, rev, l); err == nil {
			err = answer(p, c, l)
		}
	}
	if err != nil {
		s.fail(w, r, err)
	}
}

var noSheet = refusal{http.StatusConflict, "there is no design to draw yet"}

func (s *Server) sheetSVG(w http.ResponseWriter, r *http.Request) {
	s.withPapers(w, r, func(p papers, c casebook.Case, _ words.Lang) error {
		if len(p.design) == 0 {
			return noSheet
		}
		n := 1
		if text := r.URL.Query().Get("page"); text != "" {
			var err error
			if n, err = strconv.Atoi(text); err != nil || n < 1 {
				return refusef(http.StatusBadRequest, "expected the number of a sheet, found %q", text)
			}
		}
		n = min(n, len(p.design))
		var b bytes.Buffer
		if err := svg.Write(&b, &p.design[n-1]); err != nil {
			return err
		}
		w.Header().Set("X-Sheets", strconv.Itoa(len(p.design)))
		if r.URL.Query().Has("download") {
			download(w, "image/svg+xml", string(c.ID)+".svg", b.Bytes())
			return nil
		}
		w.Header().Set("Content-Type", "image/svg+xml")
		_, _ = w.Write(b.Bytes())
		return nil
	})
}

func (s *Server) sheetPDF(w http.ResponseWriter, r *http.Request) {
	s.withPapers(w, r, func(p papers, c casebook.Case, l words.Lang) error {
		if len(p.design) == 0 {
			return noSheet
		}
		data, err := s.write(p.design, p.order.Number, l)
		if err == nil {
			download(w, "application/pdf", string(c.ID)+"-design.pdf", data)
		}
		return err
	})
}

// orderPDF gives all papers; while something is missing every page says DRAFT.
func (s *Server) orderPDF(w http.ResponseWriter, r *http.Request) {
	s.withPapers(w, r, func(p papers, c casebook.Case, l words.Lang) error {
		out, err := workflow.Publish(p.order, "", p.file, workflow.Drawn{Design: p.design})
		if err == nil {
			download(w, "application/pdf", string(c.ID)+"-order.pdf", out.PDF)
		}
		return err
	})
}

// signOrder signs the order of the case as it stands and keeps its papers for good.
func (s *Server) signOrder(w http.ResponseWriter, r *http.Request) (any, error) {
	var in api.Sign
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	c, rev, err := s.load(r)
	if err != nil {
		return nil, err
	}
	if rev.Seq != in.Base {
		return nil, casebook.Conflict{ID: rev.ID, Base: in.Base, Head: rev.Seq}
	}
	if a, err := tooth.ParseArch(in.Arch); err != nil || a != c.Chart.Arch {
		return nil, refusef(http.StatusUnprocessableEntity, "the case is about the %s arch; the arch read back is %q", c.Chart.Arch, in.Arch)
	}
	l, err := words.ParseLang(in.Language)
	if err != nil {
		return nil, shown{err}
	}
	p, err := s.papersOf(r.Context(), c, rev, l)
	if err != nil {
		return nil, err
	}
	file, err := casefile.Write(c)
	if err != nil {
		return nil, err
	}
	if len(p.order.Gaps) > 0 || strings.TrimSpace(in.By) == "" {
		_, _, err := p.order.Sign(in.By, file)
		return nil, shown{err}
	}
	out, err := workflow.Publish(p.order, in.By, file, workflow.Drawn{Design: p.design})
	if err != nil {
		return nil, err
	}
	issued, err := s.Store.Issue(r.Context(), rev.ID, casebook.Papers{Seq: rev.Seq, Name: fileName(out.Order.Number) + ".pdf", By: in.By, Data: out.PDF})
	if err != nil {
		return nil, err
	}
	return api.Issue{Number: issued.Number, Name: issued.Name, Digest: issued.Digest, By: issued.By}, nil
}
