package web

import (
	"context"
	"sync"
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
	waiting int
	value   any
	err     error
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
		it = &item{done: make(chan struct{}), cancel: cancel}
		s.items[key] = it
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
	it.waiting++
	s.touch(key)
	s.mu.Unlock()

	var zero T
	select {
	case <-it.done:
		s.leave(key, it, false)
		if it.err != nil {
			return zero, it.err
		}
		return it.value.(T), nil
	case <-ctx.Done():
		s.leave(key, it, true)
		return zero, ctx.Err()
	}
}

func (s *shelf) leave(key string, it *item, gaveUp bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	it.waiting--
	if gaveUp && it.waiting == 0 {
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
