#!/bin/sh
# Starts the image of "make image" as an engine would, without one: it is pushed to a
# registry and fetched from there, its file system is read only but for the volume, and
# the program runs as the image's user, without any right, in name spaces of its own.
# As root on Linux, with curl and jq, from the top of the project:
#
#     make image && deploy/release/try.sh
set -eu

if [ $# = 0 ]; then
  crane=$(go tool -modfile=deploy/release/go.mod -n crane)
  exec unshare --net --mount --mount-proc --pid --fork --kill-child "$0" "$crane" "$(go env GOARCH)"
fi
crane=$1 platform=linux/$2
layout=bin/release/image
# All that is mounted here, and all that still runs, ends with the name spaces.
scratch=/mnt
root=$scratch/root volume=$scratch/volume
mount -t tmpfs tmpfs "$scratch"
mkdir "$root" "$volume"

fail() {
  echo "$*" >&2
  cat "$scratch/said" "$scratch/log" >&2 2>/dev/null || true
  exit 1
}

# await URL waits until an address answers, for half a minute.
await() {
  curl --silent --fail --retry 30 --retry-delay 1 --retry-all-errors --output "$scratch/answer" "$1" || fail "$1 does not answer"
}

ip link set lo up
"$crane" registry serve --address 127.0.0.1:5000 >"$scratch/registry" 2>&1 &
await http://127.0.0.1:5000/v2/
name=127.0.0.1:5000/rinktally:try
pushed=$("$crane" push --index "$layout" "$name")
[ "$pushed" = "127.0.0.1:5000/rinktally@$("$crane" digest "$name")" ] || fail "the registry has another digest than $pushed"
"$crane" validate --remote "$name"
"$crane" config --platform "$platform" "$name" >"$scratch/config.json"
"$crane" export --platform "$platform" "$name" - | tar --extract --preserve-permissions --same-owner --directory "$root"
config() { jq --raw-output "$1" "$scratch/config.json"; }

# What an engine adds: the volume, which begins as the image has it, and /proc.
chown --reference "$root/data" "$volume"
chmod --reference "$root/data" "$volume"
mkdir "$root/proc"
mount --bind "$root" "$root"
mount --bind "$volume" "$root/data"
mount -t proc proc "$root/proc"
mount --options remount,bind,ro "$root"

# image COMMAND... becomes a program of the image.
image() {
  # shellcheck disable=SC2046 # a variable a word
  exec env --ignore-environment $(config '.config.Env[]') \
    "$(command -v setpriv)" --no-new-privs "$(command -v chroot)" --userspec="$(config .config.User)" "$root" "$@"
}
start() {
  # shellcheck disable=SC2046
  (image $(config '(.config.Entrypoint + .config.Cmd)[]')) >"$scratch/said" 2>"$scratch/log" &
  server=$!
  await http://127.0.0.1:7080/readyz
  cat "$scratch/answer"
  # shellcheck disable=SC2046
  (image $(config '.config.Healthcheck.Test[1:][]')) || fail "the check of health fails"
}
stop() {
  kill "$server"
  wait "$server" || fail "the server ended with $?"
}

start
grep -E '^(Uid|Gid|Groups|CapEff|CapPrm|NoNewPrivs)' "/proc/$server/status"
grep -qE '^CapPrm:\s0+$' "/proc/$server/status" || fail "it has rights"
token=$(grep -oE 'rt__[A-Za-z0-9_-]+' "$scratch/said" | head -1)
curl --silent --fail --header "Authorization: Bearer $token" http://127.0.0.1:7080/v1/events \
  --data '{"event":"try-cup","name":"Try Cup","startDate":"2026-03-14","season":"2025-26"}' >"$scratch/made" || fail "no event can be made"
stop
start # on the same volume
curl --silent --fail http://127.0.0.1:7080/v1/events/try-cup | jq --exit-status '.event.name == "Try Cup"' >"$scratch/answer" || fail "the event is lost"
touch "$root/written" 2>/dev/null && fail "its file system can be written to"
stop
echo "the image $pushed starts, keeps what it is given, and stops"
