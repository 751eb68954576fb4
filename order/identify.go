package order

import (
	"regexp"
	"strings"

	"halfpear/words"
)

// Hit is a stretch of free text that could identify a person.
type Hit struct {
	Where string     // as in "order.fields.instructions"
	What  words.Word // kind of identifier
	Text  string     // the stretch
}

// Patterns of what must not leave with a case. They are wide on purpose: a false alarm
// costs a look, a leak cannot be called back. The kinds follow the 18 of 45 CFR
// 164.514(b)(2), as far as they can stand in a free text.
var patterns = []struct {
	what words.Word
	re   *regexp.Regexp
}{
	{words.HitEmail, regexp.MustCompile(`(?i)[a-z0-9._%+-]+\s?@\s?[a-z0-9-]+(?:\.[a-z0-9-]+)+`)},
	{words.HitWeb, regexp.MustCompile(`(?i)\b(?:https?://|www\.)\S+`)},
	{words.HitDate, regexp.MustCompile(`\b(?:19|20)\d\d[-/.](?:0?[1-9]|1[0-2])[-/.](?:0?[1-9]|[12]\d|3[01])\b|\b(?:0?[1-9]|[12]\d|3[01])[-/. ]{1,2}(?:0?[1-9]|1[0-2])[-/. ]{1,2}(?:(?:19|20)\d\d|\d\d)\b|\b(?:0?[1-9]|1[0-2])/(?:0?[1-9]|[12]\d|3[01])/(?:(?:19|20)?\d\d)\b`)},
	{words.HitDate, regexp.MustCompile(`(?i)\b\d{1,2}\.?\s*(?:jan|feb|mar|mär|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)[a-zä]*\.?\s*(?:19|20)\d\d\b|\b(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?\s+\d{1,2},?\s+(?:19|20)\d\d\b`)},
	{words.HitBirth, regexp.MustCompile(`(?i)\b(?:d\.?o\.?b\.?|born|birth\s?(?:day|date)|date of birth|geboren|geburtsdatum)\b|(?i)\bgeb\.`)},
	{words.HitSocial, regexp.MustCompile(`\b\d{3}[- ]\d{2}[- ]\d{4}\b|(?i)\bSSN\b`)},
	{words.HitHealth, regexp.MustCompile(`\b\d{3}[- ]\d{3}[- ]\d{4}\b`)},
	{words.HitInsurance, regexp.MustCompile(`\b[A-Z]\d{9}\b|\b\d{8}[A-Z]\d{3}\b`)},
	{words.HitTelephone, regexp.MustCompile(`(?:\+|\b00)\d[\d ()/.-]{6,}\d|\b0\d{1,5}[ /-]\d[\d -]{4,}\d|\(\d{3}\)\s?\d{3}[- ]?\d{4}`)},
	{words.HitLong, regexp.MustCompile(`\b\d{7,}\b`)},
	{words.HitRecord, regexp.MustCompile(`(?i)\b(?:chart|record|patient|mrn|file|akte|karte(?:i)?|patienten)[- ]?(?:no|nr|number|nummer|id)\.?\s*:?\s*[A-Z]?\d+`)},
	{words.HitName, regexp.MustCompile(`\b(?:Mrs|Mr|Ms|Miss|Master|Herrn?|Frau|Fräulein|Hr|Fr|Señora?|Mme|Monsieur|Madame|Pt|Patient(?:in)?(?:\s+is|:)?|Name:?)\.?\s+(?:(?:Dr|Prof|med|dent)\.\s*)*(?:[A-ZÄÖÜ]\.\s*)?[A-ZÄÖÜ][a-zäöüßéèáà'’-]{2,}(?:\s+[A-ZÄÖÜ][a-zäöüßéèáà'’-]{2,})?`)},
	{words.HitStreet, regexp.MustCompile(`\b[A-ZÄÖÜ][\p{L}-]+(?:straße|strasse|str\.|weg|gasse|platz)\s+\d+|\b\d+\s+[A-Z][a-z]+\s+(?:Street|St|Road|Rd|Avenue|Ave|Lane|Ln|Drive|Dr)\b`)},
}

// notNames are words that may stand with a capital behind "patient" and are none.
var notNames = map[string]bool{"has": true, "is": true, "wishes": true, "hat": true, "kann": true, "Allergies": true, "Allergie": true}

// Identifiers reads a free text for what could identify a person.
func Identifiers(where, text string) []Hit {
	var out []Hit
	var taken [][]int
	for _, p := range patterns {
		for _, m := range p.re.FindAllStringIndex(text, -1) {
			if overlaps(taken, m) {
				continue
			}
			found := strings.TrimSpace(text[m[0]:m[1]])
			if p.what == words.HitName {
				fields := strings.Fields(found)
				if notNames[fields[len(fields)-1]] {
					continue
				}
			}
			taken = append(taken, m)
			out = append(out, Hit{where, p.what, found})
		}
	}
	return out
}

func overlaps(taken [][]int, m []int) bool {
	for _, t := range taken {
		if m[0] < t[1] && t[0] < m[1] {
			return true
		}
	}
	return false
}

// leaves are phrases that hand a decision to the technician.
var leaves = regexp.MustCompile(`(?i)\b(?:as usual|as always|your choice|up to you|(?:lab|laboratory|technician)(?:'s)? (?:to )?(?:choice|design|decide)s?|you decide|please design|design by (?:the )?(?:lab|technician)|wie (?:üblich|immer|gehabt)|nach (?:ihrem )?(?:ermessen|wahl)|labor entscheidet|techniker entscheidet|freie wahl)`)

// Leaves finds a phrase that leaves a decision to the technician; empty where there is none.
func Leaves(text string) string { return leaves.FindString(text) }
