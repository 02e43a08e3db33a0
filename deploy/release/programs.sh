#!/bin/sh
# Builds programs of a release into bin/release, from the top of the project after
# "make wasm": programs.sh VERSION PACKAGE PLATFORM..., a platform being linux/amd64 or
# the like. They are static, made by the toolchain that go.mod names, and the same source
# makes the same bytes.
set -eu
export GOTOOLCHAIN=auto
version=$1 package=$2
shift 2
name=$(basename "$package")

mkdir -p bin/release
for platform; do
  system=${platform%/*} processor=${platform#*/}
  file=bin/release/$name-$system-$processor
  [ "$system" != windows ] || file=$file.exe
  echo "$file" >&2
  CGO_ENABLED=0 GOOS=$system GOARCH=$processor \
    go build -trimpath -buildvcs=auto -ldflags "-s -w -X main.release=$version" -o "$file" "./$package"
done
