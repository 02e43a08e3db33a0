#!/bin/sh
# Installs what the tests need beside Go on Debian and its relatives:
# PostgreSQL, which the tests start for themselves in a throw-away cluster, and
# Chromium for the pages. What is there already is left as it is.
set -eu

missing=
[ -n "$(ls -d /usr/lib/postgresql/*/bin/postgres 2>/dev/null)" ] || command -v postgres >/dev/null ||
  missing="$missing postgresql"
command -v chromium >/dev/null || command -v chromium-browser >/dev/null || command -v google-chrome >/dev/null ||
  missing="$missing chromium"
[ -n "$missing" ] || exit 0

if ! command -v apt-get >/dev/null; then
  echo "the tests need$missing: install with this system's package manager" >&2
  exit 1
fi
as_root=
if [ "$(id -u)" != 0 ]; then
  if ! command -v sudo >/dev/null; then
    echo "the tests need$missing: as root, run apt-get install$missing" >&2
    exit 1
  fi
  as_root=sudo
fi

# A cluster that the package starts by itself would only take memory; its
# configuration can say so before the package is there.
if [ ! -e /etc/postgresql-common/createcluster.conf ]; then
  $as_root mkdir -p /etc/postgresql-common
  echo "create_main_cluster = false" | $as_root tee /etc/postgresql-common/createcluster.conf >/dev/null
fi
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get -o DPkg::Lock::Timeout=300 update -q
# shellcheck disable=SC2086 # several names
$as_root apt-get -o DPkg::Lock::Timeout=300 install -q -y --no-install-recommends \
  -o Dpkg::Options::=--force-confold $missing
