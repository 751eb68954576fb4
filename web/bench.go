package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"runtime/debug"
	"sync"

	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/material"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// bench keeps what was worked out for the cases that are open. Everything on it follows
// from a case, so nothing is lost when it is cleared.
type bench struct {
	scans   *shelf // readScan, by the case, the file and its unit
	found   *shelf // points on teeth that the program found, by the scan and the teeth that stand
	stood   *shelf // *stood, by the scan, the points on it and the teeth that stand
	casts   *shelf // *mounted, by the case's cast key
	depths  *shelf // timedDepths, by the surface's key and the path
	surveys *shelf // timed, by the cast's key and the path
	plans   *shelf // *workflow.Plan, by all of the case

	papers    *shelf // paper, by what it is, the state of the case, the language and the day
	sheets    *shelf // []sheet.Page, by all of the case, the language and the day
	tilts     *shelf // sweep, by all of the case
	laid      *shelf // *placement.Placement, by the cast's key, the path and the design
	grounds   *shelf // *placement.Placement of nothing yet, by the cast's key and the path
	proposals *shelf // []proposal.Proposal, by all of the case but its design
}

func newBench() *bench {
	return &bench{scans: newShelf(2), found: newShelf(4), stood: newShelf(2), depths: newShelf(6), casts: newShelf(4), surveys: newShelf(6), plans: newShelf(8), papers: newShelf(4), sheets: newShelf(6), tilts: newShelf(4), laid: newShelf(8), grounds: newShelf(4), proposals: newShelf(6)}
}

// guarded turns a panic of the work into an error, so that one bad case does not end the
// program for all.
func guarded[T any](ctx context.Context, work func(context.Context) (T, error)) (v T, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v\n%s", r, debug.Stack())
		}
	}()
	return work(ctx)
}

func keyed(parts ...any) string {
	sum := sha256.Sum256([]byte(fmt.Sprint(parts...)))
	return hex.EncodeToString(sum[:12])
}

// castKey names everything a cast is made from. A file keeps its name within a case as
// long as its bytes, so the name stands for them.
func castKey(c casebook.Case) string {
	scan := ""
	if c.Scan != nil {
		scan = string(c.ID) + "/" + c.Scan.File
		on := *c.Scan
		on.Proposed = nil // who looked at a point does not move it
		c.Scan = &on
	}
	return keyed(workflow.CastKey(c, scan))
}

// surfaceKey names everything that the cast's surface follows from, wherever its margins are.
func surfaceKey(c casebook.Case) string {
	if c.Scan == nil {
		return castKey(c)
	}
	return keyed(c.ID, c.Scan.File, c.Scan.Unit, c.Chart.Pattern(false).Text(), c.Scan.Points)
}

// mounted is a cast, or a scan on which the teeth are not known yet.
type mounted struct {
	key     string
	cast    *cast.Cast
	whole   bool                      // teeth are known
	trouble words.Text                // why they are not
	points  map[tooth.Number]geom.Vec // on the teeth of a scan, in its own frame
	report  []words.Text
	*surface
}

// surface is a cast's mesh with what is asked of it. Casts that differ in their margins only
// share one.
type surface struct {
	shape string // its key
	mesh  *mesh.Mesh

	mu    sync.Mutex // the table is used by one at a time
	table *survey.Table
	near  *cast.Surface
}

// stood is a scan set up by the points on its teeth.
type stood struct {
	*cast.Stood
	*surface
}

