#!/bin/sh
# Packs the npm package into a folder, from the top of the project after "make wasm":
# the modules, the engine as WebAssembly and the embedded seasons as it loads them.
set -eu
out=$1
staged=.build/package
built=$staged/offline/built

rm -rf "$staged"
mkdir -p "$built" "$out"
cp client/web/*.js client/web/*.d.ts client/web/package.json LICENSE "$staged"
cp client/web/offline/*.js client/web/offline/*.d.ts "$staged/offline"
cp .build/rinktally.wasm client/web/offline/built/wasm_exec.js "$built"
go run ./client/web/offline/tables "$built/seasons"
npm pack "./$staged" --pack-destination "$out" --silent
