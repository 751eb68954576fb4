package cli

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// runWith runs a verb with standard input and gives its status and what it printed.
func runWith(t *testing.T, in string, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = Main(args, strings.NewReader(in), &o, &e)
	return status, o.String(), e.String()
}

// A straight uniform rectangular cantilever: F L^3 / 3 E I and M c / I (Euler-Bernoulli,
// any textbook of strength of materials); shear adds less than the tolerance here.
func TestArmOfAStraightCantilever(t *testing.T) {
	status, out, errs := runWith(t, `{"path":[[0,0,0],[30,0,0]],"section":{"shape":"rectangle","root":{"width":2,"thickness":1},"tip":{"width":2,"thickness":1}},
		"thickness_direction":[0,0,1],"material":{"E":200000,"nu":0.3,"proof":500},"load":{"tip_force":[0,0,1]}}`, "arm", "-", "--json")
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a armAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	inertia := 2.0 / 12
	want := 30.0 * 30 * 30 / (3 * 200000 * inertia)
	if math.Abs(a.TipDisplacement[2]/want-1) > 2e-3 {
		t.Errorf("tip moves %v mm, the closed form says %v", a.TipDisplacement[2], want)
	}
	if s := 30 * 0.5 / inertia; math.Abs(a.PeakStress/s-1) > 1e-3 || a.PeakAt > 0.01 || math.Abs(*a.Ratio-s/500) > 1e-3 {
		t.Errorf("peak %v MPa at %v, the closed form says %v at the root", a.PeakStress, a.PeakAt, s)
	}
	if a.ReactionForce[2] != -1 || math.Abs(a.ReactionMoment[1]-30) > 1e-9 {
		t.Errorf("reaction %v and %v", a.ReactionForce, a.ReactionMoment)
	}
}

// The three rests of the hand examples: 30 N each, exactly.
func TestSupportOnThreeRests(t *testing.T) {
	status, out, errs := runWith(t, `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":500},{"id":"b","r":[24,0,0],"n":[0,0,1],"k":1000},{"id":"c","r":[12,18,0],"n":[0,0,1],"k":250},
		{"id":"x","r":[0,0,0],"n":[1,0,0],"k":100,"bilateral":true},{"id":"y","r":[0,0,0],"n":[0,1,0],"k":100,"bilateral":true},{"id":"t","r":[24,0,0],"n":[0,1,0],"k":100,"bilateral":true}],
		"loads":[{"r":[12,6,0],"force":[0,0,-90]}]}`, "support", "-", "--json")
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a supportAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	for _, k := range a.Contacts[:3] {
		if math.Abs(k.Force-30) > 1e-6 || !k.Active {
			t.Errorf("%s carries %v N, by hand 30", k.ID, k.Force)
		}
	}
	if math.Abs(a.Translation[2]+3.0/50) > 1e-9 || math.Abs(a.Rotation[0]+1.0/240) > 1e-9 || math.Abs(a.Rotation[1]+1.0/800) > 1e-9 {
		t.Errorf("moves %v, turns %v", a.Translation, a.Rotation)
	}
}

