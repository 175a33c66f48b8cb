#!/bin/bash
# Solves 2,000 generated systems of up to 60 heads a second time with KINSOL, and compares the pressures of all heads.
#     bash tests/long/agree.sh [--from SEED] [--count COUNT] [--heads MOST]
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release agree >&2
exec nice -n 19 build-long/tests/agreement/agree "$@"
