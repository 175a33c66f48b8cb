#!/bin/bash
# clang-tidy over the product's source, by .clang-tidy: bash tests/long/tidy.sh [FILE...]
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

install_missing $build_packages $test_packages $clang_packages
configure build-tidy Debug -DCMAKE_CXX_COMPILER=clang++-14 -DEVENHEAD_TESTS=OFF >/dev/null
[ $# = 0 ] && mapfile -t files < <(find model solver io cli -name '*.cpp' | sort) || files=("$@")
printf '%s\n' "${files[@]}" | nice xargs -P "$(nproc)" -n 1 clang-tidy-14 -p build-tidy --quiet
echo "${#files[@]} files, nothing to say"
