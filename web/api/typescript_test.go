package api_test

import (
	"os"
	"testing"

	"halfpear/web/api"
)

func TestTypeScriptIsUpToDate(t *testing.T) {
	kept, err := os.ReadFile("../ui/src/api/wire.ts")
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != api.TypeScript() {
		t.Fatal("web/ui/src/api/wire.ts is not what the Go shapes give: run go generate ./web/api")
	}
	if api.TypeScript() != api.TypeScript() {
		t.Fatal("two runs give two texts")
	}
}
