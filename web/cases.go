package web

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
)

func (s *Server) listCases(_ http.ResponseWriter, r *http.Request) (any, error) {
	list, err := s.Store.List(r.Context(), r.URL.Query().Get("q"))
	if err != nil {
		return nil, err
	}
	out := make([]api.Listed, len(list))
	for i, c := range list {
		out[i] = api.Listed{Case: string(c.ID), Title: c.Title, Arch: c.Arch.String(), Class: classWord(c.Class, language(r)),
			Created: c.Created.Format(time.RFC3339), Changed: c.Changed.Format(time.RFC3339)}
	}
	return out, nil
}

func (s *Server) createCase(w http.ResponseWriter, r *http.Request) (any, error) {
	var n api.NewCase
	if err := read(w, r, &n); err != nil {
		return nil, err
	}
	a, err := tooth.ParseArch(n.Arch)
	if err != nil {
		return nil, shown{err}
	}
	return s.keep(r.Context(), casebook.Case{Title: n.Title, Chart: chart.Chart{Arch: a}}, "new")
}

// keep stores a case under a fresh random number.
func (s *Server) keep(ctx context.Context, c casebook.Case, label string) (api.State, error) {
	id, err := casebook.NewID(s.Random)
	if err != nil {
		return api.State{}, err
	}
	c.ID = id
	content, err := contentOf(c, label)
	if err != nil {
		return api.State{}, err
	}
	rev, err := s.Store.Create(ctx, c.ID, content)
	if err != nil {
		return api.State{}, err
	}
	return s.state(rev)
}

// contentOf writes a case as a revision holds it.
func contentOf(c casebook.Case, label string) (casebook.Content, error) {
	doc, err := casefile.Write(c)
	if err != nil {
		return casebook.Content{}, err
	}
	class, err := arch.Classify(c.Chart.Pattern(false))
	if err != nil {
		return casebook.Content{}, shown{err}
	}
	text := []string{c.Chart.Arch.String(), class.String()}
	for n, t := range c.Chart.Teeth {
		if t.Note != "" {
			text = append(text, fmt.Sprintf("%d %s", n, t.Note))
		}
	}
	if c.Design != nil {
		for _, p := range c.Design.Parts {
			text = append(text, string(p.Form), p.Note)
		}
	}
	return casebook.Content{Label: label, Title: c.Title, Arch: c.Chart.Arch, Class: class.String(), Doc: doc, Text: strings.Join(text, " ")}, nil
}

// load reads the case a request names.
func (s *Server) load(r *http.Request) (casebook.Case, casebook.Revision, error) {
	rev, err := s.Store.Head(r.Context(), casebook.ID(r.PathValue("case")))
	if err != nil {
		return casebook.Case{}, rev, err
	}
	c, err := caseOf(rev)
	return c, rev, err
}

func caseOf(rev casebook.Revision) (casebook.Case, error) {
	return casefile.Read(string(rev.ID)+".yaml", rev.Doc)
}

// state is what the page shows of a revision.
func (s *Server) state(rev casebook.Revision) (api.State, error) {
	c, err := caseOf(rev)
	if err != nil {
		return api.State{}, err
	}
	class, err := arch.Classify(c.Chart.Pattern(false))
	if err != nil {
		return api.State{}, shown{err}
	}
	return api.State{Case: casefile.FromCase(c), Revision: rev.Seq, Undo: rev.Undo, Redo: rev.Redo,
		Changed: rev.At.Format(time.RFC3339), Class: classOf(class, order.Numbering(c)), Numbering: string(order.Numbering(c)), CastKey: castKey(c), SurfaceKey: surfaceKey(c)}, nil
}

// classWord says a class that was kept as arch.Result writes it.
func classWord(kept string, l words.Lang) string {
	var r arch.Result
	if _, err := fmt.Sscanf(kept, "Class %s mod %d", &r.Class, &r.Modifications); err != nil {
		return words.Term(l, "class", "none")
	}
	return r.In(l)
}

func classOf(r arch.Result, teeth tooth.Numbering) api.Class {
	out := api.Class{Class: string(r.Class), Modifications: r.Modifications, Areas: []api.Area{}, Text: map[string]string{}, Notes: map[string][]string{}}
	for _, l := range words.Langs {
		out.Text[string(l)], out.Notes[string(l)] = r.In(l), words.Lines(l.Numbered(teeth), r.Notes)
	}
	for _, a := range r.Areas {
		out.Areas = append(out.Areas, api.Area{Teeth: ints(a.Teeth), Kind: string(a.Kind)})
	}
	return out
}

func ints(ns []tooth.Number) []int {
	out := make([]int, len(ns))
	for i, n := range ns {
		out[i] = int(n)
	}
	return out
}

