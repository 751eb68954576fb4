// Package source holds where a fact was published and how sure we are of it.
package source

// Mark says how a fact was come by.
type Mark string

const (
	LookedUp       Mark = "looked up"       // read in the published text
	FromMemory     Mark = "from memory"     // known, not re-read
	CommonPractice Mark = "common practice" // the trade does so, no single source
	Ours           Mark = "ours"            // our own choice or deduction
)

// Ref is one published source, or the word that there is none.
type Ref struct {
	Key   string // short name, unique in the program, as in "eliason-1983"
	Cite  string // author, work, year, place in it
	Mark  Mark
	Grade string // strength A to D, empty where it does not matter
}
