// Package ui holds the built page of the workbench. The page is built from the TypeScript
// beside this file by `make build`; a program built without that step serves a note that
// says so.
package ui

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Files are the built page's files, and whether there are any.
func Files() (fs.FS, bool) {
	files, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, false
	}
	_, err = fs.Stat(files, "index.html")
	return files, err == nil
}
