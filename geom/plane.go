package geom

// Plane holds the points p with (p - Point)·Normal = 0. Normal is a unit vector.
type Plane struct{ Point, Normal Vec }

// Above is the signed distance of p from the plane, positive on the normal's side.
func (p Plane) Above(q Vec) float64 { return q.Sub(p.Point).Dot(p.Normal) }
