package atomicfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestAFailedWriteLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "order.pdf")
	if err := WriteBytes(name, []byte("old")); err != nil {
		t.Fatal(err)
	}
	cause := errors.New("the sheet could not be drawn")
	err := Write(name, func(w io.Writer) error {
		_, _ = w.Write([]byte("half of the new"))
		return cause
	})
	if !errors.Is(err, cause) {
		t.Errorf("got %v", err)
	}
	if got, _ := os.ReadFile(name); string(got) != "old" {
		t.Errorf("the file holds %q", got)
	}
	if left, _ := os.ReadDir(dir); len(left) != 1 {
		t.Errorf("%d files in the folder, expected one", len(left))
	}
	if err := WriteBytes(filepath.Join(dir, "no", "such", "folder"), nil); err == nil {
		t.Error("no error for a folder that is not there")
	}
}

func TestAFrozenFileIsNeverReplaced(t *testing.T) {
	name := filepath.Join(t.TempDir(), "order.pdf")
	if err := Freeze(name, []byte("signed")); err != nil {
		t.Fatal(err)
	}
	for what, err := range map[string]error{
		"Write":       WriteBytes(name, []byte("other")),
		"Freeze":      Freeze(name, []byte("other")),
		"Replaceable": Replaceable(name),
	} {
		if err == nil {
			t.Errorf("%s replaces it", what)
		}
	}
	got, err := os.ReadFile(name)
	if err != nil || string(got) != "signed" {
		t.Errorf("it holds %q, %v", got, err)
	}
}
