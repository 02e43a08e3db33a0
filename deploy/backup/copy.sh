#!/bin/sh
# Makes a copy of a data folder while its server runs, checks it, and removes the oldest
# copies but for KEEP, 48 unless something else is said:
#
#     deploy/backup/copy.sh --data /var/lib/rinktally /var/backups/rinktally
#
# A copy is a data folder of its own, named by the time in UTC. PROGRAM is the program,
# when it is not found as "rinktally".
set -eu

program=${PROGRAM:-rinktally} keep=${KEEP:-48}
if [ $# -ne 3 ] || [ "$1" != --data ] || [ "$keep" -lt 1 ]; then
    echo "usage: [KEEP=COPIES, at least 1] $0 --data FOLDER COPIES" >&2
    exit 2
fi
copies=$3
name=$(date -u +%Y-%m-%dT%H-%M-%S)
part=$copies/.$name.part
trap 'rm -rf "$part"' EXIT

mkdir -p "$copies"
"$program" events backup "$part" --data "$2"
"$program" events verify --data "$part"
mv -T "$part" "$copies/$name"

# The names are in the order of time.
ls -1 "$copies" | grep -E '^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}-[0-9]{2}-[0-9]{2}$' | sort -r | tail -n "+$((keep + 1))" |
    while read -r old; do rm -rf "${copies:?}/$old"; done
