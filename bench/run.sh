#!/bin/bash
# Installs what is missing, builds a release with the benchmarks, and runs them: bash bench/run.sh [BENCHMARK OPTION...]
set -euo pipefail
cd "$(dirname "$0")/.."
source cases/setup.sh

install_missing $build_packages libbenchmark-dev
build build-bench Release -DEVENHEAD_TESTS=OFF -DEVENHEAD_BENCH=ON >&2
exec build-bench/bench/bench_balance "$@"
