#!/bin/bash
# Fuzzes each target (case, csv, readings, balance) for so many minutes, one after the other, from the corpus in the
# repository. Finds stay in build-fuzz-long/finds; what a find teaches is kept in tests/regressions/TARGET.
#     bash tests/long/fuzz.sh [MINUTES] [TARGET...]      (default: 30 minutes, all targets)
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/fuzz/fuzz.sh

minutes=${1:-30}
shift || true
[ $# = 0 ] && set -- "${fuzz_targets[@]}"
fuzz_folder=build-fuzz-long   # optimised throughout: slower to build, twice as fast to run
build_fuzzers -DCMAKE_CXX_FLAGS=-O1
finds=0
for target in "$@"; do
    mkdir -p "$fuzz_folder/corpus/$target"   # what is new grows here, not in the repository
    echo "$target, $minutes min:"
    fuzz "$target" $((60 * minutes)) "$fuzz_folder/corpus/$target" -print_final_stats=1 || finds=1
done
echo "To take what is new into the repository, smallest inputs only:
  $fuzz_folder/tests/fuzz/fuzz_TARGET -merge=1 NEW_FOLDER tests/fuzz/corpus/TARGET $fuzz_folder/corpus/TARGET"
exit $finds