func (s *Server) engineRoutes() {
	s.get("/api/cases/{case}/plan", s.plan)
	s.get("/api/cases/{case}/cast", s.castOf)
	s.mux.HandleFunc("GET /api/cases/{case}/cast/mesh", s.castMesh)
	s.mux.HandleFunc("GET /api/cases/{case}/cast/labels", s.castLabels)
	s.get("/api/cases/{case}/survey", s.survey)
	s.mux.HandleFunc("GET /api/cases/{case}/survey/depth", s.surveyDepth)
	s.get("/api/cases/{case}/probe", s.probe)
	s.get("/api/cases/{case}/tilt", s.tiltMap)
	s.get("/api/cases/{case}/proposals", s.proposals)
	s.get("/api/cases/{case}/findings", s.findings)
	s.get("/api/cases/{case}/mechanics", s.mechanics)
	s.mux.HandleFunc("GET /api/cases/{case}/mechanics.svg", s.paper(s.mechanicsSVG))
	s.mux.HandleFunc("GET /api/cases/{case}/cast.stl", s.paper(s.castSTL))
	s.mux.HandleFunc("GET /api/cases/{case}/blockout.stl", s.paper(s.blockOutSTL))
	s.get("/api/cases/{case}/placement", s.laid)
	s.post("/api/cases/{case}/placement/tip", s.moveTip)
	s.mux.HandleFunc("PUT /api/cases/{case}/scan", s.answering(s.putScan))
	s.post("/api/cases/{case}/scan/place", s.placeTooth)
	s.get("/api/cases/{case}/order", s.orderForm)
	s.mux.HandleFunc("GET /api/cases/{case}/sheet.svg", s.paper(s.sheetSVG))
	s.mux.HandleFunc("GET /api/cases/{case}/sheet.pdf", s.paper(s.sheetPDF))
	s.mux.HandleFunc("GET /api/cases/{case}/order.pdf", s.paper(s.orderPDF))
	s.post("/api/cases/{case}/order/sign", s.signOrder)
	s.mux.HandleFunc("GET /api/cases/{case}/issued/{number}", s.issuedFile)
	s.mux.HandleFunc("GET /api/cases/{case}/case.json", s.caseJSON)
}

// mount gives the case's cast.
func (s *Server) mount(ctx context.Context, c casebook.Case) (*mounted, error) {
	key := castKey(c)
	return take(ctx, s.bench.casts, key, func(ctx context.Context) (*mounted, error) {
		if c.Scan != nil {
			return s.mountScan(ctx, c, key)
		}
		tell(ctx, "mould", 0, 0)
		made, _, err := workflow.MakeCast(c.Chart)
		if err != nil {
			return nil, shown{err}
		}
		return &mounted{key: key, cast: made, whole: true, surface: &surface{shape: key, mesh: made.Mesh}}, nil
	})
}

func (s *Server) about(http.ResponseWriter, *http.Request) (any, error) {
	a := api.About{Version: s.Version, Profiles: []api.Choice{}, Materials: []api.Choice{}, Forms: map[string][]string{}, Teeth: []api.ToothName{}, Sites: []string{}}
	for k, forms := range design.Forms {
		for _, f := range forms {
			a.Forms[string(k)] = append(a.Forms[string(k)], string(f))
		}
	}
	for _, arch := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		for _, n := range tooth.All(arch) {
			a.Teeth = append(a.Teeth, api.ToothName{Tooth: int(n), Universal: n.Universal(), Spoken: n.Spoken(), Kind: int(n.Kind())})
		}
	}
	for _, site := range tooth.Sites {
		a.Sites = append(a.Sites, string(site))
	}
	a.Terms = map[string]map[string]string{}
	for _, l := range words.Langs {
		a.Terms[string(l)] = words.Terms(l)
	}
	for _, p := range rulebook.Profiles {
		choice := api.Choice{Name: p, Label: p}
		if b, err := rulebook.Open(p); err == nil {
			choice.Label = b.Title.In(words.English)
			for _, l := range words.Langs {
				a.Terms[string(l)]["profile."+p] = b.Title.In(l)
			}
		}
		a.Profiles = append(a.Profiles, choice)
	}
	for _, m := range material.Names() {
		a.Materials = append(a.Materials, api.Choice{Name: m, Label: words.Term(words.English, "material", m)})
	}
	return a, nil
}
