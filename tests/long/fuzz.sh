#!/bin/bash
# Fuzzes each target (case, csv, readings, balance) for so many minutes, one after the other, from the corpus in the
# repository. Finds stay in build-fuzz/finds; what a find teaches is kept in tests/regressions/TARGET.
#     bash tests/long/fuzz.sh [MINUTES] [TARGET...]      (default: 30 minutes, all targets)
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/fuzz/fuzz.sh

minutes=${1:-30}
shift || true
[ $# = 0 ] && set -- "${fuzz_targets[@]}"
build_fuzzers
finds=0
for target in "$@"; do
    mkdir -p "build-fuzz/corpus/$target"   # what is new grows here, not in the repository
    echo "$target, $minutes min:"
    fuzz "$target" $((60 * minutes)) "build-fuzz/corpus/$target" -print_final_stats=1 || finds=1
done
echo "To take what is new into the repository, smallest inputs only:
  build-fuzz/tests/fuzz/fuzz_TARGET -merge=1 NEW_FOLDER tests/fuzz/corpus/TARGET build-fuzz/corpus/TARGET"
exit $finds
