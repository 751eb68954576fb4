// Package mechanics reckons what a framework does under load: the force and the stress of
// each clasp arm, who carries a bite, how hard each abutment is tipped, where the denture
// turns, how much of a pull is held, how far a major connector gives. It reports numbers
// with their spread and never judges them.
//
// Arms are tapered beams along their true centre line, linear elastic, with the section's
// own torsion and the stress of curved beams in bends; what a stress beyond the proof stress
// leaves behind is told apart. The framework is a rigid body on tooth springs and a bed of
// mucosa that can push but not pull and stiffens as it is pressed thin; every load is
// reckoned at three stiffnesses of the mucosa, and what these do not agree on is an
// estimate. A major connector is a frame of such beams; straps are no beams and are said to
// be none.
//
// Lengths are mm, forces N, moments N·mm, stresses and moduli MPa, angles rad unless a
// name ends in Deg. Points are in the cast frame.
package mechanics
