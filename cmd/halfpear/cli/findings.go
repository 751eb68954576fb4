package cli

import (
	"fmt"
	"io"
	"strings"

	"halfpear/rulebook"
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

func wireFindings(list []rulebook.Finding) []wireFinding {
	out := []wireFinding{}
	for _, f := range list {
		w := wireFinding{Rule: string(f.Rule), Severity: string(f.Severity), Status: string(f.Status),
			Place: wirePlace{int(f.Place.Tooth), string(f.Place.Surface), string(f.Place.Part)},
			Asked: wireAsked{f.Asked.Min, f.Asked.Max, f.Asked.Unit, f.Asked.Text}, Message: f.Message, Why: f.Why, Remedy: f.Remedy, Missing: f.Missing, Sources: []wireSource{}}
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
func printFindings(out io.Writer, r rulebook.Report, all bool) {
	for _, f := range r.Findings {
		if f.Status == rulebook.NotChecked && !all {
			continue
		}
		word := string(f.Severity)
		if f.Status != rulebook.Failed {
			word = string(f.Status)
		}
		fmt.Fprintf(out, "  %-12s %s  %s\n", word, f.Rule, f.Message)
		if f.Status == rulebook.NotChecked {
			continue
		}
		fmt.Fprintf(out, "               why: %s\n               remedy: %s\n", f.Why, f.Remedy)
		var cites []string
		for _, s := range f.Sources {
			cites = append(cites, fmt.Sprintf("%s [%s]", s.Cite, s.Mark))
		}
		fmt.Fprintf(out, "               source: %s\n", strings.Join(cites, "; "))
	}
	fmt.Fprintf(out, "%d checks done, %d not checked for want of data.\n", r.Checked, r.NotChecked)
	for _, f := range r.Faults {
		fmt.Fprintf(out, "a rule could not be worked out: %s\n", f)
	}
}
