// Package geom holds the plain geometry everything else is measured with: vectors,
// frames, polylines and boxes.
//
// All lengths are millimetres and all angles are radians unless a name ends in Deg.
// The package knows nothing of teeth; it says what frame a value is in only where the
// caller told it so.
package geom
