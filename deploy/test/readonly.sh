#!/bin/sh
# Lets the system make the disk of a running server read-only, as it does when a disk
# fails, and looks at what the server answers then and after a repair. Then the same
# with files that may not be changed any more, and may again, without a restart.
# As root on Linux with loop devices, with e2fsprogs, curl and jq, from the top of the
# project:
#
#     go build -o bin/ ./server/cmd/rinktally && deploy/test/readonly.sh
set -eu

if [ $# = 0 ]; then
  exec unshare --net --mount --mount-proc --pid --fork --kill-child "$0" bin/rinktally
fi
program=$(realpath "$1")
# All that is mounted here, and all that still runs, ends with the name spaces.
scratch=/mnt
mount -t tmpfs tmpfs "$scratch"
disk=$scratch/disk
at=http://127.0.0.1:7080
mkdir "$disk"
ip link set lo up

fail() {
  echo "$*" >&2
  cat "$scratch/answer" "$scratch/log" >&2 2>/dev/null || true
  exit 1
}

# attach mounts the disk, so that a fault makes it read-only.
attach() {
  mount --options loop,errors=remount-ro "$scratch/image" "$disk"
  device=$(findmnt --noheadings --output SOURCE "$disk")
}

# serve starts the server and waits until it answers, for half a minute.
serve() {
  "$program" serve --data "$disk/data" >"$scratch/log" 2>&1 &
  server=$!
  curl --silent --fail --retry 30 --retry-delay 1 --retry-all-errors --output "$scratch/answer" "$at/readyz" || fail "the server does not start"
}

# call STATUS PATH [BODY [METHOD]] makes a call that must be answered with a status.
call() {
  wanted=$1
  if [ $# -gt 2 ]; then
    status=$(curl --silent --output "$scratch/answer" --write-out '%{http_code}' --request "${4:-POST}" \
      --header "Authorization: Bearer $token" --header 'Content-Type: application/json' --data "$3" "$at$2")
  else
    status=$(curl --silent --output "$scratch/answer" --write-out '%{http_code}' "$at$2")
  fi
  [ "$status" = "$wanted" ] || fail "$2 ${3:-} is answered with $status, want $wanted"
}

enter() { call "$1" /v1/events/small-cup/entries "{\"category\": \"senior-women\", \"name\": \"$2\", \"requestId\": \"$2\"}"; }

# entries NUMBER: so many can be read.
entries() {
  call 200 /v1/events/small-cup/entries
  [ "$(jq '.entries | length' "$scratch/answer")" = "$1" ] || fail "want $1 entries"
}

# refusing NUMBER: nothing can be written, with words that say why, and so many entries
# and all else can be read.
refusing() {
  enter 429 Bea
  enter 429 Cleo
  [ "$(jq --raw-output '.details[0].reason' "$scratch/answer")" = STORE_FULL ] || fail "want STORE_FULL"
  jq --raw-output '.message' "$scratch/answer" | grep --quiet 'read-only' || fail "it does not say what can be wrong"
  entries "$1"
  call 200 /v1/events/small-cup/scoreboard
  call 200 /v1/seasons/2025-26
}

truncate --size 64M "$scratch/image"
mkfs.ext4 -q "$scratch/image"
attach
token=$("$program" token create --role admin --data "$disk/data")
serve
call 200 /v1/events '{"event": "small-cup", "name": "Small Cup", "startDate": "2026-03-14", "season": "2025-26"}'
call 200 /v1/events/small-cup/categories/senior-women '{}' PUT
enter 200 Ada

# Linux refuses to mount read-only what has a file open for writing.
! mount --options remount,ro "$disk" 2>/dev/null || fail "the disk is read-only by request"

chattr +i "$disk"/data/*
refusing 1
chattr -i "$disk"/data/*
enter 200 Anouk
entries 2
echo "files that may not be changed: refused, read, and written again without a restart"

echo fault >"/sys/fs/ext4/${device#/dev/}/trigger_fs_error"
refusing 2
call 200 /readyz
jq --raw-output '.checks[] | select(.name == "store").detail' "$scratch/answer" | grep 'read-only' || fail "/readyz does not say it"
kill -KILL "$server"
wait "$server" || true
umount "$disk"
e2fsck -p "$scratch/image" >"$scratch/checked" || [ $? -le 2 ] || fail "$(cat "$scratch/checked")"
attach
serve
entries 2
enter 200 Cleo
entries 3
kill "$server"
wait "$server"
"$program" events verify --data "$disk/data"
echo "a disk that the system has made read-only: refused, read, and whole after the repair"
