package cli

import (
	"os"
	"path/filepath"
	"testing"

	"halfpear/encoding/casefile"
)

func TestDemoCasesRead(t *testing.T) {
	names, _ := filepath.Glob("demo/*.yaml")
	if len(names) < 2 {
		t.Fatalf("found %d demo cases", len(names))
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := casefile.Read(name, data); err != nil {
			t.Error(err)
		}
	}
}
