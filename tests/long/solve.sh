#!/bin/bash
# Balances 100,000 generated systems of 1 to 300 heads and 200 of 10,000 in two threads, judges every answer, and prints
# how many linear solves they took. Fails where a bar is missed.
#     bash tests/long/solve.sh [--from SEED] [--small COUNT] [--large COUNT] [--threads COUNT]
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release long_solve >&2
exec nice -n 19 build-long/tests/long/long_solve "$@"
