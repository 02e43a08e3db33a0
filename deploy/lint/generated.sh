#!/usr/bin/env bash
# Checks that the generated files, and no others, are what the protos give. Run
# from the top of the project; BUF is the command that starts buf.
set -euo pipefail

fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
proto/generate.sh "$fresh"
$BUF build proto --path proto/rinktally --exclude-source-info --output "$fresh/proto/contract.binpb"

files() { (cd "$1" && find proto client -name '*.pb.go' -o -name '*.pb.gw.go' -o -name 'openapi.json' -o -name '*.binpb' -o -name 'contract.*s' -o -name calls.go) | sort; }

stale=0
while read -r file; do
  if ! cmp -s "$fresh/$file" "$file"; then
    echo "$file is not what the protos give" >&2
    stale=1
  fi
done < <({ files "$fresh"; files .; } | sort -u)
if [ "$stale" = 1 ]; then
  echo 'run "make generate" and commit the result' >&2
  exit 1
fi
