package web

import (
	"bytes"
	"context"
	"net/http"
	"strconv"

	"halfpear/casebook"
	"halfpear/drawing"
	"halfpear/encoding/pdf"
	"halfpear/encoding/svg"
	"halfpear/order"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// papersInput gathers what papers are made from, the order that went out last among it.
func (s *Server) papersInput(ctx context.Context, c casebook.Case, rev casebook.Revision, l words.Lang) (workflow.PapersInput, error) {
	issued, err := s.Store.Issued(ctx, rev.ID)
	if err != nil {
		return workflow.PapersInput{}, err
	}
	in := workflow.PapersInput{Made: order.Made{Program: "Halfpear " + s.Version, At: s.Now()}, Lang: l, Files: map[string][]byte{string(c.ID) + ".yaml": rev.Doc}}
	if c.Scan != nil {
		if in.Files[c.Scan.File], err = s.Store.Attachment(ctx, c.ID, c.Scan.File); err != nil {
			return workflow.PapersInput{}, err
		}
	}
	if c.Design == nil || len(c.Design.Parts) == 0 {
		if in.Study, err = s.study(ctx, c); err != nil {
			return workflow.PapersInput{}, err
		}
	} else {
		p, err := s.planned(ctx, c)
		if err != nil {
			return workflow.PapersInput{}, err
		}
		own := *p // what was set aside and entered since is not the plan's, but the case's
		own.Study = p.With(c)
		in.Study, in.Plan = own.Study, &own
	}
	in.Made.Rulebook = in.Study.Book.Profile
	if n := len(issued); n > 0 {
		if in.Before, err = s.issuedBefore(ctx, rev.ID, issued[n-1].Seq, n); err != nil {
			return workflow.PapersInput{}, err
		}
		in.Was = s.planThen(ctx, rev.ID, issued[n-1].Seq)
	}
	return in, nil
}

// planThen is the design as it lay at an earlier revision; nil where it cannot be laid any
// more: what changed is then told in words only.
func (s *Server) planThen(ctx context.Context, id casebook.ID, seq int) *workflow.Plan {
	then, err := s.Store.At(ctx, id, seq)
	if err != nil {
		return nil
	}
	c, err := caseOf(then)
	if err != nil || c.Design == nil {
		return nil
	}
	p, err := s.planned(ctx, c)
	if err != nil {
		return nil
	}
	return p
}

// sheets draws the design sheets of a case; the same state of a case is drawn once.
func (s *Server) sheets(ctx context.Context, c casebook.Case, rev casebook.Revision, l words.Lang) ([]sheet.Page, error) {
	return take(ctx, s.bench.sheets, keyed(c.ID, rev.Seq, l, s.Now().Format("2006-01-02")), func(ctx context.Context) ([]sheet.Page, error) {
		w, err := s.work(ctx, c, rev)
		if err != nil {
			return nil, err
		}
		j, err := order.JurisdictionNamed(c.Order.Jurisdiction)
		if err != nil {
			return nil, shown{err}
		}
		o := order.Write(w, j, l)
		p, err := s.planned(ctx, c)
		if err != nil {
			return nil, err
		}
		own := *p
		own.Study = p.With(c)
		in := workflow.SheetsInput{Program: "Halfpear " + s.Version, At: s.Now(), Draft: o.State == order.Draft, Numbering: drawing.Numbering(j.Numbering), Lang: l}
		for _, i := range o.Work.Inputs {
			in.Digests = append(in.Digests, drawing.Digest{Name: i.Name, Hex: i.Digest})
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		tell(ctx, "draw", 0, 0)
		pages, err := own.Sheets(in)
		if err != nil {
			return nil, shown{err}
		}
		return pages, nil
	})
}

// paper answers a request for one kind of paper.
func (s *Server) paper(answer func(w http.ResponseWriter, r *http.Request, c casebook.Case, rev casebook.Revision, l words.Lang) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		c, rev, err := s.load(r)
		if err == nil {
			err = answer(w, r, c, rev, language(r))
		}
		if err != nil {
			s.fail(w, r, err)
		}
	}
}

func (s *Server) sheetSVG(w http.ResponseWriter, r *http.Request, c casebook.Case, rev casebook.Revision, l words.Lang) error {
	pages, err := s.sheets(r.Context(), c, rev, l)
	if err != nil {
		return err
	}
	n := 1
	if text := r.URL.Query().Get("page"); text != "" {
		if n, err = strconv.Atoi(text); err != nil || n < 1 {
			return refusef(http.StatusBadRequest, "expected the number of a sheet, found %q", text)
		}
	}
	var b bytes.Buffer
	if err := svg.Write(&b, &pages[min(n, len(pages))-1]); err != nil {
		return err
	}
	w.Header().Set("X-Sheets", strconv.Itoa(len(pages)))
	if r.URL.Query().Has("download") {
		download(w, "image/svg+xml", string(c.ID)+".svg", b.Bytes())
		return nil
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(b.Bytes())
	return nil
}

func (s *Server) sheetPDF(w http.ResponseWriter, r *http.Request, c casebook.Case, rev casebook.Revision, l words.Lang) error {
	pages, err := s.sheets(r.Context(), c, rev, l)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pdf.Write(&b, pages, pdf.Document{Title: string(c.ID), Maker: "Halfpear " + s.Version, Lang: string(l), Date: s.Now()}); err != nil {
		return err
	}
	download(w, "application/pdf", string(c.ID)+"-design.pdf", b.Bytes())
	return nil
}

// orderPDF gives all papers; while something is missing every page says that it is a
// draft.
func (s *Server) orderPDF(w http.ResponseWriter, r *http.Request, c casebook.Case, rev casebook.Revision, l words.Lang) error {
	in, err := s.papersInput(r.Context(), c, rev, l)
	if err != nil {
		return err
	}
	in.DraftToo = true
	p, err := workflow.MakePapers(in)
	if err != nil {
		return shown{err}
	}
	download(w, "application/pdf", string(c.ID)+"-order.pdf", p.PDF)
	return nil
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
	of, err := s.papersInput(r.Context(), c, rev, l)
	if err != nil {
		return nil, err
	}
	of.SignedBy = in.By
	p, err := workflow.MakePapers(of)
	if err != nil {
		return nil, shown{err}
	}
	if p.Record == nil {
		return nil, refusef(http.StatusConflict, "order %s cannot be signed: %d things are missing, the first: %s", p.Order.Number, len(p.Order.Gaps), p.Order.Gaps[0].Text)
	}
	issued, err := s.Store.Issue(r.Context(), rev.ID, casebook.Papers{Seq: rev.Seq, Name: fileName(p.Order.Number) + ".pdf", By: p.Record.Signature.By, Data: p.PDF})
	if err != nil {
		return nil, err
	}
	return api.Issue{Number: issued.Number, Name: issued.Name, Digest: issued.Digest, By: issued.By}, nil
}
