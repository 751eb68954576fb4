package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"time"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/survey"
	"halfpear/web/api"
	"halfpear/words"
)

// language is the one the page asks for: in the address, or else in the request's head, as
// browsers do on their own.
func language(r *http.Request) words.Lang {
	if l, err := words.ParseLang(r.URL.Query().Get("lang")); err == nil {
		return l
	}
	for _, wish := range strings.Split(r.Header.Get("Accept-Language"), ",") {
		name, _, _ := strings.Cut(strings.TrimSpace(wish), ";")
		if l, err := words.ParseLang(name); err == nil {
			return l
		}
	}
	return words.English
}

// readerOf is who reads what is said of the case that a request names.
func (s *Server) readerOf(r *http.Request) words.Lang {
	if c, _, err := s.load(r); err == nil {
		return reader(r, c)
	}
	return language(r)
}

// reader is who reads what is said of a case: the page's language, and teeth numbered as
// where the case's order goes.
func reader(r *http.Request, c casebook.Case) words.Lang {
	return language(r).Numbered(order.Numbering(c))
}

// work gathers everything an order is written from. What cannot be worked out yet, as on
// a case without a design, is left out: the order then says what it lacks.
func (s *Server) work(ctx context.Context, c casebook.Case, rev casebook.Revision) (order.Work, error) {
	class, err := arch.Classify(c.Chart.Pattern(false))
	if err != nil {
		return order.Work{}, shown{err}
	}
	w := order.Work{Case: c, Class: class, Path: survey.PathFromTilt(c.Chart.Arch, c.Survey.AnteriorDeg, c.Survey.RightDeg),
		Made: order.Made{Program: s.Version, At: s.Now()}}
	if w.Inputs, err = s.inputs(ctx, c, rev); err != nil {
		return order.Work{}, err
	}
	issued, err := s.Store.Issued(ctx, rev.ID)
	if err != nil {
		return order.Work{}, err
	}
	if n := len(issued); n > 0 {
		if w.Before, err = s.issuedBefore(ctx, rev.ID, issued[n-1].Seq, n); err != nil {
			return order.Work{}, err
		}
	}
	if c.Design != nil && len(c.Design.Parts) > 0 {
		p, err := s.planned(ctx, c)
		switch {
		case err == nil:
			w.Class, w.Cast, w.Placement, w.Prep, w.Findings = p.Class, p.Cast, p.Placement, &p.Prep, p.Report.Findings
			return w, nil
		case ctx.Err() != nil:
			return order.Work{}, err
		}
		// What cannot be planned is a gap of the order, not a failure of the form.
	}
	if m, err := s.mount(ctx, c); err == nil && m.whole {
		w.Cast = m.cast
	}
	return w, nil
}

// issuedBefore is the order that went out last, as the case stood then, so that the next
// one can tell what changed.
func (s *Server) issuedBefore(ctx context.Context, id casebook.ID, seq, revision int) (*order.Record, error) {
	then, err := s.Store.At(ctx, id, seq)
	if err != nil {
		return nil, err
	}
	c, err := casefile.Read(string(id), then.Doc)
	if err != nil {
		return nil, err
	}
	j, err := order.JurisdictionNamed(c.Order.Jurisdiction)
	if err != nil {
		return nil, shown{err}
	}
	w := order.Work{Case: c, Path: survey.PathFromTilt(c.Chart.Arch, c.Survey.AnteriorDeg, c.Survey.RightDeg), Made: order.Made{Program: s.Version, At: then.At}}
	if w.Inputs, err = s.inputs(ctx, c, then); err != nil {
		return nil, err
	}
	r := order.Snapshot(order.Write(w, j, words.English))
	r.Revision = revision
	return &r, nil
}

func (s *Server) orderForm(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, rev, err := s.load(r)
	if err != nil {
		return nil, err
	}
	l := reader(r, c)
	w, err := s.work(r.Context(), c, rev)
	if err != nil {
		return nil, err
	}
	j, err := order.JurisdictionNamed(c.Order.Jurisdiction)
	if err != nil {
		return nil, shown{err}
	}
	o := order.Write(w, j, l)
	out := api.OrderForm{Number: o.Number, Revision: o.Revision, State: string(o.State), Jurisdiction: j.Name, Jurisdictions: []api.Choice{}, Fields: []api.OrderField{},
		Gaps: []api.Gap{}, Parts: []api.OrderPart{}, Issued: []api.Issue{}}
	for _, j := range order.Jurisdictions() {
		out.Jurisdictions = append(out.Jurisdictions, api.Choice{Name: j.Name, Label: j.Label(l)})
	}
	for _, v := range o.Values {
		f := v.Field
		if f.Filled == order.ByHand || f.Filled == order.ByLaboratory {
			continue
		}
		need := [...]string{order.Optional: "optional", order.Legal: "legal", order.Buildable: "needed", order.Conditional: "conditional"}[f.Need]
		if f.Need == order.Legal && !j.Asks(f.Name) {
			need = "optional"
		}
		of := api.OrderField{Number: f.Number, Name: f.Name, Label: f.Label.In(l), Text: v.Text, Code: v.Code, Entered: f.Filled == order.Entered, Need: need, Choices: []api.Choice{}, Lines: f.Free}
		for _, code := range f.Choices {
			of.Choices = append(of.Choices, api.Choice{Name: code, Label: words.Term(l, f.Group, code)})
		}
		out.Fields = append(out.Fields, of)
	}
	for _, g := range o.Gaps {
		out.Gaps = append(out.Gaps, api.Gap{Field: g.Field, Part: string(g.Part), Tooth: int(g.Tooth), Text: g.Text, Rule: g.Rule})
	}
	for _, p := range o.Parts {
		op := api.OrderPart{Number: p.Number, ID: string(p.Part.ID), Title: order.Title(p.Part, l), Where: p.Where, Material: p.Material, Sizes: []string{}}
		for _, d := range p.Dimensions {
			op.Sizes = append(op.Sizes, d.Label+" "+d.Text)
		}
		out.Parts = append(out.Parts, op)
	}
	issued, err := s.Store.Issued(r.Context(), rev.ID)
	if err != nil {
		return nil, err
	}
	for _, p := range issued {
		out.Issued = append(out.Issued, api.Issue{Number: p.Number, Name: p.Name, Digest: p.Digest, At: p.At.Format(time.RFC3339), By: p.By})
	}
	return out, nil
}

// issuedFile gives papers as they went out.
func (s *Server) issuedFile(w http.ResponseWriter, r *http.Request) {
	n, err := strconv.Atoi(r.PathValue("number"))
	if err != nil {
		s.fail(w, r, refusef(http.StatusNotFound, "there are no such papers"))
		return
	}
	p, err := s.Store.IssuedFile(r.Context(), casebook.ID(r.PathValue("case")), n)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	download(w, "application/pdf", p.Name, p.Data)
}

// caseJSON gives the case file as JSON, which is YAML too.
func (s *Server) caseJSON(w http.ResponseWriter, r *http.Request) {
	c, rev, err := s.load(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	data, err := json.MarshalIndent(casefile.FromCase(c), "", "  ")
	if err != nil {
		s.fail(w, r, err)
		return
	}
	download(w, "application/json", string(rev.ID)+".json", append(data, '\n'))
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