func TestBadMechanicsInputIsNamed(t *testing.T) {
	for name, c := range map[string]struct{ verb, in, want string }{
		"empty":        {"arm", "", "the file is empty"},
		"unknown":      {"arm", `{"pathh":[]}`, "at least two points"},
		"one point":    {"arm", `{"path":[[0,0,0]]}`, "at least two points"},
		"no metal":     {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"load":{"tip_force":[0,0,1]}}`, "material"},
		"odd metal":    {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":"tin","load":{"tip_force":[0,0,1]}}`, "tin"},
		"both loads":   {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":"co-cr-cast","load":{"tip_force":[0,0,1],"tip_displacement":[0,0,1]}}`, "either"},
		"two numbers":  {"arm", `{"path":[[0,0,0],[1,0]]}`, "three numbers"},
		"odd shape":    {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"star","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"thickness_direction":[0,0,1],"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "half-pear"},
		"along":        {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"rectangle","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"thickness_direction":[1,0,0],"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "across"},
		"directions":   {"arm", `{"path":[[0,0,0],[1,0,0],[2,0,0]],"section":{"shape":"rectangle","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"thickness_direction":[[0,0,1],[0,0,1]],"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "one for each point"},
		"no length":    {"arm", `{"path":[[1,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "no length"},
		"negative E":   {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":{"E":-1,"nu":0.3},"load":{"tip_force":[0,0,1]}}`, "above 0"},
		"no nu":        {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":{"E":200000},"load":{"tip_force":[0,0,1]}}`, "Poisson"},
		"turned over":  {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"half-round","root":{"width":2,"thickness":1},"tip":{"width":2,"thickness":1}},"thickness_direction":[[0,0,1],[0,0,-1]],"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "which way round"},
		"a list":       {"arm", `[]`, "the document: expected an object {…}, found array"},
		"text for k":   {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":"5"}],"loads":[]}`, "contacts.k: expected a number, found string"},
		"misspelt":     {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":5,"bilatral":true}],"loads":[{"r":[0,0,0],"force":[0,0,1]}]}`, "passed over: contacts.bilatral"},
		"broken":       {"arm", "{\n\"path\":[[0,0,0],\n nope", "near line 3"},
		"no place":     {"support", `{"contacts":[{"id":"a","n":[0,0,1],"k":1}],"loads":[{"r":[0,0,0],"force":[0,0,-1]}]}`, "contact 1 (a)"},
		"no direction": {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,0],"k":1}],"loads":[{"r":[0,0,0],"force":[0,0,-1]}]}`, "a direction with a length"},
		"pulling k":    {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":-1}],"loads":[{"r":[0,0,0],"force":[0,0,-1]}]}`, "above 0"},
		"no force":     {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":1}],"loads":[{"r":[0,0,0]}]}`, "load 1"},
		"nothing held": {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":1}],"loads":[{"r":[0,0,0],"force":[0,0,1]}]}`, "without end"},
		"huge load":    {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":1}],"loads":[{"r":[0,0,0],"force":[0,0,-1e300]}]}`, "at most 1e+09"},
		"huge k":       {"support", `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":1e200}],"loads":[{"r":[0,0,0],"force":[0,0,-1]}]}`, "contact 1 (a): k 1e+200"},
		"huge force":   {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tip":{"width":1,"thickness":1}},"material":"co-cr-cast","load":{"tip_force":[0,0,1e308]}}`, "at most 1e+09"},
		"too thin":     {"arm", `{"path":[[0,0,0],[1,0,0]],"section":{"shape":"round","root":{"width":1e-90,"thickness":1e-90},"tip":{"width":1e-90,"thickness":1e-90}},"material":"co-cr-cast","load":{"tip_force":[0,0,1]}}`, "check the units"},
		"no contacts":  {"support", `{"contacts":[],"loads":[]}`, "expected contacts"},
	} {
		status, out, errs := runWith(t, c.in, c.verb, "-", "--json")
		if status != 1 || out != "" || !strings.Contains(errs, c.want) {
			t.Errorf("%s: status %d, printed %q, said %q; expected it to say %q", name, status, out, errs, c.want)
		}
	}
}

// What is assumed, passed over or out of proportion is said beside the answer, not in it.
func TestArmSaysWhatItPassesOver(t *testing.T) {
	status, out, errs := runWith(t, `{"title":"x","path":[[0,0,0],[12,0,0]],"section":{"shape":"round","root":{"width":1,"thickness":1},"tipp":{"width":0.5,"thickness":0.5}},
		"material":{"E":220,"nu":0.3},"load":{"tip_force":[0,0,5]}}`, "arm", "-", "--json")
	var a armAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil || status != 0 {
		t.Fatalf("status %d, %v: %s", status, err, errs)
	}
	for _, want := range []string{"passed over: section.tipp, title", "even from root to tip", "check the units"} {
		if !strings.Contains(errs, want) {
			t.Errorf("said %q, expected it to say %q", errs, want)
		}
	}
}

// A tip moved by force f moves back what it was moved: displacement and force are each
// other's inverse (Maxwell and Betti), whatever the arm.
func TestArmByForceAndByMovement(t *testing.T) {
	arm := `{"path":[[0,0,0],[4,1,0],[7,4,-1],[8,8,-2]],"section":{"shape":"half-round","root":{"width":2,"thickness":1},"tip":{"width":1.2,"thickness":0.6}},
		"thickness_direction":[[0,1,0.2],[-0.2,1,0.2],[-1,1,0.1],[-1,0.2,0]],"material":"co-cr-cast","load":`
	var by [2]armAnswer
	_, out, _ := runWith(t, arm+`{"tip_force":[1,-2,0.5]}}`, "arm", "-", "--json")
	if err := json.Unmarshal([]byte(out), &by[0]); err != nil {
		t.Fatal(err)
	}
	u, _ := json.Marshal(by[0].TipDisplacement)
	_, out, _ = runWith(t, arm+`{"tip_displacement":`+string(u)+`}}`, "arm", "-", "--json")
	if err := json.Unmarshal([]byte(out), &by[1]); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1, -2, 0.5} {
		if math.Abs(by[1].TipForce[i]-want) > 1e-6 {
			t.Errorf("moved as that force moves it the tip bears %v", by[1].TipForce)
		}
	}
	if status, out, _ := runWith(t, arm+`{"tip_force":[1,-2,0.5]}}`, "arm", "-"); status != 0 || !strings.Contains(out, "of the proof stress") || !strings.Contains(out, "an estimate") {
		t.Errorf("for people it says: %s", out)
	}
}

// A contact that stiffens as it is pressed: F = K·d/(1 - d/w) gives d = F·w/(K·w + F).
func TestSupportOnALayer(t *testing.T) {
	_, out, errs := runWith(t, `{"contacts":[{"id":"a","r":[0,0,0],"n":[0,0,1],"k":100,"layer":1.2}],"loads":[{"r":[0,0,0],"force":[0,0,-50]}]}`, "support", "-", "--json")
	var a supportAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err, errs)
	}
	if want := 50 * 1.2 / (100*1.2 + 50); math.Abs(-a.Translation[2]-want) > 1e-9 || a.Axis != nil {
		t.Errorf("sinks %v mm, the closed form says %v; axis %v", -a.Translation[2], want, a.Axis)
	}
}

// The statics cases worked out beside the project, where they are there: energy
// minimisation by a second solver agreed with them to 1e-9.
func TestSupportOfTheWorkedCases(t *testing.T) {
	for _, name := range []string{"st-open-class1-occlusal", "st-open-class1-sticky-uplift"} {
		file := "../../../../shared/checks/mechanics/statics/" + name + ".json"
		data, err := os.ReadFile(file)
		if err != nil {
			t.Skip("no worked cases beside the project")
		}
		var want struct {
			Results struct {
				U      triple             `json:"u"`
				Theta  triple             `json:"theta"`
				Forces map[string]float64 `json:"contact_forces"`
				Facets map[string]float64 `json:"base_facet_forces"`
			} `json:"results"`
		}
		if err := json.Unmarshal(data, &want); err != nil {
			t.Fatal(err)
		}
		status, out, errs := runWith(t, "", "support", file, "--json")
		if status != 0 {
			t.Fatalf("%s: status %d: %s", name, status, errs)
		}
		var a supportAnswer
		if err := json.Unmarshal([]byte(out), &a); err != nil {
			t.Fatal(err)
		}
		maps.Copy(want.Results.Forces, want.Results.Facets)
		if want.Results.U == (triple{}) || len(want.Results.Forces) != len(a.Contacts) {
			t.Fatalf("%s: %d forces to compare with %d contacts", name, len(want.Results.Forces), len(a.Contacts))
		}
		for i := range a.Translation {
			if math.Abs(a.Translation[i]-want.Results.U[i]) > 1e-6 || math.Abs(a.Rotation[i]-want.Results.Theta[i]) > 1e-6 {
				t.Errorf("%s: moves %v and turns %v, worked out as %v and %v", name, a.Translation, a.Rotation, want.Results.U, want.Results.Theta)
			}
		}
		for _, k := range a.Contacts {
			if w := want.Results.Forces[k.ID]; math.Abs(k.Force-w) > 1e-5*math.Max(1, math.Abs(w)) {
				t.Errorf("%s: %s carries %v N, worked out as %v", name, k.ID, k.Force, w)
			}
		}
	}
}

// The mechanics of a proposed demo case: on the command line as on the page, teeth and
// mucosa together bear each bite that is held (statics), every band holds its middle, and
// the forms of connector are compared with the planned one first.
func TestMechanicsOfACase(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "case.yaml")
	if status, _, errs := runWith(t, "", "propose", "demo/lower-extension.yaml", "-n", "1", "-o", file); status != 0 && status != 10 {
		t.Fatalf("status %d: %s", status, errs)
	}
	page := filepath.Join(dir, "page.svg")
	status, out, errs := runWith(t, "", "mechanics", file, "--json", "--connectors", "-o", page)
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var m wireMechanics
	if err := json.Unmarshal([]byte(out), &m); err != nil {
		t.Fatal(err)
	}
	if len(m.Retainers) != 2 || len(m.Unknown) != 0 || m.Connector == nil || len(m.Changed) != 2 || len(m.Connectors) < 3 || m.Connectors[0].Sinks != m.Connector.Sinks {
		t.Errorf("%d retainers, %v not reckoned, connector %v, %d forms", len(m.Retainers), m.Unknown, m.Connector, len(m.Connectors))
	}
	for _, h := range m.Retainers {
		for what, r := range map[string]wireRange{"side": h.Side, "withdrawal": h.Withdrawal, "insertion": h.Insertion, "stress": h.Stress, "ratio": h.Ratio} {
			if !(0 < r.Low && r.Low < r.Typical && r.Typical < r.High) {
				t.Errorf("%s: %s %v is no band", h.Part, what, r)
			}
		}
	}
	bites := 0
	for _, k := range m.Cases {
		if k.Load != "bite" || !k.Held {
			continue
		}
		bites++
		sum := k.Mucosa.Typical
		for _, s := range k.Shares {
			sum += s.Force.Typical
		}
		if math.Abs(sum-100) > 2 {
			t.Errorf("bite on %d: teeth and mucosa bear %.1f N of 100", k.Tooth, sum)
		}
	}
	if bites != 4 {
		t.Errorf("%d bites are held, of 4", bites)
	}
	if data, err := os.ReadFile(page); err != nil || !bytes.Contains(data, []byte("<svg")) {
		t.Errorf("the page was not written: %v", err)
	}
	status, out, _ = runWith(t, "", "mechanics", file, "--lang", "de")
	if status != 0 || !strings.Contains(out, "Schleimhaut") || strings.Contains(out, "%!") {
		t.Errorf("in German, status %d: %s", status, out)
	}
	if status, _, errs = runWith(t, "", "mechanics", "demo/lower-extension.yaml"); status != 1 || !strings.Contains(errs, "no design") {
		t.Errorf("a case without a design: status %d, %s", status, errs)
	}
	if status, _, errs = runWith(t, "", "mechanics", file, "-o", "page.doc"); status != 2 || !strings.Contains(errs, ".pdf, .svg or .png") {
		t.Errorf("an unknown kind of file: status %d, %s", status, errs)
	}
}
