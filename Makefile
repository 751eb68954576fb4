# Halfpear. `make` alone lists what there is.
.DEFAULT_GOAL := help
SHELL := /bin/bash
GO ?= go
BUILD := build
UI := web/ui

.PHONY: help build ui demo test test-go test-ui test-browser drill bench lint generate verify tools clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sort | awk -F':.*## ' '{printf "  make %-13s %s\n", $$1, $$2}'

build: ui ## build the program, workbench and all, into build/
	@mkdir -p $(BUILD)
	$(GO) build -trimpath -o $(BUILD)/halfpear ./cmd/halfpear

$(UI)/node_modules/.installed: $(UI)/package-lock.json
	cd $(UI) && npm ci --ignore-scripts --no-audit --no-fund
	@touch $@

ui: $(UI)/node_modules/.installed ## build the workbench's page
	cd $(UI) && npm run --silent build

demo: build ## play the demo cases the whole way and say where the papers are
	$(BUILD)/halfpear demo $(BUILD)/demo

test: test-go test-ui test-browser ## everything, the browser tests too

test-go: ## the Go tests
	$(GO) vet ./...
	$(GO) test ./...

test-ui: $(UI)/node_modules/.installed ## the page's own tests and types
	cd $(UI) && npm run --silent check && npm test --silent

test-browser: build ## the whole way in a real browser
	web/e2e/run.sh

drill: ## kill the program while it saves, thousands of times
	$(GO) test ./store/sqlite -run Killed -kills 3000 -timeout 60m -v

bench: ## speed and memory, beside the peers where they are
	$(GO) test -run '^$$' -bench . -benchmem ./...

lint: ## golangci-lint, when it is installed
	golangci-lint run

generate: ## rewrite what is generated: schema, wire types
	$(GO) test ./encoding/casefile ./encoding/orderfile -run Schema -update
	$(GO) generate ./...

verify: generate ## fail if generating changed anything
	git diff --exit-code

tools: ## install what the tests need from Debian: browser, PDF readers
	apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium poppler-utils qpdf >/dev/null

clean: ## remove build/
	rm -rf $(BUILD)
