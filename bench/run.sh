#!/bin/bash
# Installs what is missing, builds a release with the benchmarks, runs them, prints one table and writes
# build/bench.json: bash bench/run.sh [OPTION...]. The whole takes minutes; for a part of it
# --parts sizes,golf,city,reading,limit and --most-heads 24000; on a busy machine --clock processor.
set -euo pipefail
cd "$(dirname "$0")/.."
source cases/setup.sh

install_missing $build_packages libbenchmark-dev libsundials-dev libsuitesparse-dev
build build-bench Release -DEVENHEAD_TESTS=OFF -DEVENHEAD_BENCH=ON >&2
commit=$(git rev-parse HEAD 2>/dev/null || echo unknown)
git diff --quiet HEAD 2>/dev/null || commit="$commit with changes"
exec build-bench/bench/bench_evenhead --json build/bench.json --commit "$commit" "$@"
