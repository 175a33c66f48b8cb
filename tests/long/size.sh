#!/bin/bash
# Sizes the published looped problems with the program's own budget, and holds cost and gap to their bars.
#     bash tests/long/size.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release evenhead >&2
for case in tests/sizing/*/case.toml; do
    /usr/bin/python3 tests/sizing/check.py build-long/evenhead "$(dirname "$case")" --long
done
