#!/usr/bin/env bash
# Installs what is missing, builds, and runs every test.
#
#   ./test.sh [CTEST ARGUMENT...]        for example: ./test.sh -R unit_text
#
# CI=true        uses the preset ci (warnings are errors)
# CW_PRESET=...  uses that preset (asan, tsan, ...)
# CW_JOBS=N      builds and tests with N jobs instead of one a processor
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"

preset=dev
if [ "${CI:-}" = true ]; then preset=ci; fi
preset=${CW_PRESET:-$preset}
jobs=${CW_JOBS:-$(nproc)}
step() { printf '\n== %s\n' "$*"; }

step "1/4 tools and libraries"
tools/setup.sh build test
tools/setup.sh page browser ||
  echo "Not all of it can be had here: the workbench gets a plain page, or its browser tests are skipped"

step "2/4 configure (preset $preset)"
cmake --preset "$preset"

step "3/4 build (build/$preset, $jobs jobs)"
cmake --build --preset "$preset" -j "$jobs"

step "4/4 tests"
results=build/$preset/tests.xml
rm -f "$results"
status=0
ctest --preset "$preset" -j "$jobs" --output-junit "$PWD/$results" "$@" || status=$?

skipped=0
if [ -f "$results" ]; then
  summary=$(tools/skipped_tests.sh "$results")
  skipped=${summary##*$'\n'}
  if [ "$skipped" -gt 0 ]; then
    printf '\nSkipped:\n%s\n' "${summary%$'\n'*}"
  fi
fi
echo
if [ "$status" -ne 0 ]; then
  echo "TESTS FAILED (preset $preset, $skipped skipped). What failed is listed above."
  exit "$status"
fi
echo "All tests that ran passed (preset $preset, $skipped skipped)."
