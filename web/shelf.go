package web

import (
	"context"
	"maps"
	"slices"
	"sync"

	"halfpear/web/api"
)

// shelf keeps what was worked out last, by a key that names all of its inputs. Work that
// several requests wait for is done once; it is broken off when none of them waits any
// more.
type shelf struct {
	mu    sync.Mutex
	items map[string]*item
	order []string // least recently used first
	limit int
}

type item struct {
	done    chan struct{}
	cancel  context.CancelFunc
	waiting map[int]hearer // who waits, and who of them wants to hear
	next    int            // name of the next one who waits
	said    api.Progress   // last
	value   any
	err     error
}

// heard hands on how far the work has come.
func (s *shelf) heard(it *item) hearer {
	return func(p api.Progress) {
		s.mu.Lock()
		it.said = p
		to := slices.Collect(maps.Values(it.waiting))
		s.mu.Unlock()
		for _, h := range to { // unlocked: one who waits may be another shelf's work
			if h != nil {
				h(p)
			}
		}
	}
}

func newShelf(limit int) *shelf { return &shelf{items: map[string]*item{}, limit: limit} }

// take gives what lies on the shelf under the key, or does the work. A failure is not
// kept.
func take[T any](ctx context.Context, s *shelf, key string, work func(context.Context) (T, error)) (T, error) {
	s.mu.Lock()
	it := s.items[key]
	if it == nil {
		// The work belongs to all who wait, so it does not end with the first of them.
		run, cancel := context.WithCancel(context.WithoutCancel(ctx))
		it = &item{done: make(chan struct{}), cancel: cancel, waiting: map[int]hearer{}}
		s.items[key] = it
		run = heard(run, s.heard(it))
		go func() {
			defer cancel()
			v, err := guarded(run, work)
			s.mu.Lock()
			it.value, it.err = v, err
			if err != nil && s.items[key] == it {
				s.drop(key)
			}
			s.mu.Unlock()
			close(it.done)
		}()
	}
	me, h := it.next, hearerOf(ctx)
	it.next++
	it.waiting[me] = h
	said := it.said
	s.touch(key)
	s.mu.Unlock()
	if h != nil && said.Step != "" {
		h(said)
	}

	var zero T
	select {
	case <-it.done:
		s.leave(key, it, me, false)
		if it.err != nil {
			return zero, it.err
		}
		return it.value.(T), nil
	case <-ctx.Done():
		s.leave(key, it, me, true)
		return zero, ctx.Err()
	}
}

func (s *shelf) leave(key string, it *item, me int, gaveUp bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(it.waiting, me)
	if gaveUp && len(it.waiting) == 0 {
		it.cancel()
		select {
		case <-it.done:
		default:
			if s.items[key] == it {
				s.drop(key)
			}
		}
	}
}

func (s *shelf) touch(key string) {
	for i, k := range s.order {
		if k == key {
			s.order = append(s.order[:i], s.order[i+1:]...)
			break
		}
	}
	s.order = append(s.order, key)
	for len(s.order) > s.limit {
		s.drop(s.order[0])
	}
}

func (s *shelf) drop(key string) {
	delete(s.items, key)
	for i, k := range s.order {
		if k == key {
			s.order = append(s.order[:i], s.order[i+1:]...)
			return
		}
	}
}
