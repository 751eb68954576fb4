package order

import "testing"

// The check character against the published worked example of ISO 7064 MOD 37,36 in the
// recording industry's release identifier, A1-2425G-ABC1234002-M.
func TestCheckCharacter(t *testing.T) {
	if got := checkCharacter("A12425GABC1234002"); got != 'M' {
		t.Errorf("got %c, the standard's users have M", got)
	}
	n := Number("K7-3FQ2", 2)
	if !NumberHolds(n) {
		t.Errorf("%s does not hold", n)
	}
	// Any single wrong letter and any two neighbours swapped are noticed.
	for i := range n[:len(n)-2] {
		for _, c := range alphanumeric {
			m := n[:i] + string(c) + n[i+1:]
			if n[i] != '-' && n[i] != '/' && byte(c) != n[i] && NumberHolds(m) {
				t.Errorf("%s passes for %s", m, n)
			}
		}
	}
}
