package web

import (
	"context"
	"net/http"

	"halfpear/survey"
	"halfpear/web/api"
	"halfpear/words"
)

// sweptWithin is the cone of paths that is compared [degrees]: farther than that a cast is
// hardly ever tilted (common practice).
const sweptWithin = 12

// tiltMap compares the paths of a cone.
func (s *Server) tiltMap(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	c.SetAside = nil
	key, err := contentKey(c)
	if err != nil {
		return nil, err
	}
	l := reader(r, c)
	best, err := take(r.Context(), s.bench.tilts, key, func(ctx context.Context) (sweep, error) {
		st, err := s.study(ctx, c)
		if err != nil {
			return sweep{}, err
		}
		began := s.Now()
		swept, _, err := st.Tilt(ctx, sweptWithin, func(share float64) { tell(ctx, "sweep", share, 0) })
		if err != nil {
			if ctx.Err() != nil {
				return sweep{}, ctx.Err()
			}
			return sweep{}, shown{err}
		}
		return sweep{swept, s.Now().Sub(began).Seconds()}, nil
	})
	if err != nil {
		return nil, err
	}
	out := api.TiltMap{WithinDeg: sweptWithin, Best: tiltScore(best.Best, l), Paths: []api.TiltScore{}, Chosen: []api.TiltScore{}, Seconds: best.seconds}
	for _, t := range best.Tries {
		out.Paths = append(out.Paths, tiltScore(t, l))
	}
	for _, t := range best.Best5 {
		out.Chosen = append(out.Chosen, tiltScore(t, l))
	}
	return out, nil
}

// sweep is what was found and how long it took.
type sweep struct {
	survey.Swept
	seconds float64
}

func tiltScore(t survey.Try, l words.Lang) api.TiltScore {
	return api.TiltScore{AnteriorDeg: hundredth(t.AnteriorDeg), RightDeg: hundredth(t.RightDeg), Score: hundredth(t.Score),
		Why: words.Tell("guide surfaces lean %v, %v of %v abutments hold", words.Amount{Value: t.Guide, Unit: "deg"}, t.Feasible, abutments(t)).In(l)}
}

func abutments(t survey.Try) int {
	seen := map[any]bool{}
	for _, h := range t.Held {
		seen[h.Tooth] = true
	}
	return len(seen)
}
