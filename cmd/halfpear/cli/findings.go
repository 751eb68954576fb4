package cli

import (
	"fmt"
	"io"
	"strings"

	"halfpear/rulebook"
	"halfpear/words"
)

type wirePlace struct {
	Tooth   int    `json:"tooth,omitempty"`
	Surface string `json:"surface,omitempty"`
	Part    string `json:"part,omitempty"`
}

type wireFound struct {
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Origin string  `json:"origin,omitempty"`
	Spread float64 `json:"spread,omitempty"`
}

type wireAsked struct {
	Min  *float64 `json:"min,omitempty"`
	Max  *float64 `json:"max,omitempty"`
	Unit string   `json:"unit,omitempty"`
	Text string   `json:"text,omitempty"`
}

type wireSource struct {
	Key   string `json:"key"`
	Cite  string `json:"cite"`
	Mark  string `json:"mark"`
	Grade string `json:"grade,omitempty"`
}

type wireFinding struct {
	Rule     string       `json:"rule"`
	Severity string       `json:"severity"`
	Status   string       `json:"status"`
	Place    wirePlace    `json:"place"`
	Found    *wireFound   `json:"found,omitempty"`
	Asked    wireAsked    `json:"asked"`
	Message  string       `json:"message"`
	Why      string       `json:"why"`
	Sources  []wireSource `json:"sources"`
	Remedy   string       `json:"remedy"`
	Missing  []string     `json:"missing,omitempty"`
}

func wireFindings(list []rulebook.Finding, l words.Lang) []wireFinding {
	out := []wireFinding{}
	for _, f := range list {
		w := wireFinding{Rule: string(f.Rule), Severity: string(f.Severity), Status: string(f.Status),
			Place: wirePlace{int(f.Place.Tooth), string(f.Place.Surface), string(f.Place.Part)},
			Asked: wireAsked{f.Asked.Min, f.Asked.Max, f.Asked.Unit, f.Asked.Text.In(l)}, Message: f.Message.In(l), Why: f.Why.In(l), Remedy: f.Remedy.In(l), Missing: f.Missing, Sources: []wireSource{}}
		if f.Found != nil {
			w.Found = &wireFound{f.Found.Value, f.Found.Unit, string(f.Found.Origin), f.Found.Spread}
		}
		for _, s := range f.Sources {
			w.Sources = append(w.Sources, wireSource{s.Key, s.Cite, string(s.Mark), s.Grade})
		}
		out = append(out, w)
	}
	return out
}

// printFindings writes findings for people: what failed with its remedy, then how many
// checks lacked something, which --all lists.
func printFindings(out io.Writer, r rulebook.Report, l words.Lang, all bool) {
	for _, f := range r.Findings {
		if f.Status == rulebook.NotChecked && !all {
			continue
		}
		word := words.Term(l, "severity", string(f.Severity))
		if f.Status != rulebook.Failed {
			word = words.Term(l, "status", string(f.Status))
		}
		fmt.Fprintf(out, "  %-14s %s  %s\n", word, f.Rule, f.Message.In(l))
		if f.Status == rulebook.NotChecked {
			continue
		}
		fmt.Fprintf(out, "                 %s\n                 %s\n", words.WhyLine.In(l, f.Why.In(l)), words.RemedyLine.In(l, f.Remedy.In(l)))
		var cites []string
		for _, s := range f.Sources {
			cites = append(cites, fmt.Sprintf("%s [%s]", s.Cite, words.Term(l, "mark", string(s.Mark))))
		}
		fmt.Fprintf(out, "                 %s\n", words.SourceLine.In(l, strings.Join(cites, "; ")))
	}
	fmt.Fprintln(out, words.ChecksDone.In(l, r.Checked, r.NotChecked))
	for _, f := range r.Faults {
		fmt.Fprintln(out, words.RuleFault.In(l, f))
	}
}
