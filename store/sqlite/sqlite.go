// Package sqlite keeps cases in one SQLite file: every revision, the scans attached to
// them and the papers that were issued.
//
// Revisions are only ever added. Undo and redo move the head of a case along the tree of
// its revisions, so nothing that was saved is lost by going back and on another way.
package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"net/url"
	"path"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // registers the driver

	"halfpear/casebook"
	"halfpear/tooth"
)

//go:embed *.sql
var migrations embed.FS

// Store is a casebook.Store on one file. Writes go through one connection, one after
// another; reads have their own, so that a long read never holds up a save.
type Store struct {
	write, read *sql.DB
	now         func() time.Time
}

var _ casebook.Store = (*Store)(nil)

// Open opens the file, making it where there is none, and brings its tables up to this
// version of the program. Times come from now.
func Open(ctx context.Context, file string, now func() time.Time) (*Store, error) {
	// The three options belong together: without immediate transactions two writers
	// starve each other. FULL flushes the log at each commit, so that a save also
	// survives a power cut where the disk honours flushes.
	dsn := func(extra string) string {
		return (&url.URL{Scheme: "file", Opaque: url.PathEscape(file)}).String() +
			"?_pragma=journal_mode(WAL)&_pragma=busy_timeout(5000)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)" + extra
	}
	write, err := sql.Open("sqlite", dsn("&_txlock=immediate"))
	if err != nil {
		return nil, fmt.Errorf("opening the case store %s: %w", file, err)
	}
	write.SetMaxOpenConns(1)
	p, err := goose.NewProvider(goose.DialectSQLite3, write, migrations)
	if err == nil {
		_, err = p.Up(ctx)
	}
	if err != nil {
		write.Close()
		return nil, fmt.Errorf("opening the case store %s: expected a file made by this program or none: %w", file, err)
	}
	read, err := sql.Open("sqlite", dsn("&_pragma=query_only(1)"))
	if err != nil {
		write.Close()
		return nil, fmt.Errorf("opening the case store %s for reading: %w", file, err)
	}
	read.SetMaxOpenConns(4)
	return &Store{write: write, read: read, now: now}, nil
}

// Close closes the file.
func (s *Store) Close() error { return errors.Join(s.read.Close(), s.write.Close()) }

// change runs f in a transaction; what f wrote is on the disk when change returns nil.
func (s *Store) change(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("beginning a change in the case store: %w", err)
	}
	defer tx.Rollback()
	if err := f(tx); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("finishing a change in the case store: %w", err)
	}
	return nil
}

// Create keeps a new case's first revision.
func (s *Store) Create(ctx context.Context, id casebook.ID, c casebook.Content) (casebook.Revision, error) {
	var rev casebook.Revision
	err := s.change(ctx, func(tx *sql.Tx) error {
		at := s.now().UnixMicro()
		res, err := tx.ExecContext(ctx, `INSERT INTO cases (id, created_us, head) VALUES ($1, $2, 1) ON CONFLICT (id) DO NOTHING`, id, at)
		if err != nil {
			return fmt.Errorf("creating case %s: %w", id, err)
		}
		if n, _ := res.RowsAffected(); n == 0 {
			return fmt.Errorf("creating case %s: there is a case of that number already", id)
		}
		if err := insert(ctx, tx, id, 1, 0, at, c); err != nil {
			return err
		}
		rev, err = load(ctx, tx, id, 1)
		return err
	})
	return rev, err
}

func insert(ctx context.Context, tx *sql.Tx, id casebook.ID, seq, parent int, at int64, c casebook.Content) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO revisions (case_id, seq, parent, at_us, label, title, arch, class, words, doc)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		id, seq, parent, at, c.Label, c.Title, int(c.Arch), c.Class, c.Text, c.Doc)
	if err != nil {
		return fmt.Errorf("saving revision %d of case %s: %w", seq, id, err)
	}
	return nil
}

// querier is a database or a transaction.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func head(ctx context.Context, q querier, id casebook.ID) (int, error) {
	var seq int
	err := q.QueryRowContext(ctx, `SELECT head FROM cases WHERE id = $1 AND NOT removed`, id).Scan(&seq)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, casebook.ErrUnknown
	}
	return seq, err
}

