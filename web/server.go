// Package web is the workbench: a drawing board in the browser, served on this machine
// only. It keeps cases in a casebook.Store and does each step by calling workflow; it
// holds no trade knowledge of its own.
//
// Nothing a browser sends ever becomes a path: files are kept in the store by name, and
// the page's own files are embedded in the program.
package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"halfpear/casebook"
	"halfpear/encoding/casefile"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/web/ui"
	"halfpear/words"
)

// Options is what a Server needs.
type Options struct {
	Store   casebook.Store
	Token   string // the key; at least 128 bits of chance, in letters and digits
	Address string // where the server listens, as in 127.0.0.1:7350
	// Names are further host names under which the server may be asked, in a school or
	// laboratory that set them; without them only loopback's own names are answered.
	Names   []string
	Version string
	Now     func() time.Time
	Random  io.Reader // case numbers are drawn from it
	Log     *slog.Logger
	Example []byte // a made-up case to look at, as a case file; none where it is empty
}

// Limits on what is taken in [bytes].
const (
	largestRequest = 4 << 20   // a case
	largestScan    = 512 << 20 // a scan of some ten million triangles
)

// Server is the workbench's handler.
type Server struct {
	Options
	hosts []string
	port  string
	mux   *http.ServeMux
	bench *bench
}

// New prepares the handler.
func New(o Options) (*Server, error) {
	host, port, err := net.SplitHostPort(o.Address)
	if err != nil {
		return nil, fmt.Errorf("serving on %q: expected an address and a port, as in 127.0.0.1:7350: %w", o.Address, err)
	}
	if len(o.Token) < 22 {
		return nil, fmt.Errorf("serving with a key of %d characters: expected at least 22", len(o.Token))
	}
	s := &Server{Options: o, port: port, hosts: []string{"127.0.0.1", "localhost", "::1"}, mux: http.NewServeMux(), bench: newBench()}
	if ip := net.ParseIP(host); ip != nil && !ip.IsUnspecified() {
		s.hosts = append(s.hosts, host)
	}
	for _, n := range o.Names {
		s.hosts = append(s.hosts, strings.ToLower(n))
	}
	s.routes()
	return s, nil
}

// Entry is the address to open in the browser.
func (s *Server) Entry() string { return "http://" + s.Address + enterPath + s.Token }

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	defer func() {
		if v := recover(); v != nil && v != http.ErrAbortHandler {
			s.fail(w, r, fmt.Errorf("panic: %v\n%s", v, debug.Stack()))
		}
	}()
	s.guard(s.mux).ServeHTTP(w, r)
}

// Serve answers on the listener until ctx is done, then lets running requests finish.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{Handler: s, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx }}
	done := make(chan error, 1)
	go func() {
		<-ctx.Done()
		stop, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		done <- h.Shutdown(stop)
	}()
	if err := h.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serving on %s: %w", l.Addr(), err)
	}
	return <-done
}

func (s *Server) routes() {
	s.get("/api/about", s.about)
	s.get("/api/cases", s.listCases)
	s.post("/api/cases", s.createCase)
	s.post("/api/cases/import", s.importCase)
	s.post("/api/cases/example", s.exampleCase)
	s.get("/api/cases/{case}", s.openCase)
	s.mux.HandleFunc("PUT /api/cases/{case}", s.answering(s.saveCase))
	s.mux.HandleFunc("DELETE /api/cases/{case}", s.answering(s.removeCase))
	s.post("/api/cases/{case}/undo", s.undo)
	s.post("/api/cases/{case}/redo", s.redo)
	s.post("/api/cases/{case}/restore", s.restore)
	s.post("/api/cases/{case}/duplicate", s.duplicateCase)
	s.get("/api/cases/{case}/history", s.history)
	s.mux.HandleFunc("GET /api/cases/{case}/export", s.exportCase)
	s.engineRoutes()
	s.mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, refusef(http.StatusNotFound, "there is nothing at this address"))
	})
	s.mux.HandleFunc("/", s.page)
}

func (s *Server) get(path string, h handler)  { s.mux.HandleFunc("GET "+path, s.answering(h)) }
func (s *Server) post(path string, h handler) { s.mux.HandleFunc("POST "+path, s.answering(h)) }

// handler does one request and gives what is to be answered in JSON.
type handler func(w http.ResponseWriter, r *http.Request) (any, error)

func (s *Server) answering(h handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Accept") == ndjson {
			s.stream(w, r, h)
			return
		}
		v, err := h(w, r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		answer(w, http.StatusOK, v)
	}
}

