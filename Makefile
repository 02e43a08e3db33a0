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

# What a release is called, and what it is built for.
version  := $(shell git describe --tags --always --dirty 2>/dev/null || echo unknown)
engines  := linux/amd64 linux/arm64
others   := darwin/amd64 darwin/arm64 windows/amd64
released := bin/release
sbom     := go tool -modfile=deploy/release/go.mod cyclonedx-gomod bin -json -std -noserial

# Packages whose tests run under the race detector, where there is a C compiler for it,
# and else without it. So do the tests of whole servers, but for some, apart: they test
# processes of their own, or do one thing after another, as the fuzz targets do, or have
# thousands of watchers, whom a server cuts off that the detector makes too slow.
concurrent := /rinktally/(server|client)(/|$$)
servers    := ./integration/events
detector    = $(shell command -v "$$(go env CC)")
apart      := ^Test(CallersThatGoAway|ModelOfAPerformance|ModelOfAnEvent|Program|FlippedBytes|WholeEvent|DamagedEvent|ErasePerson|RepeatedCallsThatChangedNothing|WrongRoleForEveryCall|WatchersThatStopReading|StopUnderManyWatchers|DemoIsTheSameForASeed|AnyOrderOfCommands|CrashImages|Crash|BookCrash)$$|^Fuzz(REST|GRPC)$$
haveApart  := $(servers) ./server/event/api ./server/store/sqlite ./server/store/postgres

# "make lint" vets what is tested here: golangci-lint does what go vet does, and more.
tests := go test -vet=off -timeout 60m

.DEFAULT_GOAL := help
.PHONY: help run build wasm package image release test needs plain apart race lint generate speed vuln

help: ## list the targets
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' Makefile | expand -t 12

run: ## start the server with the embedded tables
	go run ./server/cmd/rinktally serve

build: wasm ## build the programs into bin/
	go build -trimpath -o bin/ ./server/cmd/rinktally ./client/cmd/tally

wasm: ## build the engine as WebAssembly, which "make build" puts into the server
	client/web/offline/build.sh .build
	go -C deploy/tools run ./pack -brotli $(brotli) $(CURDIR)/.build/rinktally.wasm $(CURDIR)/$(engine)
	cp .build/wasm_exec.js $(engine)/

package: wasm ## pack the JavaScript client with the engine into bin/
	client/web/package.sh bin .build

image: wasm ## write the image of the server as an OCI layout, into bin/release/image
	deploy/release/programs.sh $(version) server/cmd/rinktally $(engines)
	go -C deploy/release run ./image -version $(version) $(CURDIR)/$(released)/image $(patsubst linux/%,$(CURDIR)/$(released)/rinktally-linux-%,$(engines))

release: image ## and programs for every system, what they are made of, and checksums
	deploy/release/programs.sh $(version) server/cmd/rinktally $(others)
	deploy/release/programs.sh $(version) client/cmd/tally $(engines) $(others)
	rm -f $(released)/*.cdx.json
	for file in $(released)/*-*; do $(sbom) -version $(version) -output $$file.cdx.json $$file || exit 1; done
	cd $(released) && sha256sum *-* > SHA256SUMS

test: needs lint ## everything that must pass before a change lands
	$(MAKE) --jobs=2 plain apart race
	go -C deploy/checks test ./...
	go -C deploy/release test ./image

needs: ## install what the tests need beside Go: PostgreSQL, Chromium, axe-core, TypeScript
	deploy/test/install.sh

# Pages and whole servers wait much of their time, so two of these run at once. The pages
# are in the first, which takes longest; the second tests one package after another, and
# when it has ended the third begins.
plain:
	$(tests) $$(go list ./... | grep -vE '$(if $(detector),$(concurrent)|$(servers:.%=%)$$,^$$)')

apart:
	$(if $(detector),$(tests) -p 1 -run '$(apart)' $(haveApart))

race: ## tests of what runs concurrently, under the race detector
	$(if $(detector),CGO_ENABLED=1 $(tests) -race -skip '$(apart)' $(servers) $$(go list ./... | grep -E '$(concurrent)'),\
	  @echo "race: left out, the race detector needs a C compiler ($$(go env CC))")

lint: ## protos, their compatibility, generated files, Go
	$(buf) lint
	$(buf) format proto --path proto/rinktally --diff --exit-code
	$(breaking)
	BUF="$(buf)" deploy/lint/generated.sh
	GOOS=js GOARCH=wasm go vet ./client/web/offline
	$(tool) golangci-lint run --config deploy/lint/golangci.yml ./...

# The contract as last generated is kept. Against it a removed, renamed or
# retyped field is found here and in "make lint". To break the contract on
# purpose delete the file first, so that the change shows it.
generate: ## Go, OpenAPI and the JavaScript client from the protos
	$(if $(wildcard $(contract)),$(breaking))
	BUF="$(buf)" proto/generate.sh .
	$(image) $(contract) --exclude-source-info

speed: ## ratios that have a limit; on a machine that does nothing else
	deploy/speed.sh

vuln: ## known vulnerabilities in what the programs call
	deploy/lint/vulnerabilities.sh ./...
