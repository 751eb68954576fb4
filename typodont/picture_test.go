package typodont_test

import (
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfpear/internal/plaster"
	"halfpear/typodont"
)

func save(t *testing.T, name string, img image.Image) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := plaster.Write(f, img); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestPictures draws casts for people to look at. It runs when HALFPEAR_PICTURES names a
// folder, as in build/pictures.
func TestPictures(t *testing.T) {
	dir := os.Getenv("HALFPEAR_PICTURES")
	if dir == "" {
		t.Skip("set HALFPEAR_PICTURES to a folder to draw casts")
	}
	only := os.Getenv("HALFPEAR_PICTURE")
	for name, s := range charts() {
		if only != "" && only != name {
			continue
		}
		c, err := typodont.Make(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		save(t, filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".png"), plaster.Sheet(c, false))
		v := plaster.Views(s.Arch)[0]
		img := plaster.Draw(c, v, 1000, 860)
		plaster.Marks(img, v, c)
		save(t, filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+"-marks.png"), img)
	}
}
