#!/bin/bash
# Installs what is missing, builds the program, and does its main job on a shipped case: bash cases/demo.sh [CASE]
set -euo pipefail
cd "$(dirname "$0")/.."
source cases/setup.sh

install_missing $build_packages
build build Release -DEVENHEAD_TESTS=OFF >&2

case=${1:-cases/contractor-layout/case.toml}
echo
echo "\$ build/evenhead check $case"
status=0
build/evenhead check "$case" || status=$?
echo
echo "\$ build/evenhead worksheet $case"
build/evenhead worksheet "$case" || true
echo
echo "Exit status of check: $status (0 within limits, 1 outside, 2 the input is wrong, 3 no solution proven)."
echo "What to look at: ${case%/*}/README.md. More systems: cases/*/."
# Outside limits is what this layout is here to show; a wrong input or an unsolved run is a failure of the demo.
[ "$status" -le 1 ]
