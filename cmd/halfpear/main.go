// Command halfpear classifies arches, surveys casts, proposes, checks, draws and orders
// frameworks of removable partial dentures, and serves the workbench.
package main

import (
	"os"

	"halfpear/cmd/halfpear/cli"
)

func main() {
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