func answer(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(true)
	_ = enc.Encode(v) // the browser has gone when this fails
}

// refusal is an error whose words are made for the person at the browser.
type refusal struct {
	status int
	text   words.Text
}

func (r refusal) Error() string { return r.text.String() }

func refusef(status int, english string, values ...any) error {
	return refusal{status, words.Tell(english, values...)}
}

func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	status, f := s.failure(r, err)
	answer(w, status, f)
}

// failure puts an error into words for the page. Only errors made for people are shown; of
// any other the page learns the number of the log's entry.
func (s *Server) failure(r *http.Request, err error) (status int, f api.Failure) {
	var (
		no       refusal
		conflict casebook.Conflict
		file     *casefile.Error
		big      *http.MaxBytesError
		own      shown
	)
	l := s.readerOf(r)
	says := func(status int, text words.Text) (int, api.Failure) { return status, api.Failure{Error: text.In(l)} }
	switch {
	case errors.Is(err, context.Canceled):
		return says(499, words.Tell("the work was broken off"))
	case errors.As(err, &no):
		return says(no.status, no.text)
	case errors.As(err, &conflict):
		status, f = says(http.StatusConflict, words.Tell("the case has meanwhile become revision %d, this was made on revision %d: load it again and repeat the change", conflict.Head, conflict.Base))
		f.Head = conflict.Head
		return status, f
	case errors.Is(err, casebook.ErrUnknown):
		return says(http.StatusNotFound, words.Tell("there is no such case"))
	case errors.Is(err, casebook.ErrNothing):
		return says(http.StatusConflict, words.Tell("there is nothing to take back"))
	case errors.As(err, &file):
		status, f = says(http.StatusUnprocessableEntity, file.Says())
		for _, p := range file.Problems {
			f.Problems = append(f.Problems, api.Problem{Field: p.Field, Text: p.Text.In(l)})
		}
		return status, f
	case errors.As(err, &big):
		return says(http.StatusRequestEntityTooLarge, words.Tell("what was sent is larger than the %d MB that are taken here", big.Limit>>20))
	case errors.As(err, &own):
		return says(http.StatusUnprocessableEntity, words.OfError(own))
	}
	return s.fault(r, err)
}

// shown marks an error of a trade package as fit to be shown: it speaks of what the user
// gave, not of this machine.
type shown struct{ error }

func (e shown) Unwrap() error          { return e.error }
func (e shown) In(l words.Lang) string { return words.OfError(e.error).In(l) }

func archWord(a tooth.Arch) words.Code { return words.Code{Group: "arch", Code: a.String()} }

func (s *Server) fault(r *http.Request, err error) (int, api.Failure) {
	entry := make([]byte, 2)
	_, _ = io.ReadFull(s.Random, entry)
	name := fmt.Sprintf("%04x", entry)
	s.Log.Error("a request failed", "entry", name, "method", r.Method, "path", r.URL.Path, "error", err)
	return http.StatusInternalServerError, api.Failure{Error: words.Tell("something went wrong here; the log has entry %s", name).In(language(r))}
}

// read decodes a JSON body strictly.
func read(w http.ResponseWriter, r *http.Request, v any) error {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, largestRequest))
	if err != nil {
		return err
	}
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); kind != "application/json" {
		return refusef(http.StatusUnsupportedMediaType, "expected JSON, found %q", kind)
	}
	dec := json.NewDecoder(strings.NewReader(string(body)))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return refusef(http.StatusBadRequest, "the request could not be understood: %v", err)
	}
	return nil
}

// page gives the page's files; every address that is no file is the page itself, which
// shows what the address names.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		refuse(w, r, http.StatusMethodNotAllowed, words.Tell("this address is only read"))
		return
	}
	files, built := ui.Files()
	if !built {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		fmt.Fprintln(w, "Halfpear: this program was built without the workbench's page. Run `make build` (it needs Node 20 and npm) and start it again; all other verbs work as they are.")
		return
	}
	name := strings.TrimPrefix(r.URL.Path, "/")
	if info, err := fs.Stat(files, name); name == "" || err != nil || info.IsDir() {
		if strings.HasPrefix(name, "assets/") {
			http.NotFound(w, r)
			return
		}
		name = "index.html"
	}
	if strings.HasPrefix(name, "assets/") { // named by their content
		w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	http.ServeFileFS(w, r, files, name)
}
