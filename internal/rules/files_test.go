package rules

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// tracked lists the files under version control; outside a checkout there is no list.
func tracked(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("git", "-C", filepath.Join("..", ".."), "ls-files").Output()
	if err != nil {
		t.Skip("not a checkout")
	}
	return strings.Fields(string(out))
}

func TestLockFilesNameNoHost(t *testing.T) {
	for _, name := range tracked(t) {
		if filepath.Base(name) != "package-lock.json" {
			continue
		}
		text, err := os.ReadFile(filepath.Join("..", "..", name))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), `"resolved"`) {
			t.Errorf("%s names the host packages came from: set omit-lockfile-registry-resolved in .npmrc and run npm install", name)
		}
	}
}

func TestNoLargeFileIsTracked(t *testing.T) {
	for _, name := range tracked(t) {
		info, err := os.Stat(filepath.Join("..", "..", name))
		if err == nil && info.Size() > 1<<20 && !strings.Contains(name, "testdata/") {
			t.Errorf("%s has %d bytes: files over 1 MiB do not belong in the tree", name, info.Size())
		}
	}
}

func TestTheModuleFileReplacesNothing(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "replace ") {
		t.Error("go.mod replaces a module: a clone elsewhere could not be built")
	}
}
