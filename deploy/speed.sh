#!/bin/sh
# Measures what has a limit, each as a ratio in one run, and prints a table of them; a
# figure over its limit is marked. Run it on a machine that does nothing else:
#   make speed
set -eu
cd "$(dirname "$0")/.."
out=$(mktemp)
trap 'rm -f "$out"' EXIT
bench() { # a package, what to run, and how often
	go test "./$1" -run - -bench "$2" -benchtime "$3" | tee -a "$out" >&2
}
bench rules/score OfPlain 1000x
bench rules/level Call 1000x
bench server/scoring 'Levels|Batch' 300x
bench integration/deploy Ready 15x
bench integration/deploy ScoreSegment 50000x
bench server/live Bytes 1x
bench integration/events FanOut/sse 100x

# The figure before a unit in the line of a benchmark.
figure() {
	awk -v name="^Benchmark$1-" -v unit="$2" '$1 ~ name { for (i = 3; i <= NF; i++) if ($i == unit) print $(i - 1) }' "$out"
}
row() { # words, figure, "least" or "most", limit
	awk -v words="$1" -v is="$2" -v what="$3" -v limit="$4" 'BEGIN {
		over = is == "" || (what == "least" ? is < limit : is > limit)
		printf "%-64s %8.2f  at %s %s%s\n", words, is, what, limit, over ? "  OVER" : ""
	}'
}
row "a whole segment, of plain whole numbers (processor)" "$(figure OfPlain of-plain-cpu)" most 8
row "a spin of level 4, of a whole segment (processor)" "$(figure Levels/level-4 of-segment-cpu)" most 1
row "a spin and what would bring the next level (processor)" "$(figure Levels/level-3-and-the-next of-segment-cpu)" most 5
row "the same, allocations" "$(figure Call/level_3_and_the_next allocs/op)" most 100
row "a segment of a batch, of the engine alone (processor)" "$(figure Batch of-engine-cpu)" most 3
row "ScoreSegment, of a bare echo, 8 callers" "$(figure ScoreSegment/gRPC/callers=8 of-plain)" least 0.9
row "ScoreSegment, of a bare echo, 64 callers" "$(figure ScoreSegment/gRPC/callers=64 of-plain)" least 0.9
row "ScoreSegment over REST, of net/http and protojson, 8 callers" "$(figure ScoreSegment/REST/callers=8 of-plain)" least 0.9
row "ScoreSegment over REST, of net/http and protojson, 64 callers" "$(figure ScoreSegment/REST/callers=64 of-plain)" least 0.9
row "ready, of a bare server with the same libraries (processor)" "$(figure Ready of-bare-cpu)" most 2
row "ready, memory in MiB" "$(figure Ready MiB)" most 50
row "a mark to the last of 2,000 watchers over SSE, of a bare loop" "$(figure FanOut/sse-2000 of-bare-loop)" most 1.4
row "the same to the last of 9,900" "$(figure FanOut/sse-9900 of-bare-loop)" most 1.5
row "bytes of a mark to a watcher of changes, of whole boards" "$(figure Bytes of-whole)" most 0.25
