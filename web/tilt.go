package web

import (
	"context"
	"fmt"
	"net/http"

	"halfpear/survey"
	"halfpear/web/api"
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
	return take(r.Context(), s.bench.tilts, key, func(ctx context.Context) (api.TiltMap, error) {
		st, err := s.study(ctx, c)
		if err != nil {
			return api.TiltMap{}, err
		}
		began := s.Now()
		swept, _, err := st.Tilt(ctx, sweptWithin, func(share float64) { tell(ctx, "sweep", share, 0) })
		if err != nil {
			if ctx.Err() != nil {
				return api.TiltMap{}, ctx.Err()
			}
			return api.TiltMap{}, shown{err}
		}
		out := api.TiltMap{WithinDeg: sweptWithin, Best: tiltScore(swept.Best), Paths: []api.TiltScore{}, Chosen: []api.TiltScore{}}
		for _, t := range swept.Tries {
			out.Paths = append(out.Paths, tiltScore(t))
		}
		for _, t := range swept.Best5 {
			out.Chosen = append(out.Chosen, tiltScore(t))
		}
		out.Seconds = s.Now().Sub(began).Seconds()
		return out, nil
	})
}

func tiltScore(t survey.Try) api.TiltScore {
	return api.TiltScore{AnteriorDeg: hundredth(t.AnteriorDeg), RightDeg: hundredth(t.RightDeg), Score: hundredth(t.Score),
		Why: fmt.Sprintf("guide surfaces lean %.1f°, %d of %d abutments hold", t.Guide, t.Feasible, abutments(t))}
}

func abutments(t survey.Try) int {
	seen := map[any]bool{}
	for _, h := range t.Held {
		seen[h.Tooth] = true
	}
	return len(seen)
}
