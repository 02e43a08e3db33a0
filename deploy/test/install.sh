#!/bin/sh
# Installs what the tests need beside Go on Debian and its relatives:
# PostgreSQL, which the tests start for themselves in a throw-away cluster; for the
# pages Chromium and axe-core, which looks for barriers for people with
# disabilities; systemd-analyze and promtool, which read what operators install; and
# TypeScript with what makes types of the OpenAPI document. What is there already is left as it is.
set -eu
cd "$(dirname "$0")/../.."

# prepare PACKAGES lets apt-get be used for them.
prepare() {
  if ! command -v apt-get >/dev/null; then
    echo "the tests need $*: install with this system's package manager" >&2
    exit 1
  fi
  as_root=
  if [ "$(id -u)" != 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "the tests need $*: as root, run apt-get install $*" >&2
      exit 1
    fi
    as_root=sudo
  fi
}

install_packages() {
  prepare "$@"
  # A cluster that the package starts by itself would only take memory; its
  # configuration can say so before the package is there.
  if [ ! -e /etc/postgresql-common/createcluster.conf ]; then
    $as_root mkdir -p /etc/postgresql-common
    echo "create_main_cluster = false" | $as_root tee /etc/postgresql-common/createcluster.conf >/dev/null
  fi
  export DEBIAN_FRONTEND=noninteractive
  $as_root apt-get -o DPkg::Lock::Timeout=300 update -q
  $as_root apt-get -o DPkg::Lock::Timeout=300 install -q -y --no-install-recommends \
    -o Dpkg::Options::=--force-confold "$@"
}

set --
[ -n "$(ls -d /usr/lib/postgresql/*/bin/postgres 2>/dev/null)" ] || command -v postgres >/dev/null ||
  set -- "$@" postgresql
# Debian has Chromium without windows too, in which most pages are opened; elsewhere the
# tests do without it.
if ! command -v chromium >/dev/null && ! command -v chromium-browser >/dev/null && ! command -v google-chrome >/dev/null; then
  set -- "$@" chromium chromium-headless-shell
elif dpkg -s chromium >/dev/null 2>&1 && ! command -v chromium-headless-shell >/dev/null; then
  set -- "$@" chromium-headless-shell
fi
command -v systemd-analyze >/dev/null || set -- "$@" systemd
command -v npm >/dev/null && command -v node >/dev/null || set -- "$@" npm
[ $# = 0 ] || install_packages "$@"

# Of the package only this program, not the server that it starts.
if ! command -v promtool >/dev/null && [ ! -x .build/promtool ]; then
  unpacked=$(mktemp -d)
  (
    cd "$unpacked"
    apt-get download -q prometheus || { prepare prometheus && $as_root apt-get update -q && apt-get download -q prometheus; }
    dpkg-deb --extract prometheus_*.deb .
  )
  mkdir -p .build
  mv "$unpacked/usr/bin/promtool" .build/
  rm -rf "$unpacked"
fi

# The tests read .build/npm/node_modules. Nothing runs while it is installed.
if ! cmp -s deploy/test/package-lock.json .build/npm/package-lock.json; then
  rm -rf .build/npm
  mkdir -p .build/npm
  cp deploy/test/package.json deploy/test/package-lock.json .build/npm/
  (cd .build/npm && npm ci --ignore-scripts --no-audit --no-fund --silent) || { rm -rf .build/npm; exit 1; }
fi
