// Package rules holds the repository's own rules, as tests: who may import whom, one
// package comment a package, no oversized files.
package rules
