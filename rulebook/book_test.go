package rulebook

import "testing"

// The checklist has 173 rules; each shipped profile reads all of them.
func TestEveryShippedProfileOpens(t *testing.T) {
	for _, p := range Profiles {
		b, err := Open(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(b.Checks) != 173 {
			t.Errorf("%s has %d checks, expected 173", p, len(b.Checks))
		}
	}
}
