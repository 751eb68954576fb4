package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"halfpear/casebook"
	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/encoding/orderfile"
	"halfpear/internal/schematest"
	"halfpear/order/ordertest"
	"halfpear/rulebook"
	"halfpear/words"
)

// designed is a demo case with the first design proposed for it, its order filled in and
// its stops overruled by name, so that nothing is missing.
var designed = sync.OnceValues(func() (casebook.Case, error) {
	l, err := new(console).load("demo/lower-extension.yaml")
	if err != nil {
		return casebook.Case{}, err
	}
	s, err := l.study(context.Background(), "")
	if err != nil {
		return casebook.Case{}, err
	}
	ps, err := s.Propose(context.Background(), 1, nil)
	if err != nil {
		return casebook.Case{}, err
	}
	d := ps[0].Design
	c := l.c
	c.Design = &d
	c.Order.Fields = ordertest.Lower().Case.Order.Fields
	plan, err := s.Plan(d)
	if err != nil {
		return casebook.Case{}, err
	}
	for _, f := range plan.Report.Findings {
		if f.Severity == rulebook.Stop && f.Status == rulebook.Failed {
			c.SetAside = append(c.SetAside, casebook.SetAside{Rule: f.Rule, Place: f.Place, Reason: "for the test", By: "A. S.", At: ordertest.Noon})
		}
	}
	return c, nil
})