func load(ctx context.Context, q querier, id casebook.ID, seq int) (casebook.Revision, error) {
	r := casebook.Revision{ID: id, Seq: seq}
	var at int64
	var arch int
	err := q.QueryRowContext(ctx, `SELECT parent, at_us, label, title, arch, class, words, doc FROM revisions WHERE case_id = $1 AND seq = $2`, id, seq).
		Scan(&r.Parent, &at, &r.Label, &r.Title, &arch, &r.Class, &r.Text, &r.Doc)
	if errors.Is(err, sql.ErrNoRows) {
		return r, casebook.ErrUnknown
	}
	if err != nil {
		return r, fmt.Errorf("reading revision %d of case %s: %w", seq, id, err)
	}
	r.At, r.Arch = time.UnixMicro(at).UTC(), tooth.Arch(arch)
	if r.Parent != 0 {
		r.Undo = r.Label
	}
	err = q.QueryRowContext(ctx, `SELECT label FROM revisions WHERE case_id = $1 AND parent = $2 ORDER BY seq DESC LIMIT 1`, id, seq).Scan(&r.Redo)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return r, fmt.Errorf("reading the history of case %s: %w", id, err)
	}
	return r, nil
}

// List gives the cases that hold every word of the query, latest change first.
func (s *Store) List(ctx context.Context, query string) ([]casebook.Summary, error) {
	where, args := "", []any{}
	for _, w := range strings.Fields(strings.ToLower(query)) {
		args = append(args, w)
		where += fmt.Sprintf(" AND instr(lower(c.id || ' ' || r.title || ' ' || r.words), $%d) > 0", len(args))
	}
	rows, err := s.read.QueryContext(ctx, `SELECT c.id, r.title, r.arch, r.class, c.created_us, r.at_us, r.seq
		FROM cases c JOIN revisions r ON r.case_id = c.id AND r.seq = c.head
		WHERE NOT c.removed`+where+` ORDER BY (SELECT max(at_us) FROM revisions x WHERE x.case_id = c.id) DESC, c.id`, args...)
	if err != nil {
		return nil, fmt.Errorf("listing the cases: %w", err)
	}
	defer rows.Close()
	var out []casebook.Summary
	for rows.Next() {
		var c casebook.Summary
		var arch int
		var created, changed int64
		if err := rows.Scan(&c.ID, &c.Title, &arch, &c.Class, &created, &changed, &c.Seq); err != nil {
			return nil, fmt.Errorf("listing the cases: %w", err)
		}
		c.Arch, c.Created, c.Changed = tooth.Arch(arch), time.UnixMicro(created).UTC(), time.UnixMicro(changed).UTC()
		out = append(out, c)
	}
	return out, rows.Err()
}

// Head is the case as it stands.
func (s *Store) Head(ctx context.Context, id casebook.ID) (casebook.Revision, error) {
	seq, err := head(ctx, s.read, id)
	if err != nil {
		return casebook.Revision{}, err
	}
	return load(ctx, s.read, id, seq)
}

// At is one of the case's revisions.
func (s *Store) At(ctx context.Context, id casebook.ID, seq int) (casebook.Revision, error) {
	if _, err := head(ctx, s.read, id); err != nil {
		return casebook.Revision{}, err
	}
	return load(ctx, s.read, id, seq)
}

