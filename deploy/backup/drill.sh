#!/bin/sh
# Rehearses the loss of a server: makes a copy of what it keeps, brings the copy back
# into an empty folder by the one command that would be used, and starts a server on
# it. The server that is copied may run meanwhile; nothing of it is changed.
#
#     deploy/backup/drill.sh --data spring-cup
#     deploy/backup/drill.sh --store postgres://rinktally@db.example.org/rinktally
#
# PROGRAM is the program, when it is not found as "rinktally".
set -eu

program=${PROGRAM:-rinktally}
if [ $# -ne 2 ] || { [ "$1" != --data ] && [ "$1" != --store ]; }; then
    echo "usage: $0 --data FOLDER | --store URL" >&2
    exit 2
fi

scratch=$(mktemp -d)
server=
trap 'if [ -n "$server" ]; then kill "$server" 2>/dev/null || true; fi; rm -rf "$scratch"' EXIT

if [ "$1" = --data ]; then
    copy=$scratch/copy
    "$program" events backup "$copy" "$1" "$2"
else
    copy=$scratch/copy.jsonl
    "$program" events export --tokens --out "$copy" "$1" "$2"
fi

"$program" events restore "$copy" --data "$scratch/restored"

# What verify prints of an event is the same wherever all of it is.
if [ -d "$copy" ]; then
    "$program" events verify --data "$copy" > "$scratch/was"
    "$program" events verify --data "$scratch/restored" > "$scratch/is"
    diff "$scratch/was" "$scratch/is"
fi

"$program" serve --data "$scratch/restored" --grpc-addr 127.0.0.1:0 --http-addr 127.0.0.1:0 \
    > "$scratch/said" 2> "$scratch/log" &
server=$!
tries=0
until grep -q 'pages and REST' "$scratch/said"; do
    tries=$((tries + 1))
    if [ "$tries" -gt 300 ] || ! kill -0 "$server" 2>/dev/null; then
        echo "the restored server does not start:" >&2
        cat "$scratch/log" >&2
        exit 1
    fi
    sleep 0.1
done
if grep -q 'the log of an event is damaged' "$scratch/log"; then
    cat "$scratch/log" >&2
    exit 1
fi
echo "the drill went well: a server runs on what was restored"
