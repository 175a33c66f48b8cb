#!/bin/bash
# Every bad case of tests/bad/, and the shipped cases cut off and spoilt at hundreds of places: each ends within 1 s and
# 500 MB in a release build, with an exit status of the program's own. Prints the worst.
#     bash tests/long/bad_input.sh [--spoilt COUNT] [--seed SEED]
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release evenhead >&2
exec python3 -B tests/long/bad_input.py build-long/evenhead "$@"