// onHead runs f in a transaction once base is known to be the head, and moves the head
// to the revision f names.
func (s *Store) onHead(ctx context.Context, id casebook.ID, base int, f func(*sql.Tx) (int, error)) (casebook.Revision, error) {
	var rev casebook.Revision
	err := s.change(ctx, func(tx *sql.Tx) error {
		is, err := head(ctx, tx, id)
		if err != nil {
			return err
		}
		if is != base {
			return casebook.Conflict{ID: id, Base: base, Head: is}
		}
		to, err := f(tx)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE cases SET head = $1 WHERE id = $2`, to, id); err != nil {
			return fmt.Errorf("moving case %s to revision %d: %w", id, to, err)
		}
		rev, err = load(ctx, tx, id, to)
		return err
	})
	return rev, err
}

// Save makes a new revision on top of base.
func (s *Store) Save(ctx context.Context, id casebook.ID, base int, c casebook.Content) (casebook.Revision, error) {
	return s.onHead(ctx, id, base, func(tx *sql.Tx) (int, error) {
		var last int
		if err := tx.QueryRowContext(ctx, `SELECT max(seq) FROM revisions WHERE case_id = $1`, id).Scan(&last); err != nil {
			return 0, fmt.Errorf("saving case %s: %w", id, err)
		}
		return last + 1, insert(ctx, tx, id, last+1, base, s.now().UnixMicro(), c)
	})
}

// Undo goes back to the revision that the head was made from.
func (s *Store) Undo(ctx context.Context, id casebook.ID, base int) (casebook.Revision, error) {
	return s.onHead(ctx, id, base, func(tx *sql.Tx) (int, error) {
		var parent int
		if err := tx.QueryRowContext(ctx, `SELECT parent FROM revisions WHERE case_id = $1 AND seq = $2`, id, base).Scan(&parent); err != nil {
			return 0, fmt.Errorf("undoing in case %s: %w", id, err)
		}
		if parent == 0 {
			return 0, casebook.ErrNothing
		}
		return parent, nil
	})
}

// Redo goes forward to the latest revision made from the head.
func (s *Store) Redo(ctx context.Context, id casebook.ID, base int) (casebook.Revision, error) {
	return s.onHead(ctx, id, base, func(tx *sql.Tx) (int, error) {
		var child int
		err := tx.QueryRowContext(ctx, `SELECT seq FROM revisions WHERE case_id = $1 AND parent = $2 ORDER BY seq DESC LIMIT 1`, id, base).Scan(&child)
		if errors.Is(err, sql.ErrNoRows) {
			return 0, casebook.ErrNothing
		}
		return child, err
	})
}

// History lists all revisions, oldest first.
func (s *Store) History(ctx context.Context, id casebook.ID) ([]casebook.Step, error) {
	at, err := head(ctx, s.read, id)
	if err != nil {
		return nil, err
	}
	rows, err := s.read.QueryContext(ctx, `SELECT seq, parent, label, at_us FROM revisions WHERE case_id = $1 ORDER BY seq`, id)
	if err != nil {
		return nil, fmt.Errorf("reading the history of case %s: %w", id, err)
	}
	defer rows.Close()
	var out []casebook.Step
	for rows.Next() {
		var st casebook.Step
		var us int64
		if err := rows.Scan(&st.Seq, &st.Parent, &st.Label, &us); err != nil {
			return nil, fmt.Errorf("reading the history of case %s: %w", id, err)
		}
		st.At, st.Head = time.UnixMicro(us).UTC(), st.Seq == at
		out = append(out, st)
	}
	return out, rows.Err()
}

// Remove takes the case out of the list.
func (s *Store) Remove(ctx context.Context, id casebook.ID) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE cases SET removed = TRUE WHERE id = $1 AND NOT removed`, id)
		if err != nil {
			return fmt.Errorf("removing case %s: %w", id, err)
		}
		if n, _ := res.RowsAffected(); n == 0 {
			return casebook.ErrUnknown
		}
		return nil
	})
}

