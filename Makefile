# Everything a person types on a fresh machine: `make run` and `make test`.
# `make help` lists the rest.

GO     ?= go
PAPERS ?= papers
DATA   ?= coilwright-data
LISTEN ?= 127.0.0.1:8017
FUZZ   ?= 4s

.PHONY: help run papers page build test tools format vet lint unit web screens fuzz bench fix

help: ## list what can be made
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 10

run: build ## serve the page on this machine, with an invented demo job, and say where
	@bin/coilwright serve --data "$(DATA)" --listen "$(LISTEN)"

papers: build ## write the demo job's papers into ./papers and say where
	@mkdir -p $(PAPERS)
	@cd $(PAPERS) && "$(CURDIR)/bin/coilwright" demo
	@cd $(PAPERS) && "$(CURDIR)/bin/coilwright" sheets demo.json --scheme A --out .
	@echo "The demo job's papers are in $(abspath $(PAPERS))"

page: ## build the page that the program serves
	@.ci/page

build: page ## build bin/coilwright
	$(GO) build -o bin/coilwright ./cmd/coilwright

test: tools format vet lint unit web fuzz bench ## all that CI checks

tools: ## install what tests compare with, where it is missing
	@.ci/tools

format: ## fail where a file is not gofmt's
	@.ci/format

vet:
	$(GO) vet ./...

lint: ## staticcheck, at the version in go.mod
	$(GO) tool staticcheck ./...

unit: ## go test ./...
	$(GO) test ./...

web: build ## the page: style, types, unit tests, and a browser on the real program
	@.ci/web

screens: build ## write a picture of every screen into docs/screens
	@cd web && npm run --silent screens

fuzz: ## every fuzz target for $(FUZZ)
	@GO="$(GO)" .ci/fuzz $(FUZZ)

bench: ## growth with the size of a house, and ratios to peers
	$(GO) test -run '^$$' -bench . -benchtime 10x ./bench/...
	$(GO) run ./bench/server
	@GO="$(GO)" bench/geos/run
	@GO="$(GO)" bench/pack/run
	@GO="$(GO)" bench/guillotine/run

fix: ## let gofmt rewrite what it would
	gofmt -w $$(git ls-files '*.go')
