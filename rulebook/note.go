package rulebook

import (
	"strings"
	"sync"

	"halfpear/tooth"
	"halfpear/words"
)

// Noted is a part's note for people. What proposals write there is said in the reader's
// language, what a person wrote as it stands. A note is a list of remarks with semicolons
// between them.
func Noted(note string) words.Text {
	var out []words.Text
	for _, remark := range strings.Split(note, "; ") {
		out = append(out, noted(remark))
	}
	return words.Join("; ", out...)
}

func noted(remark string) words.Text {
	german := germanNotes()
	if de, ok := german[remark]; ok {
		return words.Own(remark, de).With()
	}
	for en, de := range german {
		if start, ok := strings.CutSuffix(en, "…"); ok && strings.HasPrefix(remark, start) {
			return words.Own(start+"%s", strings.TrimSuffix(de, "…")+"%s").With(named(strings.TrimPrefix(remark, start)))
		}
	}
	return words.Plain(remark)
}

// named is a list of teeth, which a note holds by their numbers of ISO 3950, for the reader,
// or what else is there as it stands.
func named(s string) words.Text {
	var out []words.Text
	for _, w := range strings.Split(s, ", ") {
		n, err := tooth.Parse(w)
		if err != nil {
			return words.Plain(s)
		}
		out = append(out, words.Say(words.Teeth{n}))
	}
	return words.Listed(out...)
}

// germanNotes are the remarks' German, by the English.
var germanNotes = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, name := range []string{"notes.yaml", "says.yaml"} {
		m, err := translated[string](name)
		if err != nil {
			return nil // remarks are shown as they are written
		}
		for en, de := range m {
			out[en] = de
		}
	}
	return out
})
