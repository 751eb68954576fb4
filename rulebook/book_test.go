package rulebook

import "testing"

// The checklist has 173 rules, and two are ours; each shipped profile reads all of them.
func TestEveryShippedProfileOpens(t *testing.T) {
	for _, p := range Profiles {
		b, err := Open(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(b.Checks) != 175 {
			t.Errorf("%s has %d checks, expected 175", p, len(b.Checks))
		}
	}
}
