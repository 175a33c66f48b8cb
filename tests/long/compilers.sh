#!/bin/bash
# Builds the program with g++ and with clang++, and compares their answers on the shipped cases and 300 generated ones to
# 1e-9; prints the largest difference.
#     bash tests/long/compilers.sh [COUNT]
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

install_missing $build_packages $test_packages $clang_packages
for compiler in g++ clang++-14; do
    configure "build-$compiler" Release -DCMAKE_CXX_COMPILER="$compiler" -DEVENHEAD_TESTS=OFF >&2
    compile "build-$compiler" evenhead >&2
done
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
PYTHONPATH=tests PYTHONDONTWRITEBYTECODE=1 nice -n 19 /usr/bin/python3 -m same.compilers build-g++/evenhead \
    build-clang++-14/evenhead "$folder" cases/*/case.toml --generated "${1:-300}"
