#!/usr/bin/env bash
# Installs what is missing, builds the program, and checks the demo recording: an invented office
# building, simulated by the program itself (docs/user/demo.md).
#
# CW_JOBS=N  builds with N jobs instead of one a processor
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"

jobs=${CW_JOBS:-$(nproc)}
demo=build/release/demo
report=$demo/report.html
step() { printf '\n== %s\n' "$*"; }

step "1/4 tools and libraries"
tools/setup.sh build
if ! command -v npm >/dev/null; then
  tools/setup.sh page || echo "npm cannot be had here: the workbench gets a plain page"
fi

step "2/4 configure"
cmake --preset release

step "3/4 build the program and the demo recording ($jobs jobs)"
cmake --build --preset release -j "$jobs" --target coilwright demo_recording

step "4/4 coilwright check $demo --html $report"
status=0
build/release/coilwright check "$demo" --html "$report" || status=$?
echo
if [ "$status" -ne 0 ]; then
  echo "The demo did not run to its end: coilwright ended with status $status." >&2
  exit "$status"
fi
echo "The report: file://$PWD/$report"
echo "The program: $PWD/build/release/coilwright (try: build/release/coilwright check --help)"