func (s *Server) openCase(_ http.ResponseWriter, r *http.Request) (any, error) {
	rev, err := s.Store.Head(r.Context(), casebook.ID(r.PathValue("case")))
	if err != nil {
		return nil, err
	}
	return s.state(rev)
}

func (s *Server) saveCase(w http.ResponseWriter, r *http.Request) (any, error) {
	var in api.Save
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	id := r.PathValue("case")
	in.Case.Case = id // a case cannot change its number
	c, err := checked(in.Case)
	if err != nil {
		return nil, err
	}
	content, err := contentOf(c, in.Label)
	if err != nil {
		return nil, err
	}
	rev, err := s.Store.Save(r.Context(), c.ID, in.Base, content)
	if err != nil {
		return nil, err
	}
	return s.state(rev)
}

// checked judges a case from the page by the same schema and in the same words as a file.
func checked(f casefile.File) (casebook.Case, error) {
	data, err := json.Marshal(f)
	if err != nil {
		return casebook.Case{}, err
	}
	c, err := casefile.Read("", data)
	var wrong *casefile.Error
	if errors.As(err, &wrong) {
		for i := range wrong.Problems {
			wrong.Problems[i].Line = 0 // nobody sees these lines
		}
	}
	return c, err
}

func (s *Server) undo(w http.ResponseWriter, r *http.Request) (any, error) {
	return s.step(w, r, s.Store.Undo)
}

func (s *Server) redo(w http.ResponseWriter, r *http.Request) (any, error) {
	return s.step(w, r, s.Store.Redo)
}

func (s *Server) step(w http.ResponseWriter, r *http.Request, f func(context.Context, casebook.ID, int) (casebook.Revision, error)) (any, error) {
	var in api.OnTop
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	rev, err := f(r.Context(), casebook.ID(r.PathValue("case")), in.Base)
	if err != nil {
		return nil, err
	}
	return s.state(rev)
}

func (s *Server) restore(w http.ResponseWriter, r *http.Request) (any, error) {
	var in api.OnTop
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	id := casebook.ID(r.PathValue("case"))
	old, err := s.Store.At(r.Context(), id, in.To)
	if err != nil {
		return nil, err
	}
	content := old.Content
	content.Label = fmt.Sprintf("restore %d", in.To)
	rev, err := s.Store.Save(r.Context(), id, in.Base, content)
	if err != nil {
		return nil, err
	}
	return s.state(rev)
}

func (s *Server) history(_ http.ResponseWriter, r *http.Request) (any, error) {
	steps, err := s.Store.History(r.Context(), casebook.ID(r.PathValue("case")))
	if err != nil {
		return nil, err
	}
	out := make([]api.Step, len(steps))
	for i, st := range steps {
		out[i] = api.Step{Revision: st.Seq, Parent: st.Parent, Label: st.Label, At: st.At.Format(time.RFC3339), Head: st.Head}
	}
	return out, nil
}

func (s *Server) removeCase(_ http.ResponseWriter, r *http.Request) (any, error) {
	if err := s.Store.Remove(r.Context(), casebook.ID(r.PathValue("case"))); err != nil {
		return nil, err
	}
	return struct{}{}, nil
}

func (s *Server) duplicateCase(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, rev, err := s.load(r)
	if err != nil {
		return nil, err
	}
	var scan []byte
	if c.Scan != nil {
		if scan, err = s.Store.Attachment(r.Context(), rev.ID, c.Scan.File); err != nil {
			return nil, err
		}
	}
	return s.keepWith(r.Context(), c, scan, "duplicate of "+string(rev.ID))
}

// exampleCase keeps a made-up case and accepts what is proposed for it first, so that a
// newcomer finds every room filled.
func (s *Server) exampleCase(_ http.ResponseWriter, r *http.Request) (any, error) {
	if len(s.Example) == 0 {
		return nil, refusef(http.StatusNotFound, "this program came without an example")
	}
	c, err := casefile.Read("the example", s.Example)
	if err != nil {
		return nil, err
	}
	list, err := s.proposed(r.Context(), c)
	if err != nil {
		return nil, err
	}
	st, err := s.keep(r.Context(), c, "example")
	if err != nil {
		return nil, err
	}
	c.ID = casebook.ID(st.Case.Case)
	c.Design = &list[0].Design
	return s.saveOn(r.Context(), c, st.Revision, "accept")
}

// keepWith stores a case and, where it has one, its scan's file.
func (s *Server) keepWith(ctx context.Context, c casebook.Case, scan []byte, label string) (api.State, error) {
	st, err := s.keep(ctx, c, label)
	if err != nil || scan == nil {
		return st, err
	}
	_, err = s.Store.Attach(ctx, casebook.ID(st.Case.Case), c.Scan.File, scan)
	return st, err
}

