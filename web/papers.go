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
		in := workflow.SheetsInput{Program: "Halfpear " + s.Version, At: s.Now(), Draft: o.State == order.Draft, Lang: o.Lang}
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
		if issued, err := s.Store.Issued(ctx, rev.ID); err == nil && len(issued) > 0 {
			if was := s.planThen(ctx, rev.ID, issued[len(issued)-1].Seq); was != nil {
				pages = append(pages, drawing.Overlay(o, was.Placement, in.Size)...)
			}
		}
		return pages, nil
	})
}

// A paper is a file that is made of a case.
type paper struct {
	kind, name string
	data       []byte
	sheets     int // of a drawing that is one of several
}

// paperMaker makes one kind of paper of a case as it stands.
type paperMaker func(r *http.Request, c casebook.Case, rev casebook.Revision) (paper, error)

// paper answers a request for one kind of paper. A page that asks for it with ready hears
// how the work goes, and fetches the paper afterwards.
func (s *Server) paper(make paperMaker) http.HandlerFunc {
	made := func(r *http.Request) (paper, error) {
		c, rev, err := s.load(r)
		if err != nil {
			return paper{}, err
		}
		q := r.URL.Query()
		key := keyed(r.URL.Path, rev.Seq, language(r), q.Get("page"), q.Get("taper"), q.Get("design"), q.Get("relief"), s.Now().Format("2006-01-02"))
		return take(r.Context(), s.bench.papers, key, func(ctx context.Context) (paper, error) { return make(r.WithContext(ctx), c, rev) })
	}
	ready := s.answering(func(_ http.ResponseWriter, r *http.Request) (any, error) {
		_, err := made(r)
		return struct{}{}, err
	})
	return func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Query().Has("ready") {
			ready(w, r)
			return
		}
		p, err := made(r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		if p.sheets > 0 {
			w.Header().Set("X-Sheets", strconv.Itoa(p.sheets))
		}
		if p.kind == svgKind && !r.URL.Query().Has("download") {
			w.Header().Set("Content-Type", p.kind)
			_, _ = w.Write(p.data)
			return
		}
		download(w, p.kind, p.name, p.data)
	}
}

const svgKind = "image/svg+xml"

func (s *Server) sheetSVG(r *http.Request, c casebook.Case, rev casebook.Revision) (paper, error) {
	pages, err := s.sheets(r.Context(), c, rev, language(r))
	if err != nil {
		return paper{}, err
	}
	n := 1
	if text := r.URL.Query().Get("page"); text != "" {
		if n, err = strconv.Atoi(text); err != nil || n < 1 {
			return paper{}, refusef(http.StatusBadRequest, "expected the number of a sheet, found %q", text)
		}
	}
	var b bytes.Buffer
	err = svg.Write(&b, &pages[min(n, len(pages))-1])
	return paper{svgKind, string(c.ID) + ".svg", b.Bytes(), len(pages)}, err
}

func (s *Server) sheetPDF(r *http.Request, c casebook.Case, rev casebook.Revision) (paper, error) {
	l := language(r)
	pages, err := s.sheets(r.Context(), c, rev, l)
	if err != nil {
		return paper{}, err
	}
	var b bytes.Buffer
	err = pdf.Write(&b, pages, pdf.Document{Title: string(c.ID), Maker: "Halfpear " + s.Version, Lang: string(l.Language()), Date: s.Now()})
	return paper{kind: "application/pdf", name: string(c.ID) + "-design.pdf", data: b.Bytes()}, err
}

// orderPDF gives all papers; while something is missing every page says that it is a
// draft.
func (s *Server) orderPDF(r *http.Request, c casebook.Case, rev casebook.Revision) (paper, error) {
	in, err := s.papersInput(r.Context(), c, rev, language(r))
	if err != nil {
		return paper{}, err
	}
	if err := r.Context().Err(); err != nil {
		return paper{}, err
	}
	tell(r.Context(), "bind", 0, 0)
	in.DraftToo = true
	p, err := workflow.MakePapers(in)
	if err != nil {
		return paper{}, shown{err}
	}
	return paper{kind: "application/pdf", name: string(c.ID) + "-order.pdf", data: p.PDF}, nil
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
		return nil, refusef(http.StatusUnprocessableEntity, "the case is about the %s arch; the arch read back is %q", archWord(c.Chart.Arch), in.Arch)
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
