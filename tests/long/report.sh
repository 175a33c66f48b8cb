#!/bin/bash
# How fast reports of large systems open and pan in headless Chromium: 3,500 heads with a valve each (first paint within
# 2 s, a pan frame within 50 ms), 20,000 heads in zones (open within 10 s). Prints what was measured; fails where a bar is
# not met.
#     bash tests/long/report.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
source cases/setup.sh

install_missing $build_packages $test_packages
configure build Release -DEVENHEAD_TESTS=OFF >&2
compile build evenhead >&2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
export PYTHONPATH=tests PYTHONDONTWRITEBYTECODE=1
/usr/bin/python3 -m report.big_case "$folder/golf.toml" 3500 --golf
/usr/bin/python3 -m report.big_case "$folder/park.toml" 20000
for name in golf park; do
    status=0
    build/evenhead report "$folder/$name.toml" -o "$folder/$name.html" || status=$?
    [ $status -le 1 ]
done
/usr/bin/python3 -m report.speed "$folder/golf.html" --first-paint 2 --frame 50
/usr/bin/python3 -m report.speed "$folder/park.html" --loaded 10
