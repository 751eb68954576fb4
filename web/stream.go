package web

import (
	"context"
	"encoding/json"
	"net/http"
	"sync"
	"time"

	"halfpear/web/api"
)

// Work that takes long says how far it has come through its context, and whoever waits
// for it hears it: the shelf hands it on to all of them, a streamed answer to the page.

// A hearer is told how far work has come. It must not wait for anything.
type hearer func(api.Progress)

type hearerKey struct{}

// heard gives a context whose work is heard by h.
func heard(ctx context.Context, h hearer) context.Context {
	return context.WithValue(ctx, hearerKey{}, h)
}

func hearerOf(ctx context.Context) hearer {
	h, _ := ctx.Value(hearerKey{}).(hearer)
	return h
}

// tell says how far the work of ctx has come in a step, as a share of it or as a count of
// what was done; both are 0 where nothing is known but the step.
func tell(ctx context.Context, step string, share float64, count int) {
	if h := hearerOf(ctx); h != nil {
		h(api.Progress{Step: step, Share: share, Count: count})
	}
}

// A page that accepts ndjson is answered by lines of JSON while the work goes on: what
// lasts less than patience is answered at once all the same.
const (
	ndjson   = "application/x-ndjson"
	patience = 150 * time.Millisecond
)

// stream does a request and sends its progress while it lasts. When the page goes away the
// request's context ends, and with it the work, unless somebody else waits for it.
func (s *Server) stream(w http.ResponseWriter, r *http.Request, h handler) {
	var (
		mu   sync.Mutex
		last api.Progress
		news bool
	)
	r = r.WithContext(heard(r.Context(), func(p api.Progress) {
		mu.Lock()
		last, news = p, true
		mu.Unlock()
	}))
	type result struct {
		value any
		err   error
	}
	done := make(chan result, 1)
	go func() {
		v, err := guarded(r.Context(), func(context.Context) (any, error) { return h(w, r) })
		done <- result{v, err}
	}()
	enc := json.NewEncoder(w)
	begun := false
	send := func(p api.Progress) {
		if !begun {
			w.Header().Set("Content-Type", ndjson)
			begun = true
		}
		_ = enc.Encode(p) // the page has gone when this fails
		_ = http.NewResponseController(w).Flush()
	}
	tick := time.NewTicker(patience)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			mu.Lock()
			p, fresh := last, news
			news = false
			mu.Unlock()
			if fresh {
				send(p)
			}
		case got := <-done:
			switch {
			case !begun && got.err != nil:
				s.fail(w, r, got.err)
			case !begun:
				answer(w, http.StatusOK, got.value)
			case got.err != nil:
				status, f := s.failure(r, got.err)
				send(api.Progress{Failed: &f, Status: status})
			default:
				send(api.Progress{Done: got.value})
			}
			return
		}
	}
}
