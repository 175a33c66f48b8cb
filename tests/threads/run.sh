#!/bin/bash
# Everything that runs in parallel, under the thread sanitizer: bash tests/threads/run.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

install_missing $build_packages $test_packages
cmake -S . -B build-threads -G Ninja -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DEVENHEAD_TESTS=ON \
    -DEVENHEAD_SANITIZE=thread
cmake --build build-threads --parallel "$(nproc)" --target threads
exec build-threads/tests/threads/threads
