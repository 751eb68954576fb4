// Package atomicfile writes files that people keep: a file appears whole or not at all.
package atomicfile

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Write makes the file hold what fill writes. Until fill has returned without an error and
// the bytes are on the disk, whatever stood under the name before stands there still. The
// errors of flushing, syncing, closing and renaming are all returned.
//
// A file that nobody may write to is never replaced: that is how papers that went out are
// kept (see Freeze).
func Write(name string, fill func(io.Writer) error) error {
	if err := Replaceable(name); err != nil {
		return err
	}
	return write(name, 0o644, fill)
}

// Replaceable tells whether Write may write under a name; nil where it may.
func Replaceable(name string) error {
	info, err := os.Stat(name)
	if err == nil && info.Mode().IsRegular() && info.Mode().Perm()&0o222 == 0 {
		return fmt.Errorf("could not write %s: it is kept as it was issued and is never replaced; write under another name", name)
	}
	return nil
}

// Freeze writes a file that is never to change again: it must not be there yet, and nobody
// may write to it afterwards.
func Freeze(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("could not write %s: there is a file of that name, and what is issued replaces nothing; write under another name", name)
	}
	return write(name, 0o444, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

func write(name string, mode os.FileMode, fill func(io.Writer) error) (err error) {
	dir := filepath.Dir(name)
	f, err := os.CreateTemp(dir, "."+filepath.Base(name)+".part-*")
	if err != nil {
		return fmt.Errorf("could not write %s: %w; is the folder there and may it be written to?", name, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
			err = fmt.Errorf("could not write %s: %w", name, err)
		}
	}()
	if err := fill(f); err != nil {
		return err
	}
	if err := f.Chmod(mode); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return err
	}
	// The rename itself is kept over a power cut only once the folder is on the disk.
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// WriteBytes is Write for bytes at hand.
func WriteBytes(name string, data []byte) error {
	return Write(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
