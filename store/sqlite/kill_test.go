package sqlite_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfpear/casebook"
	"halfpear/store/sqlite"
	"halfpear/tooth"
)

var kills = flag.Int("kills", 12, "how many times the kill drill kills the program in the middle of saving")

const saverFile = "HALFPEAR_SAVER_FILE"

// TestMain runs this program again as the one that saves and is killed.
func TestMain(m *testing.M) {
	if file := os.Getenv(saverFile); file != "" {
		saveUntilKilled(file)
	}
	flag.Parse()
	os.Exit(m.Run())
}

// saveUntilKilled saves revisions as fast as it can and writes a line for each one that
// was acknowledged. Every seventh is followed by an undo and a redo, so that the head's
// moves are drilled too.
func saveUntilKilled(file string) {
	fail := func(err error) {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	ctx := context.Background()
	s, err := sqlite.Open(ctx, file, time.Now)
	if err != nil {
		fail(err)
	}
	r, err := s.Head(ctx, "K7-3FQ")
	if err != nil {
		fail(err)
	}
	// A kill between undo and redo leaves the head behind the last revision.
	steps, err := s.History(ctx, r.ID)
	if err != nil {
		fail(err)
	}
	for last := len(steps) + 1; ; last++ {
		r, err = s.Save(ctx, r.ID, r.Seq, killContent(last))
		if err != nil {
			fail(err)
		}
		fmt.Println(r.Seq)
		if r.Seq%7 == 0 {
			if r, err = s.Undo(ctx, r.ID, r.Seq); err == nil {
				r, err = s.Redo(ctx, r.ID, r.Seq)
			}
			if err != nil {
				fail(err)
			}
		}
	}
}

func killContent(seq int) casebook.Content {
	line := fmt.Sprintf("revision %d of the drill\n", seq)
	return casebook.Content{Label: "drill", Arch: tooth.Lower, Doc: []byte(strings.Repeat(line, 200))}
}

// A program killed in the middle of saving loses no save that it acknowledged, and what
// it leaves behind opens and is whole.
func TestKilledWhileSaving(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cases.db")
	ctx := context.Background()
	s, err := sqlite.Open(ctx, file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Create(ctx, "K7-3FQ", killContent(1)); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	seed := time.Now().UnixNano()
	chance := rand.New(rand.NewSource(seed))
	t.Logf("seed %d", seed)
	acknowledged, total := 1, 0
	for range *kills {
		saver := exec.Command(os.Args[0])
		saver.Env = append(os.Environ(), saverFile+"="+file)
		var complaint strings.Builder
		saver.Stderr = &complaint
		out, err := saver.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := saver.Start(); err != nil {
			t.Fatal(err)
		}
		// The clock starts with the first acknowledged save: a busy machine may be slow
		// to start a program.
		lines := bufio.NewScanner(out)
		for first := true; lines.Scan(); first = false {
			if first {
				time.AfterFunc(time.Duration(chance.Intn(60_000))*time.Microsecond, func() { saver.Process.Kill() })
			}
			if _, err := fmt.Sscan(lines.Text(), &acknowledged); err != nil {
				continue // a line cut by the kill was not acknowledged in full
			}
			total++
		}
		saver.Wait()
		if complaint.Len() > 0 {
			t.Fatalf("the saver died of itself: %s", complaint.String())
		}
		s, err := sqlite.Open(ctx, file, time.Now)
		if err != nil {
			t.Fatalf("after the kill: %v", err)
		}
		steps, err := s.History(ctx, "K7-3FQ")
		if err != nil {
			t.Fatal(err)
		}
		if len(steps) < acknowledged {
			t.Fatalf("%d saves were acknowledged, %d are there", acknowledged, len(steps))
		}
		from := max(1, len(steps)-30)
		for seq := from; seq <= len(steps); seq++ {
			r, err := s.At(ctx, "K7-3FQ", seq)
			if err != nil || string(r.Doc) != string(killContent(seq).Doc) {
				t.Fatalf("revision %d is not what was saved: %v", seq, err)
			}
		}
		if _, err := s.Head(ctx, "K7-3FQ"); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if total < *kills {
		t.Fatalf("only %d saves were acknowledged in %d lives: the drill drilled nothing", total, *kills)
	}
	t.Logf("%d kills, %d acknowledged saves, none lost", *kills, total)
}
