package casebook

import (
	"context"
	"errors"
	"fmt"
	"time"

	"halfpear/tooth"
)

// Store keeps cases with all their revisions. A store does not look into a case: it keeps
// the document that encoding/casefile writes, and what a list needs to show.
//
// What Save, Undo, Redo and Issue have answered is on the disk: it survives the death of
// the program.
type Store interface {
	// Create keeps a new case's first revision.
	Create(ctx context.Context, id ID, c Content) (Revision, error)
	// List gives the cases whose number, title or text holds every word of the query,
	// latest change first. An empty query gives all.
	List(ctx context.Context, query string) ([]Summary, error)
	// Head is the case as it stands.
	Head(ctx context.Context, id ID) (Revision, error)
	// At is one of the case's revisions, whether undone or not.
	At(ctx context.Context, id ID, seq int) (Revision, error)
	// Save makes a new revision on top of base, which must be the head: a Conflict says
	// that somebody else was faster.
	Save(ctx context.Context, id ID, base int, c Content) (Revision, error)
	// Undo goes back to the revision that the head was made from.
	Undo(ctx context.Context, id ID, base int) (Revision, error)
	// Redo goes forward to the latest revision made from the head.
	Redo(ctx context.Context, id ID, base int) (Revision, error)
	// History lists all revisions, oldest first.
	History(ctx context.Context, id ID) ([]Step, error)
	// Remove takes the case out of the list. Issued papers stay.
	Remove(ctx context.Context, id ID) error

	// Attach keeps a file with a case under a name; the same bytes are kept once. The
	// name it was kept under is given back: another one where the name was taken.
	Attach(ctx context.Context, id ID, name string, data []byte) (string, error)
	// Attachment is a kept file's bytes.
	Attachment(ctx context.Context, id ID, name string) ([]byte, error)

	// Issue keeps papers that went to the laboratory. They cannot be changed or removed.
	Issue(ctx context.Context, id ID, p Papers) (Papers, error)
	// Issued lists what was issued for a case, oldest first, without the files.
	Issued(ctx context.Context, id ID) ([]Papers, error)
	// IssuedFile is the bytes of one issue.
	IssuedFile(ctx context.Context, id ID, number int) (Papers, error)

	Close() error
}

// Content is what a revision holds.
type Content struct {
	Label string // what was done, for the history, as in "chart.tooth 36"
	Title string
	Arch  tooth.Arch
	Class string
	Doc   []byte // the case file
	Text  string // what a search looks through besides number and title
}

// Revision is one state of a case.
type Revision struct {
	Content
	ID     ID
	Seq    int // counts up from 1; never reused
	Parent int // the revision it was made from, 0 for the first
	At     time.Time
	Undo   string // label of what Undo would take back; empty where there is nothing
	Redo   string // label of what Redo would bring back; empty where there is nothing
}

// Summary is a case in a list.
type Summary struct {
	ID      ID
	Title   string
	Arch    tooth.Arch
	Class   string
	Created time.Time
	Changed time.Time
	Seq     int
}

// Step is a line of a case's history.
type Step struct {
	Seq, Parent int
	Label       string
	At          time.Time
	Head        bool
}

// Papers are what was sent to the laboratory: the file's bytes, the revision of the case
// they were made from, and their SHA-256 in hexadecimal.
type Papers struct {
	Number int // counts the issues of one case from 1
	Seq    int
	Name   string
	Digest string
	At     time.Time
	By     string
	Data   []byte
}

// ErrUnknown says that there is no such case, revision or file.
var ErrUnknown = errors.New("there is no such case")

// ErrNothing says that there is nothing to undo or to redo.
var ErrNothing = errors.New("there is nothing to take back")

// Conflict says that a save was based on a revision that is no longer the head.
type Conflict struct {
	ID         ID
	Base, Head int
}

func (c Conflict) Error() string {
	return fmt.Sprintf("saving case %s on top of revision %d: it has meanwhile become revision %d; load it again and repeat the change", c.ID, c.Base, c.Head)
}
