#!/bin/bash
# Installs what is missing, builds everything with the address and undefined behaviour sanitizers, runs every test, what
# is parallel also under the thread sanitizer, and fuzzes each target for half a minute: bash tests/run.sh. With options
# of ctest (-R NAME) the tests only.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/fuzz/fuzz.sh

install_missing $build_packages $test_packages
build build-tests Debug -DEVENHEAD_SANITIZE=ON -DEVENHEAD_TESTS=ON -DCMAKE_CXX_FLAGS_DEBUG=-g1   # lines, no more
ctest --test-dir build-tests --parallel "$(nproc)" --output-on-failure "$@"
[ $# = 0 ] || exit 0

bash tests/threads/run.sh
build_fuzzers
new=$(mktemp -d)
trap 'rm -rf "$new"' EXIT
at_once=0
for target in "${fuzz_targets[@]}"; do
    mkdir "$new/$target"
    { fuzz "$target" 30 "$new/$target" || touch "$new/find"; } &
    at_once=$(((at_once + 1) % $(nproc)))
    [ $at_once != 0 ] || wait   # as many at once as the machine has cores
done
wait
[ ! -e "$new/find" ]