// Attach keeps a file with a case.
func (s *Store) Attach(ctx context.Context, id casebook.ID, name string, data []byte) (string, error) {
	kept := name
	err := s.change(ctx, func(tx *sql.Tx) error {
		if _, err := head(ctx, tx, id); err != nil {
			return err
		}
		digest := digestOf(data)
		if _, err := tx.ExecContext(ctx, `INSERT INTO files (digest, data) VALUES ($1, $2) ON CONFLICT (digest) DO NOTHING`, digest, data); err != nil {
			return fmt.Errorf("keeping %s with case %s: %w", name, id, err)
		}
		ext := path.Ext(name)
		for i := 2; ; i++ {
			var there string
			err := tx.QueryRowContext(ctx, `SELECT digest FROM attachments WHERE case_id = $1 AND name = $2`, id, kept).Scan(&there)
			if errors.Is(err, sql.ErrNoRows) {
				break
			}
			if err != nil {
				return fmt.Errorf("keeping %s with case %s: %w", name, id, err)
			}
			if there == digest {
				return nil
			}
			kept = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), i, ext)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO attachments (case_id, name, digest) VALUES ($1, $2, $3)`, id, kept, digest); err != nil {
			return fmt.Errorf("keeping %s with case %s: %w", name, id, err)
		}
		return nil
	})
	return kept, err
}

// Attachment is a kept file's bytes.
func (s *Store) Attachment(ctx context.Context, id casebook.ID, name string) ([]byte, error) {
	var data []byte
	err := s.read.QueryRowContext(ctx, `SELECT f.data FROM attachments a JOIN files f ON f.digest = a.digest JOIN cases c ON c.id = a.case_id
		WHERE a.case_id = $1 AND a.name = $2 AND NOT c.removed`, id, name).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, casebook.ErrUnknown
	}
	if err != nil {
		return nil, fmt.Errorf("reading %s of case %s: %w", name, id, err)
	}
	return data, nil
}

// Issue keeps papers that went to the laboratory.
func (s *Store) Issue(ctx context.Context, id casebook.ID, p casebook.Papers) (casebook.Papers, error) {
	err := s.change(ctx, func(tx *sql.Tx) error {
		if _, err := head(ctx, tx, id); err != nil {
			return err
		}
		if err := tx.QueryRowContext(ctx, `SELECT coalesce(max(number), 0) + 1 FROM issued WHERE case_id = $1`, id).Scan(&p.Number); err != nil {
			return fmt.Errorf("issuing papers of case %s: %w", id, err)
		}
		at := s.now()
		p.At, p.Digest = time.UnixMicro(at.UnixMicro()).UTC(), digestOf(p.Data)
		_, err := tx.ExecContext(ctx, `INSERT INTO issued (case_id, number, seq, name, digest, at_us, by_whom, data) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			id, p.Number, p.Seq, p.Name, p.Digest, at.UnixMicro(), p.By, p.Data)
		if err != nil {
			return fmt.Errorf("issuing papers of case %s: %w", id, err)
		}
		return nil
	})
	return p, err
}

// Issued lists what was issued for a case, oldest first, without the files.
func (s *Store) Issued(ctx context.Context, id casebook.ID) ([]casebook.Papers, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT number, seq, name, digest, at_us, by_whom FROM issued WHERE case_id = $1 ORDER BY number`, id)
	if err != nil {
		return nil, fmt.Errorf("listing the papers of case %s: %w", id, err)
	}
	defer rows.Close()
	var out []casebook.Papers
	for rows.Next() {
		var p casebook.Papers
		var at int64
		if err := rows.Scan(&p.Number, &p.Seq, &p.Name, &p.Digest, &at, &p.By); err != nil {
			return nil, fmt.Errorf("listing the papers of case %s: %w", id, err)
		}
		p.At = time.UnixMicro(at).UTC()
		out = append(out, p)
	}
	return out, rows.Err()
}

// IssuedFile is one issue with its bytes. Bytes that no longer match their digest are an
// error: the file on the disk was damaged.
func (s *Store) IssuedFile(ctx context.Context, id casebook.ID, number int) (casebook.Papers, error) {
	p := casebook.Papers{Number: number}
	var at int64
	err := s.read.QueryRowContext(ctx, `SELECT seq, name, digest, at_us, by_whom, data FROM issued WHERE case_id = $1 AND number = $2`, id, number).
		Scan(&p.Seq, &p.Name, &p.Digest, &at, &p.By, &p.Data)
	if errors.Is(err, sql.ErrNoRows) {
		return p, casebook.ErrUnknown
	}
	if err != nil {
		return p, fmt.Errorf("reading papers %d of case %s: %w", number, id, err)
	}
	p.At = time.UnixMicro(at).UTC()
	if is := digestOf(p.Data); is != p.Digest {
		return p, fmt.Errorf("reading papers %d of case %s: expected bytes with the digest %s, found %s; the store is damaged, restore it from a copy", number, id, p.Digest, is)
	}
	return p, nil
}

func digestOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
