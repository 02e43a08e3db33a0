# "make" alone lists the targets. Every tool is pinned in deploy/tools/go.mod and
# built by Go on first use; nothing else needs to be installed.

tool := go tool -modfile=deploy/tools/go.mod
buf  := $(tool) buf

contract := proto/contract.binpb
image    := $(buf) build proto --path proto/rinktally --output
breaking := $(image) - | $(buf) breaking - --against $(contract)

# Quality of brotli for the engine as WebAssembly. A release asks for brotli=11, which
# takes minutes and makes it a tenth smaller.
brotli := 5
engine := client/web/offline/built

# Packages whose tests also run under the race detector, and those of whole servers
# that do not: their servers are processes of their own, or do one thing after
# another, or have thousands of watchers, whom a server cuts off that the detector
# makes too slow.
concurrent := ./server/... ./client/... ./integration/events
apart      := Program|FlippedBytes|WholeEvent|DamagedEvent|ErasePerson|RepeatedCallsThatChangedNothing|WrongRoleForEveryCall|WatchersThatStopReading|StopUnderManyWatchers

.DEFAULT_GOAL := help
.PHONY: help run build wasm package test needs unit race lint generate vuln

help: ## list the targets
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' Makefile | expand -t 12

run: ## start the server with the embedded tables
	go run ./server/cmd/rinktally serve

build: wasm ## build the programs into bin/
	go build -trimpath -o bin/ ./server/cmd/rinktally ./client/cmd/tally

wasm: ## build the engine as WebAssembly, which "make build" puts into the server
	client/web/offline/build.sh .build
	go -C deploy/tools run ./pack -brotli $(brotli) $(CURDIR)/.build/rinktally.wasm $(CURDIR)/$(engine)
	mv .build/wasm_exec.js $(engine)/

package: wasm ## pack the JavaScript client with the engine into bin/
	client/web/package.sh bin

test: needs lint unit race ## everything that must pass before a change lands

needs: ## install what the tests need beside Go: PostgreSQL, Chromium, axe-core, TypeScript
	deploy/test/install.sh

unit: ## all tests
	go test -timeout 20m ./...

race: ## tests of what runs concurrently, under the race detector
	@if ! command -v "$$(go env CC)" >/dev/null; then \
	  echo "race: left out, the race detector needs a C compiler ($$(go env CC))"; \
	else set -x; $(if $(concurrent),CGO_ENABLED=1 go test -race -timeout 20m -skip '^Test($(apart))$$' $(concurrent),true); fi

lint: ## protos, their compatibility, generated files, Go
	$(buf) lint
	$(buf) format proto --path proto/rinktally --diff --exit-code
	$(breaking)
	BUF="$(buf)" deploy/lint/generated.sh
	go vet ./...
	GOOS=js GOARCH=wasm go vet ./client/web/offline
	$(tool) golangci-lint run --config deploy/lint/golangci.yml ./...

# The contract as last generated is kept. Against it a removed, renamed or
# retyped field is found here and in "make lint". To break the contract on
# purpose delete the file first, so that the change shows it.
generate: ## Go, OpenAPI and the JavaScript client from the protos
	$(if $(wildcard $(contract)),$(breaking))
	BUF="$(buf)" proto/generate.sh .
	$(image) $(contract) --exclude-source-info

vuln: ## known vulnerabilities in what the programs call
	deploy/lint/vulnerabilities.sh ./...
