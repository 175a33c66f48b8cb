#!/bin/bash
# Draws cases with numbers at the edge of what can be built and gives them to `check`: every run closes, in few linear
# solves. Two shares of such numbers; fails where a bar is missed.
#     bash tests/long/edges.sh [COUNT]      (default: 10,000 cases of each)
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release evenhead >&2
program=$PWD/build-long/evenhead
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd tests
for edge in 0.1 0.3; do
    python3 -B -m edges.closes "$program" "$folder" --from 1001 --count "${1:-10000}" --edge $edge
done
