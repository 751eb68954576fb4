// Package mechanics reckons what a framework does under load: the force and the stress of
// each clasp arm, who carries a bite, where the denture turns, how far a connector bends.
// It reports numbers with their spread and never judges them.
//
// Arms are tapered beams along their true centre line, linear elastic, with the section's
// own torsion and the stress of curved beams in bends. The framework is a rigid body on
// tooth springs and a bed of mucosa that can push but not pull.
//
// Lengths are mm, forces N, moments N·mm, stresses and moduli MPa, angles rad unless a
// name ends in Deg. Points are in the cast frame.
package mechanics
