package casebook

import (
	"fmt"
	"io"
)

// letters leaves out those that are mistaken for one another in handwriting.
const letters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// NewID draws a case number. random must give bytes nobody can foresee; the number says
// nothing about the patient or the time.
func NewID(random io.Reader) (ID, error) {
	var b [6]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", fmt.Errorf("drawing a case number: %w", err)
	}
	for i := range b {
		b[i] = letters[int(b[i])%len(letters)]
	}
	return ID(string(b[:2]) + "-" + string(b[2:])), nil
}
