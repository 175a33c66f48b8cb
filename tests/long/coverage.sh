#!/bin/bash
# Line coverage of model, solver and io by the ordinary tests: bash tests/long/coverage.sh. Fails below 95 % in a room.
# The uncovered lines stand in build-coverage/coverage.txt.
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

least=95   # %
install_missing $build_packages $test_packages gcovr
build build-coverage Debug -DEVENHEAD_TESTS=ON -DCMAKE_CXX_FLAGS="--coverage -fprofile-update=atomic -O1"
find build-coverage \( -name "*.gcda" -o -path "*CompilerId*.gcno" \) -delete
# What the runtime of the coverage itself says must not stand among what the program says. A test that stops the
# program, or fills its disk, fails here for that reason alone: what fails is the business of tests/run.sh.
GCOV_ERROR_FILE=$PWD/build-coverage/gcov.log ctest --test-dir build-coverage --parallel "$(nproc)" --quiet \
    --output-log build-coverage/ctest.log || grep -A 20 'tests passed' build-coverage/ctest.log
low=0
for room in model solver io; do
    gcovr --root . --object-directory build-coverage --filter "$room/" --exclude-throw-branches \
        --txt "build-coverage/$room.txt" --fail-under-line $least build-coverage || low=1
    echo "$room: $(tail -2 "build-coverage/$room.txt" | head -1)"
done
exit $low