// exportCase gives the case as one file: the case file itself, or, where the case has a
// scan, an archive of the two.
func (s *Server) exportCase(w http.ResponseWriter, r *http.Request) {
	c, rev, err := s.load(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if c.Scan == nil {
		download(w, "application/yaml", string(rev.ID)+".yaml", rev.Doc)
		return
	}
	scan, err := s.Store.Attachment(r.Context(), rev.ID, c.Scan.File)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	for _, f := range []struct {
		name string
		data []byte
	}{{string(rev.ID) + ".yaml", rev.Doc}, {c.Scan.File, scan}} {
		to, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate, Modified: rev.At})
		if err == nil {
			_, err = to.Write(f.data)
		}
		if err != nil {
			s.fail(w, r, err)
			return
		}
	}
	if err := z.Close(); err != nil {
		s.fail(w, r, err)
		return
	}
	download(w, "application/zip", string(rev.ID)+".zip", buf.Bytes())
}

func download(w http.ResponseWriter, kind, name string, data []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	w.Header().Set("Content-Length", fmt.Sprint(len(data)))
	_, _ = w.Write(data)
}

// importCase reads what exportCase gives. Nothing is kept unless all of it is in order.
func (s *Server) importCase(w http.ResponseWriter, r *http.Request) (any, error) {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, largestScan))
	if err != nil {
		return nil, err
	}
	doc, scan := body, []byte(nil)
	var scanName string
	if bytes.HasPrefix(body, []byte("PK\x03\x04")) {
		if doc, scan, scanName, err = unpack(body); err != nil {
			return nil, err
		}
	}
	c, err := casefile.Read("", doc)
	if err != nil {
		return nil, err
	}
	if c.Scan != nil {
		if scan == nil {
			return nil, refusef(http.StatusUnprocessableEntity, "the case names a scan, %q, which is not with it: import the archive that holds both, or add the scan after importing a case without one", path.Base(c.Scan.File))
		}
		if path.Base(c.Scan.File) != scanName {
			return nil, refusef(http.StatusUnprocessableEntity, "the case names the scan %q, the archive holds %q", path.Base(c.Scan.File), scanName)
		}
		c.Scan.File = fileName(scanName)
	}
	return s.keepWith(r.Context(), c, scan, "import")
}

// unpack takes the case and the scan out of an archive. The archive may hold nothing
// else; names only tell the one from the other, and no more is unpacked than a scan may
// have.
func unpack(body []byte) (doc, scan []byte, scanName string, err error) {
	bad := func(why words.Text) error {
		return refusef(http.StatusUnprocessableEntity, "reading the archive: %v", why)
	}
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		return nil, nil, "", bad(words.Tell("it is damaged or no zip archive"))
	}
	if len(z.File) > 2 {
		return nil, nil, "", bad(words.Tell("expected a case and its scan, found %d files", len(z.File)))
	}
	for _, f := range z.File {
		limit := int64(largestScan)
		isCase := strings.HasSuffix(f.Name, ".yaml") || strings.HasSuffix(f.Name, ".json")
		if isCase {
			limit = largestRequest
		}
		from, err := f.Open()
		if err != nil {
			return nil, nil, "", bad(words.Tell("%q cannot be unpacked", path.Base(f.Name)))
		}
		data, err := io.ReadAll(io.LimitReader(from, limit+1))
		from.Close()
		if err != nil {
			return nil, nil, "", bad(words.Tell("%q is damaged", path.Base(f.Name)))
		}
		if int64(len(data)) > limit {
			return nil, nil, "", bad(words.Tell("%q is larger than %d MB", path.Base(f.Name), limit>>20))
		}
		switch {
		case isCase && doc == nil:
			doc = data
		case !isCase && scan == nil:
			scan, scanName = data, path.Base(f.Name)
		default:
			return nil, nil, "", bad(words.Tell("expected one case and at most one scan"))
		}
	}
	if doc == nil {
		return nil, nil, "", bad(words.Tell("expected a case file whose name ends in .yaml, found none"))
	}
	return doc, scan, scanName, nil
}

// fileName makes a plain name of whatever a browser sent: letters, digits, dots, dashes.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	clean := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '-', r == '_':
			return r
		}
		return '_'
	}, name)
	clean = strings.TrimLeft(clean, ".")
	if len(clean) > 80 {
		clean = clean[len(clean)-80:]
	}
	if clean == "" || clean == "_" {
		return "scan"
	}
	return clean
}
