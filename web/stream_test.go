package web

import (
	"bufio"
	"context"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"halfpear/web/api"
)

// slow is work of a hundred steps that ends early when nobody waits for it.
func slow(begun, ended chan<- error) func(context.Context) (int, error) {
	return func(ctx context.Context) (int, error) {
		begun <- nil
		for i := range 100 {
			tell(ctx, "saw", float64(i)/100, i)
			select {
			case <-ctx.Done():
				ended <- ctx.Err()
				return 0, ctx.Err()
			case <-time.After(4 * patience / 100):
			}
		}
		ended <- nil
		return 42, nil
	}
}

// sawmill serves one piece of slow work to all who ask.
func sawmill(t *testing.T) (url string, begun, ended chan error) {
	begun, ended = make(chan error, 9), make(chan error, 9)
	s := &Server{Options: Options{Log: slog.New(slog.DiscardHandler)}}
	sh := newShelf(2)
	outer := newShelf(2)
	h := httptest.NewServer(s.answering(func(_ http.ResponseWriter, r *http.Request) (any, error) {
		// Work within work, as a plan waits for a survey: what is said inside is heard outside.
		return take(r.Context(), outer, "house", func(ctx context.Context) (int, error) {
			return take(ctx, sh, "plank", slow(begun, ended))
		})
	}))
	t.Cleanup(h.Close)
	return h.URL, begun, ended
}

func get(ctx context.Context, t *testing.T, url string) *http.Response {
	t.Helper()
	r, err := http.NewRequestWithContext(ctx, "GET", url, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", ndjson)
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { res.Body.Close() })
	return res
}

func TestProgressIsStreamed(t *testing.T) {
	url, _, _ := sawmill(t)
	lines := bufio.NewScanner(get(t.Context(), t, url).Body)
	last, heard := 0.0, 0
	for lines.Scan() {
		var p api.Progress
		if err := json.Unmarshal(lines.Bytes(), &p); err != nil {
			t.Fatalf("line %q: %v", lines.Text(), err)
		}
		if p.Done != nil {
			if p.Done != 42.0 || heard < 2 {
				t.Fatalf("ended with %v after %d lines; want 42 after some", p.Done, heard)
			}
			return
		}
		if p.Step != "saw" || p.Share <= last {
			t.Fatalf("line %q after a share of %g", lines.Text(), last)
		}
		last = p.Share
		heard++
	}
	t.Fatal("the stream ended without an answer")
}

func TestWorkEndsWithTheLastWhoWaits(t *testing.T) {
	url, begun, ended := sawmill(t)
	one, stopOne := context.WithCancel(t.Context())
	two, stopTwo := context.WithCancel(t.Context())
	first, second := get(one, t, url), get(two, t, url)
	for _, res := range []*http.Response{first, second} {
		if !bufio.NewScanner(res.Body).Scan() {
			t.Fatal("nothing was heard")
		}
	}
	stopOne()
	select {
	case err := <-ended:
		t.Fatalf("the work ended (%v) while another still waited", err)
	case <-time.After(patience):
	}
	stopTwo()
	select {
	case err := <-ended:
		if err == nil {
			t.Fatal("the work ran to its end although nobody waited")
		}
	case <-time.After(5 * time.Second):
		t.Fatal("the work went on although nobody waited")
	}
	if len(begun) != 1 {
		t.Fatalf("the work was begun %d times, want once for both", len(begun))
	}
	// Asked again it is done afresh.
	var p api.Progress
	lines := bufio.NewScanner(get(t.Context(), t, url).Body)
	for lines.Scan() {
		if err := json.Unmarshal(lines.Bytes(), &p); err != nil {
			t.Fatal(err)
		}
	}
	if p.Done != 42.0 {
		t.Fatalf("asked again it answered %+v", p)
	}
}
