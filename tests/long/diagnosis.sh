#!/bin/bash
# Plants a fault at every place of three shipped systems, simulates readings, asks the diagnosis, and counts how often
# the leading group holds what was planted. Fails where a bar is missed.
#     bash tests/long/diagnosis.sh [--cases COUNT] [--seed SEED] [--readings COUNT] [--list]
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

build_release long_diagnosis >&2
exec nice -n 19 build-long/tests/long/long_diagnosis cases/old-commercial/case.toml cases/contractor-layout/case.toml \
    cases/corner-garden/case.toml "$@"
