#!/bin/bash
# The workbooks of the shipped cases and of generated ones, computed anew by LibreOffice: its numbers against ours.
#     bash tests/long/workbook.sh [--generated COUNT]
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/long/build.sh

install_missing libreoffice-calc
build_release evenhead >&2
export PYTHONPATH=tests PYTHONDONTWRITEBYTECODE=1
exec /usr/bin/python3 -m workbook.spreadsheet build-long/evenhead build-long/workbook cases/*/case.toml "$@"
