#!/usr/bin/env bash
# Writes what buf makes of the protos into a folder, from the top of the project.
# BUF is the command that starts buf.
#
# The engine as WebAssembly calls no network: left out of it are gRPC's transport,
# which would double its size, and the messages of events and of practice, which need
# a server. No
# plugin writes build constraints, so they are put in here.
set -euo pipefail
out=$1

$BUF generate --template proto/buf.gen.yaml --output "$out"
cd "$out/proto/rinktally/v1"
printf '%s\n' *_grpc.pb.go *.pb.gw.go copy*.pb.go event*.pb.go practice*.pb.go scoreboard*.pb.go | sort -u | xargs sed -i '1i //go:build !js\n'
