package typodont_test

import (
	"image"
	"os"
	"path/filepath"
	"testing"

	"halfpear/internal/plaster"
	"halfpear/tooth"
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
	charts := map[string]typodont.Spec{
		"lower-full":    typodont.Full(tooth.Lower),
		"lower-class1":  typodont.Full(tooth.Lower, 35, 36, 37, 45, 46, 47),
		"upper-full":    typodont.Full(tooth.Upper),
		"upper-bounded": typodont.Full(tooth.Upper, 15, 16, 24, 25, 26),
	}
	only := os.Getenv("HALFPEAR_PICTURE")
	for name, s := range charts {
		if only != "" && only != name {
			continue
		}
		c, err := typodont.Make(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		save(t, filepath.Join(dir, name+".png"), plaster.Sheet(c, false))
		v := plaster.Views(s.Arch)[0]
		img := plaster.Draw(c, v, 1400, 1200)
		save(t, filepath.Join(dir, name+"-occlusal.png"), img)
		plaster.Marks(img, v, c)
		save(t, filepath.Join(dir, name+"-marks.png"), img)
	}
}
