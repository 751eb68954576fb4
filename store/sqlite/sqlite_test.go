package sqlite_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"halfpear/casebook"
	"halfpear/store/sqlite"
	"halfpear/store/storetest"
)

func TestDrill(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cases.db")
	storetest.Exercise(t, func(t *testing.T, now func() time.Time) casebook.Store {
		s, err := sqlite.Open(context.Background(), file, now)
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}

func TestForeignFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cases.db")
	if err := os.WriteFile(file, []byte(strings.Repeat("this is no case store ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := sqlite.Open(context.Background(), file, time.Now)
	if err == nil || !strings.Contains(err.Error(), "expected a file made by this program") {
		t.Fatalf("opening a file of another kind gave %v", err)
	}
	after, _ := os.ReadFile(file)
	if !strings.HasPrefix(string(after), "this is no case store") {
		t.Fatal("the foreign file was changed")
	}
}

// The driver is tested by its makers with one exact version of its C library only.
func TestDriverLibrary(t *testing.T) {
	mod, err := exec.Command("go", "list", "-m", "-f", "{{.GoMod}}", "modernc.org/sqlite").Output()
	if err != nil {
		t.Skipf("the go command does not answer: %v", err)
	}
	version := func(file string) string {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		m := regexp.MustCompile(`modernc\.org/libc (v\S+)`).FindSubmatch(text)
		if m == nil {
			t.Fatalf("%s names no modernc.org/libc", file)
		}
		return string(m[1])
	}
	ours, theirs := version("../../go.mod"), version(strings.TrimSpace(string(mod)))
	if ours != theirs {
		t.Fatalf("go.mod asks for modernc.org/libc %s, the SQLite driver was made with %s: set it back", ours, theirs)
	}
}
