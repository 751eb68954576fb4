// Package storetest is the drill that every store of cases goes through.
package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"halfpear/casebook"
	"halfpear/tooth"
)

// Exercise drills a store. open opens the same store each time it is called; the store
// it gave before has been closed by then. The store begins empty.
func Exercise(t *testing.T, open func(t *testing.T, now func() time.Time) casebook.Store) {
	ctx := context.Background()
	clock := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	var mu sync.Mutex
	now := func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		clock = clock.Add(time.Second)
		return clock
	}
	s := open(t, now)
	reopen := func() {
		t.Helper()
		if err := s.Close(); err != nil {
			t.Fatalf("closing: %v", err)
		}
		s = open(t, now)
	}
	content := func(label string, i int) casebook.Content {
		return casebook.Content{Label: label, Title: "Two-sided extension", Arch: tooth.Lower, Class: "I", Doc: []byte(fmt.Sprintf("state %d", i)), Text: "shallow floor"}
	}
	must := func(r casebook.Revision, err error) casebook.Revision {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	holds := func(r casebook.Revision, seq int, doc, undo, redo string) {
		t.Helper()
		if r.Seq != seq || string(r.Doc) != doc || r.Undo != undo || r.Redo != redo {
			t.Fatalf("revision %d holds %q, undo %q, redo %q; want %d, %q, %q, %q", r.Seq, r.Doc, r.Undo, r.Redo, seq, doc, undo, redo)
		}
	}

	r := must(s.Create(ctx, "A1-AAA", content("new", 0)))
	holds(r, 1, "state 0", "", "")
	if r.Arch != tooth.Lower || r.Title != "Two-sided extension" || r.Class != "I" || r.Text != "shallow floor" {
		t.Fatalf("a new case came back changed: %+v", r)
	}
	if _, err := s.Create(ctx, "A1-AAA", content("again", 0)); err == nil {
		t.Fatal("a second case took the number of the first")
	}
	for i := 1; i <= 3; i++ {
		r = must(s.Save(ctx, "A1-AAA", i, content(fmt.Sprintf("step %d", i), i)))
	}
	holds(r, 4, "state 3", "step 3", "")

	// Undo and redo hold over a restart.
	reopen()
	r = must(s.Undo(ctx, "A1-AAA", 4))
	holds(r, 3, "state 2", "step 2", "step 3")
	reopen()
	r = must(s.Undo(ctx, "A1-AAA", 3))
	holds(r, 2, "state 1", "step 1", "step 2")
	r = must(s.Redo(ctx, "A1-AAA", 2))
	holds(r, 3, "state 2", "step 2", "step 3")

	// Another way taken after an undo; nothing of the old one is lost.
	r = must(s.Save(ctx, "A1-AAA", 3, content("branch", 9)))
	holds(r, 5, "state 9", "branch", "")
	if _, err := s.Redo(ctx, "A1-AAA", 5); !errors.Is(err, casebook.ErrNothing) {
		t.Fatalf("redo at the end gave %v, want %v", err, casebook.ErrNothing)
	}
	holds(must(s.At(ctx, "A1-AAA", 4)), 4, "state 3", "step 3", "")
	steps, err := s.History(ctx, "A1-AAA")
	if err != nil || len(steps) != 5 || !steps[4].Head || steps[4].Parent != 3 || steps[3].Head {
		t.Fatalf("history %+v, %v; want five steps, the fifth the head, made from the third", steps, err)
	}
	for range 3 {
		r = must(s.Undo(ctx, "A1-AAA", r.Seq))
	}
	holds(r, 1, "state 0", "", "step 1")
	if _, err := s.Undo(ctx, "A1-AAA", 1); !errors.Is(err, casebook.ErrNothing) {
		t.Fatalf("undo at the beginning gave %v, want %v", err, casebook.ErrNothing)
	}

	// Somebody was faster.
	must(s.Save(ctx, "A1-AAA", 1, content("first", 20)))
	var conflict casebook.Conflict
	if _, err := s.Save(ctx, "A1-AAA", 1, content("second", 21)); !errors.As(err, &conflict) || conflict.Head != 6 {
		t.Fatalf("a save on an old revision gave %v, want a conflict naming revision 6", err)
	}
	if _, err := s.Undo(ctx, "A1-AAA", 1); !errors.As(err, &conflict) {
		t.Fatalf("an undo on an old revision gave %v, want a conflict", err)
	}
	var wins, losses int
	var wait sync.WaitGroup
	for i := range 8 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			_, err := s.Save(ctx, "A1-AAA", 6, content("race", 30+i))
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				wins++
			} else if errors.As(err, new(casebook.Conflict)) {
				losses++
			}
		}()
	}
	wait.Wait()
	if wins != 1 || losses != 7 {
		t.Fatalf("of eight saves on one revision %d won and %d were told of a conflict; want 1 and 7", wins, losses)
	}

	// Search.
	must(s.Create(ctx, "B2-BBB", casebook.Content{Label: "new", Title: "Bounded saddle", Arch: tooth.Upper, Doc: []byte("x"), Text: "nickel"}))
	for query, want := range map[string]int{"": 2, "saddle": 1, "b2": 1, "SHALLOW extension": 1, "saddle shallow": 0, "nickel": 1, "%": 0} {
		list, err := s.List(ctx, query)
		if err != nil || len(list) != want {
			t.Fatalf("searching for %q found %d, %v; want %d", query, len(list), err, want)
		}
	}
	list, _ := s.List(ctx, "")
	if list[0].ID != "B2-BBB" || list[1].Seq != 7 {
		t.Fatalf("the list is %+v; want the latest change first", list)
	}

	// Files.
	big := bytes.Repeat([]byte("solid"), 1<<20)
	for i, want := range []string{"lower.stl", "lower.stl", "lower-2.stl"} {
		data := big
		if i == 2 {
			data = []byte("another")
		}
		if got, err := s.Attach(ctx, "A1-AAA", "lower.stl", data); err != nil || got != want {
			t.Fatalf("attaching gave %q, %v; want %q", got, err, want)
		}
	}
	reopen()
	if got, err := s.Attachment(ctx, "A1-AAA", "lower.stl"); err != nil || !bytes.Equal(got, big) {
		t.Fatalf("an attached file came back with %d bytes, %v", len(got), err)
	}
	if _, err := s.Attachment(ctx, "B2-BBB", "lower.stl"); !errors.Is(err, casebook.ErrUnknown) {
		t.Fatalf("another case's file gave %v, want %v", err, casebook.ErrUnknown)
	}

	// Papers.
	for n := 1; n <= 2; n++ {
		p, err := s.Issue(ctx, "A1-AAA", casebook.Papers{Seq: 7, Name: "order.pdf", By: "K.", Data: []byte("paper")})
		if err != nil || p.Number != n || len(p.Digest) != 64 {
			t.Fatalf("issue %d: %+v, %v", n, p, err)
		}
	}
	if p, err := s.IssuedFile(ctx, "A1-AAA", 2); err != nil || string(p.Data) != "paper" || p.By != "K." || p.Seq != 7 {
		t.Fatalf("issued papers came back as %+v, %v", p, err)
	}
	if list, err := s.Issued(ctx, "A1-AAA"); err != nil || len(list) != 2 || list[0].Data != nil {
		t.Fatalf("the list of papers is %+v, %v", list, err)
	}

	// Removed, unknown.
	if err := s.Remove(ctx, "B2-BBB"); err != nil {
		t.Fatal(err)
	}
	for what, err := range map[string]error{
		"head of a removed case":    second(s.Head(ctx, "B2-BBB")),
		"removing twice":            s.Remove(ctx, "B2-BBB"),
		"saving to a removed case":  second(s.Save(ctx, "B2-BBB", 1, content("x", 1))),
		"head of a case never made": second(s.Head(ctx, "Z9-ZZZ")),
		"a revision never made":     second(s.At(ctx, "A1-AAA", 99)),
		"an attachment never made":  second(s.Attach(ctx, "Z9-ZZZ", "a", nil)),
	} {
		if !errors.Is(err, casebook.ErrUnknown) {
			t.Errorf("%s gave %v, want %v", what, err, casebook.ErrUnknown)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func second[T any](_ T, err error) error { return err }
