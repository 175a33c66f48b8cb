#!/bin/bash
# Installs what is missing, builds everything with the address and undefined behaviour sanitizers, and runs every
# test: bash tests/run.sh [CTEST OPTION...]
set -euo pipefail
cd "$(dirname "$0")/.."
source cases/setup.sh

install_missing $build_packages $test_packages
build build-tests Debug -DEVENHEAD_SANITIZE=ON -DEVENHEAD_TESTS=ON
exec ctest --test-dir build-tests --parallel "$(nproc)" --output-on-failure "$@"
