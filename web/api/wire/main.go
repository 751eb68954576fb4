// Command wire writes the TypeScript of package api's shapes.
package main

import (
	"fmt"
	"os"

	"halfpear/web/api"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: wire FILE.ts")
		os.Exit(2)
	}
	if err := os.WriteFile(os.Args[1], []byte(api.TypeScript()), 0o644); err != nil {
		fmt.Fprintln(os.Stderr, "wire:", err)
		os.Exit(1)
	}
}
