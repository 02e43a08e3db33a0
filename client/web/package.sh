#!/bin/sh
# Packs the npm package into a folder, from the top of the project: the modules, the
# engine as build.sh left it in the second folder, and the embedded seasons as the engine
# loads them.
set -eu
out=$1
from=$2
staged=$from/package
built=$staged/offline/built

rm -rf "$staged"
mkdir -p "$built" "$out"
cp client/web/*.js client/web/*.d.ts client/web/package.json client/web/README.md LICENSE "$staged"
cp client/web/offline/*.js client/web/offline/*.d.ts "$staged/offline"
cp "$from/rinktally.wasm" "$from/wasm_exec.js" "$built"
go run ./client/web/offline/tables "$built/seasons"
npm pack "$staged" --pack-destination "$out" --silent