// caseIn writes the designed case, changed, into a new folder.
func caseIn(t *testing.T, change func(*casebook.Case)) string {
	t.Helper()
	c, err := designed()
	if err != nil {
		t.Fatal(err)
	}
	fields := map[string]string{}
	for k, v := range c.Order.Fields {
		fields[k] = v
	}
	c.Order.Fields = fields
	if change != nil {
		change(&c)
	}
	data, err := casefile.Write(c)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "case.yaml")
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func run(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = Main(args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

const noon = "--at=2026-03-02T12:00:00Z"

func TestAnIncompleteOrderIsRefusedAndNothingIsWritten(t *testing.T) {
	name := caseIn(t, func(c *casebook.Case) { delete(c.Order.Fields, "shade") })
	dir := filepath.Dir(name)
	for _, more := range [][]string{nil, {"--sign", "A. S."}} {
		args := append([]string{"order", name, "-o", filepath.Join(dir, "o.pdf"), "--fhir", filepath.Join(dir, "o.fhir.json"), noon, "--json"}, more...)
		status, out, errs := run(args...)
		var a orderAnswer
		if err := json.Unmarshal([]byte(out), &a); err != nil {
			t.Fatalf("%v in %s %s", err, out, errs)
		}
		if status != exitStop || a.State != "draft" || len(a.Missing) != 1 || a.Missing[0].Field != "shade" || a.Missing[0].Where == "" || a.Missing[0].Rule == "" {
			t.Errorf("status %d, %+v", status, a)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*")); len(left) != 1 {
		t.Errorf("the folder holds %v", left)
	}
}

func TestADraftPrintsDraft(t *testing.T) {
	name := caseIn(t, func(c *casebook.Case) { delete(c.Order.Fields, "shade") })
	pdf := filepath.Join(filepath.Dir(name), "o.pdf")
	if status, out, errs := run("order", name, "-o", pdf, "--draft", noon); status != exitDone {
		t.Fatal(status, out, errs)
	}
	judged(t, pdf)
	pages := pagesOf(t, pdf)
	for i, p := range pages {
		if !strings.Contains(strings.ReplaceAll(p, " ", ""), "DRAFT") {
			t.Errorf("page %d of %d does not say DRAFT", i+1, len(pages))
		}
	}
}

// A draft of a stopped design is written, and its status says that it is stopped.
func TestADraftOfAStoppedDesign(t *testing.T) {
	name := caseIn(t, func(c *casebook.Case) {
		d := *c.Design
		c.Design = &d
		d.Parts = slices.DeleteFunc(slices.Clone(d.Parts), func(p design.Part) bool { return p.Kind == design.MajorConnector })
	})
	pdf := filepath.Join(filepath.Dir(name), "o.pdf")
	if status, out, errs := run("order", name, "-o", pdf, "--draft", noon); status != exitStop {
		t.Fatal(status, out, errs)
	}
	judged(t, pdf)
}

// pagesOf is the text of each page, by a reader that is not ours.
func pagesOf(t *testing.T, pdf string) []string {
	t.Helper()
	out, err := exec.Command("pdftotext", pdf, "-").Output()
	if err != nil {
		t.Skip("pdftotext is not there")
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

// judged has two general-purpose checkers look at a PDF: pdfcpu, and qpdf where it is there.
func judged(t *testing.T, pdf string) {
	t.Helper()
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationRelaxed // its strict mode takes PDF/A-3's AFRelationship for PDF 2.0
	if err := api.ValidateFile(pdf, conf); err != nil {
		t.Errorf("pdfcpu: %v", err)
	}
	if _, err := exec.LookPath("qpdf"); err == nil {
		if out, err := exec.Command("qpdf", "--check", pdf).CombinedOutput(); err != nil {
			t.Errorf("qpdf: %v\n%s", err, out)
		}
	}
	if out, err := exec.Command("pdffonts", pdf).Output(); err == nil {
		lines := strings.Split(strings.TrimSpace(string(out)), "\n")
		if len(lines) < 3 {
			t.Errorf("no font in the file:\n%s", out)
		}
		for _, l := range lines[2:] {
			if f := strings.Fields(l); len(f) > 6 && f[len(f)-5] != "yes" {
				t.Errorf("a font is not embedded: %s", l)
			}
		}
	}
}

func TestSigningFreezesAndALaterChangeMakesARevision(t *testing.T) {
	name := caseIn(t, nil)
	asWritten, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append([]byte("# a remark of the practice's own\n"), asWritten...), 0o644); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Dir(name)
	pdf := filepath.Join(dir, "o.pdf")
	status, out, errs := run("order", name, "-o", pdf, "--sign", "A. S.", "--fhir", filepath.Join(dir, "o.fhir.json"), "--csv", filepath.Join(dir, "o.csv"), "--json-out", filepath.Join(dir, "o.json"), noon)
	if status != exitDone || !strings.Contains(out, "seal ") {
		t.Fatal(status, out, errs)
	}
	judged(t, pdf)
	file, err := os.Open(pdf)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	attached, err := api.Attachments(file, nil)
	if err != nil {
		t.Fatal(err)
	}
	var all string
	for _, a := range attached {
		all += a.FileName + " "
	}
	for _, want := range []string{"D1-LWR1-r1.case.yaml", "D1-LWR1-r1.json", "D1-LWR1-r1.parts.csv", "D1-LWR1-r1.sheet-1.svg"} {
		if !strings.Contains(all, want) {
			t.Errorf("%s is not attached: %s", want, all)
		}
	}
	// What the paper gives a digest of is what goes out: the file of the disk has a comment.
	digests := regexp.MustCompile(`(D1-LWR1-r1\.)?case\.yaml\s+([0-9a-f]{4} [0-9a-f]{4} [0-9a-f]{4})`).FindAllStringSubmatch(strings.Join(pagesOf(t, pdf), "\n"), -1)
	given := map[string]string{}
	for _, m := range digests {
		given[m[1]] = strings.ReplaceAll(m[2], " ", "")
	}
	onDisk := digest(t, name)
	if want := hex.EncodeToString(onDisk[:])[:12]; given[""] != want {
		t.Errorf("the paper says %q of the case file, its digest begins %s", given[""], want)
	}
	taken, err := api.ExtractAttachmentsRaw(file, "", []string{"D1-LWR1-r1.case.yaml"}, nil)
	if err != nil || len(taken) != 1 {
		t.Fatal(len(taken), err)
	}
	sum := sha256.New()
	if _, err := io.Copy(sum, taken[0].Reader); err != nil {
		t.Fatal(err)
	}
	if want := hex.EncodeToString(sum.Sum(nil))[:12]; given["D1-LWR1-r1."] != want {
		t.Errorf("the paper says %q of the attached case file, its digest begins %s", given["D1-LWR1-r1."], want)
	}
	record := filepath.Join(dir, "case.orders", "D1-LWR1-r1.json")
	kept := map[string][32]byte{}
	for _, f := range []string{pdf, record} {
		kept[f] = digest(t, f)
	}
	unchanged := func(after string) {
		t.Helper()
		for f, sum := range kept {
			if digest(t, f) != sum {
				t.Fatalf("%s changed %s", after, f)
			}
		}
	}

	// Every verb that writes is tried on both files.
	other := caseIn(t, nil)
	scan := filepath.Join(dir, "pyramid.obj")
	// A pyramid is scan enough for the verbs that write what they measured.
	pyramid := "v 0 0 0\nv 10 0 0\nv 10 10 0\nv 0 10 0\nv 5 5 8\nf 1 4 3\nf 1 3 2\nf 1 2 5\nf 2 3 5\nf 3 4 5\nf 4 1 5\n"
	if err := os.WriteFile(scan, []byte(pyramid), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{pdf, record} {
		for _, args := range [][]string{
			{"order", name, "-o", f, noon}, {"order", name, "-o", f, "--draft", noon}, {"order", name, "-o", f, "--sign", "B.", noon},
			{"order", other, "-o", f, noon}, {"order", name, "--fhir", f, noon}, {"order", name, "--csv", f, noon}, {"order", name, "--json-out", f, noon},
			{"draw", name, "-o", f}, {"propose", name, "-o", f}, {"tilt", name, "--within", "2", "--map", f}, {"demo", f},
			{"survey", scan, "--direction", "0,0,1", "--depth-map", f}, {"survey", scan, "--direction", "0,0,1", "--lines", f}, {"survey", scan, "--direction", "0,0,1", "--blockout", f},
		} {
			if status, _, _ := run(args...); status == exitDone {
				t.Errorf("%v succeeded", args)
			}
			unchanged(strings.Join(args, " "))
		}
	}
	if status, _, errs := run("query", name, "--part", "no-such-part", "--ask", "x", "--by", "lab"); status != exitUsage {
		t.Error(status, errs)
	}
	d, _ := designed()
	part := string(d.Design.Of(design.MajorConnector)[0].ID)
	if status, _, errs := run("query", name, "--part", part, "--ask", "May the bar be half a millimetre higher?", "--by", "lab"); status != exitDone {
		t.Fatal(errs)
	}
	unchanged("query --ask")
	// An open question keeps the next revision a draft.
	if status, out, _ := run("order", name, "-o", filepath.Join(dir, "o2.pdf"), noon); status != exitStop || !strings.Contains(out, "question 1") {
		t.Error(status, out)
	}
	if status, _, errs := run("query", name, "--answer", "1", "--text", "Yes.", "--by", "A. S."); status != exitDone {
		t.Fatal(errs)
	}
	unchanged("query --answer")

	// The design changes; a new revision says so in words and over the old drawing.
	data, _ := os.ReadFile(name)
	c, err := casefile.Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	bar := c.Design.Of(design.MajorConnector)[0]
	dims := map[string]float64{}
	for k, v := range bar.Dimensions {
		dims[k] = v
	}
	dims["height"] = 5
	bar.Dimensions = dims
	changed := c.Design.With(bar)
	c.Design = &changed
	c.Order.Fields["shade"] = "A2"
	data, _ = casefile.Write(c)
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	pdf2 := filepath.Join(dir, "o2.pdf")
	status, out, errs = run("order", name, "-o", pdf2, "--sign", "A. S.", "--json", "--lang", "de", noon)
	var a orderAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil || status != exitDone {
		t.Fatal(status, out, errs)
	}
	if a.Revision != 2 || a.State != "signed" || len(a.Changes) < 2 {
		t.Errorf("%+v", a)
	}
	unchanged("signing revision 2")
	judged(t, pdf2)
	text := strings.Join(pagesOf(t, pdf2), "\n")
	for _, want := range []string{"Was sich seit Fassung 1 geändert hat", "Zahnfarbe war A3, ist jetzt A2", "Überlagerung der Fassungen 2 und 1", "Siegel", "Präparationsplan", "Eingliederung und Nachsorge"} {
		if !strings.Contains(text, want) {
			t.Errorf("revision 2 does not say %q", want)
		}
	}

	if status, out, _ := run("order", name, "--verify"); status != exitDone || strings.Count(out, "holds") != 2 {
		t.Error(status, out)
	}
	// Under another case number the case begins anew.
	if err := os.WriteFile(name, bytes.Replace(data, []byte("D1-LWR1"), []byte("D1-LWR2"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, out, errs := run("order", name, noon); status != exitDone || !strings.Contains(out, "D1-LWR2/1-") {
		t.Error(status, out, errs)
	}
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	// A signed record altered by one letter stops everything that builds on it.
	if err := os.Chmod(record, 0o644); err != nil {
		t.Fatal(err)
	}
	bad, _ := os.ReadFile(record)
	if err := os.WriteFile(record, bytes.Replace(bad, []byte(`"A3"`), []byte(`"A9"`), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := run("order", name, "-o", filepath.Join(dir, "o3.pdf"), noon); status != exitFailed || !strings.Contains(errs, "altered after it was signed") {
		t.Error(status, errs)
	}
	if status, out, _ := run("order", name, "--verify"); status != exitFailed || strings.Count(out, "holds") != 1 || !strings.Contains(out, "damaged") {
		t.Error(status, out)
	}
}

func digest(t *testing.T, name string) [32]byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return sha256.Sum256(data)
}

func TestTheSameCaseGivesTheSamePapers(t *testing.T) {
	name := caseIn(t, nil)
	dir := filepath.Dir(name)
	for _, n := range []string{"a", "b"} {
		if status, out, errs := run("order", name, "-o", filepath.Join(dir, n+".pdf"), "--json-out", filepath.Join(dir, n+".json"), noon); status != exitDone {
			t.Fatal(out, errs)
		}
	}
	for _, ext := range []string{".pdf", ".json"} {
		if digest(t, filepath.Join(dir, "a"+ext)) != digest(t, filepath.Join(dir, "b"+ext)) {
			t.Errorf("two runs give two %s", ext)
		}
	}
	data, _ := os.ReadFile(filepath.Join(dir, "a.json"))
	if _, err := orderfile.Read("a.json", data); err == nil {
		t.Error("an order that is not signed reads as a signed one")
	}
}

// Every measure of a proposed design has a word in the catalogue, so that no English stands
// in a German part table.
func TestEveryMeasureHasAWord(t *testing.T) {
	c, err := designed()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range c.Design.Parts {
		for name := range p.Dimensions {
			if !words.HasTerm("measure", name) {
				t.Errorf("%s: %s has no word", p.ID, name)
			}
		}
	}
}

func TestOrderUsage(t *testing.T) {
	name := caseIn(t, nil)
	for _, args := range [][]string{{"order"}, {"order", name, "--jurisdiction", "mars"}, {"order", name, "--lang", "xx"}, {"order", name, "--paper", "a9"}, {"order", name, "--sign", "A."}, {"order", name, "--draft", "--sign", "A.", "-o", "x.pdf"}, {"order", name, "--at", "noon"}, {"order", name, "-o", "order.svg"}} {
		if status, _, errs := run(args...); status != exitUsage || errs == "" {
			t.Errorf("%v: status %d, %q", args, status, errs)
		}
	}
	if status, _, errs := run("order", "no-such-case.yaml"); status != exitFailed || errs == "" {
		t.Error(status, errs)
	}
}

// What verbs say of a case is German to those who ask for German; what stays English are
// names: of files, sources, types, rules' expressions and the profile.
func TestVerbsSpeakGerman(t *testing.T) {
	name := caseIn(t, nil)
	english := regexp.MustCompile(`\[en\]|\b(the|of|and|with|is|are|for|from|not|its)\b`)
	for _, args := range [][]string{
		{"check", name}, {"propose", name, "-n", "1"}, {"classify", "--arch", "lower", "--missing", "36,37,46,47"},
		{"rules", "explain", "CHK-031"}, {"rules", "explain", "DEC-01"}, {"rules", "explain", "lb.minF"}, {"rules", "facts"},
	} {
		status, out, errs := run(append(args, "--json", "--lang", "de")...)
		if status != exitDone && status != exitStop {
			t.Fatal(args, status, errs)
		}
		var answer any
		if err := json.Unmarshal([]byte(out), &answer); err != nil {
			t.Fatal(err)
		}
		said := 0
		var walk func(key string, v any)
		walk = func(key string, v any) {
			switch v := v.(type) {
			case map[string]any:
				for k, x := range v {
					walk(k, x)
				}
			case []any:
				for _, x := range v {
					walk(key, x)
				}
			case string:
				switch key {
				case "cite", "source", "applies", "when", "value", "mark", "note", "origin", "basis", "status", "stage", "type":
					return
				}
				said++
				if english.MatchString(v) {
					t.Errorf("%v: %s is %q", args, key, v)
				}
			}
		}
		walk("", answer)
		if said < 3 {
			t.Errorf("%v said only %d things", args, said)
		}
	}
}

// Why something could not be done is told in the reader's language, and a verb that does not
// exist is wrong usage for help too.
func TestRefusalsAreTold(t *testing.T) {
	name := filepath.Join(t.TempDir(), "twice.yaml")
	if err := os.WriteFile(name, []byte("format: case/1\narch: lower\narch: upper\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   string
		status int
		said   string
	}{
		{"check " + name + " --lang de", exitFailed, ":3:1: das Feld arch steht zweimal, zuerst in Zeile 2"},
		{"check " + name, exitFailed, ":3:1: the field arch stands twice, first in line 2"},
		{"help nonsense", exitUsage, `no verb "nonsense"`},
		{"query demo/lower-extension.yaml --answer 1 --text a --by b", exitUsage, "nothing was asked"},
	} {
		if status, _, errs := run(strings.Fields(c.args)...); status != c.status || !strings.Contains(errs, c.said) {
			t.Errorf("%s: status %d, %q", c.args, status, errs)
		}
	}
	if status, out, errs := run("order", caseIn(t, nil), noon, "--lang", "de"); status != exitDone || !strings.Contains(out, "nichts wurde geschrieben") {
		t.Error(status, out, errs)
	}
	for _, args := range []string{"help", "help order", "help rules explain", "query demo/lower-extension.yaml"} {
		if status, out, errs := run(strings.Fields(args)...); status != exitDone || out == "" {
			t.Error(args, status, errs)
		}
	}
}

// Both published schemas can be had; what the program writes keeps to them (JSON Schema
// 2020-12).
func TestPublishedSchemas(t *testing.T) {
	name := caseIn(t, nil)
	out := filepath.Join(filepath.Dir(name), "o.json")
	if status, _, errs := run("order", name, "--json-out", out, noon); status != exitDone {
		t.Fatal(errs)
	}
	doc, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	status, schema, errs := run("schema", "order")
	if status != exitDone {
		t.Fatal(errs)
	}
	if err := schematest.Compiled(t, []byte(schema)).Validate(schematest.Value(t, doc)); err != nil {
		t.Error(err)
	}
	plain, one := "", ""
	if status, plain, _ = run("schema"); status != exitDone {
		t.Error(status)
	}
	if _, one, _ = run("schema", "case"); one != plain || !strings.Contains(one, "2020-12") || one == schema {
		t.Error("schema and schema case differ, or say nothing of a case")
	}
	if status, _, _ := run("schema", "moose"); status != exitUsage {
		t.Error(status)
	}
}
