#!/bin/sh
# Builds the engine as WebAssembly into a folder, from the top of the project, and
# copies what the compiler has beside it in JavaScript: both belong together.
# Inlining outside of the runtime would make it a tenth larger and hardly faster.
set -eu
out=$1

mkdir -p "$out"
GOOS=js GOARCH=wasm CGO_ENABLED=0 go build -trimpath -ldflags '-s -w' -gcflags all=-l -gcflags runtime= -gcflags internal/runtime/...= \
  -o "$out/rinktally.wasm" ./client/web/offline
cp "$(go env GOROOT)/lib/wasm/wasm_exec.js" "$out/"
