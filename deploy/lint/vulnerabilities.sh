#!/usr/bin/env bash
# Looks for known vulnerabilities in what the programs call. The advisories come
# as a pinned Go module, so this works wherever modules can be fetched; it knows
# nothing that is newer than that pin. Go's own library is looked at as the toolchain
# of go.mod has it, with which releases are built.
# Run from the top of the project; arguments are packages.
set -euo pipefail
export GOTOOLCHAIN=auto

tools=deploy/tools/vuln/go.mod
go mod verify

read -r version dir < <(go mod download -modfile="$tools" -json golang.org/x/vulndb |
  sed -n -e 's/^\t"Version": "\(.*\)",$/\1/p' -e 's/^\t"Dir": "\(.*\)",$/\1/p' | paste -sd' ')
advisories=.build/vulndb-$version
if [ ! -d "$advisories" ]; then
  mkdir -p .build
  go tool -modfile="$tools" indexdb -vulns "$dir/data/osv" -out "$advisories.part"
  mv "$advisories.part" "$advisories"
fi
echo "advisories: golang.org/x/vulndb $version"

report=$(mktemp)
trap 'rm -f "$report"' EXIT
status=0
go tool -modfile="$tools" govulncheck -db "file://$PWD/$advisories" "${@:-./...}" >"$report" 2>&1 || status=$?
# Leave out the call chains: there are dozens for each finding.
grep -vE '^ +(#[0-9]+:|Example traces)' "$report"
case $status in
0) ;;
3)
  echo 'known vulnerabilities: update the modules above, or for the standard library the toolchain in go.mod and deploy/Dockerfile' >&2
  exit 1 ;;
*) exit "$status" ;;
esac
