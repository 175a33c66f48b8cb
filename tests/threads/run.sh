#!/bin/bash
# Everything that runs in parallel, under the thread sanitizer: bash tests/threads/run.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

install_missing $build_packages $test_packages
configure build-threads Debug -DEVENHEAD_TESTS=ON -DEVENHEAD_SANITIZE=thread
compile build-threads threads
exec build-threads/tests/threads/threads
