#!/usr/bin/env bash
# tools/tidy.sh BUILD-FOLDER [FILE...]   clang-tidy-19 by .clang-tidy; without files: all of src/ but the tests
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

build=${1:?usage: tools/tidy.sh BUILD-FOLDER [FILE...]}
shift
if [ ! -f "$build/compile_commands.json" ]; then
  echo "tidy: $build/compile_commands.json is not there: configure first, for example by make" >&2
  exit 1
fi
if [ $# -gt 0 ]; then
  files=("$@")
else
  # Only what this build folder compiles: a module that is switched off has no commands to read.
  mapfile -t files < <(find src -name '*.cc' ! -name '*_test.cc' | sort | while read -r file; do
    ! grep -q "\"file\": \"$PWD/$file\"" "$build/compile_commands.json" || echo "$file"
  done)
fi
printf '%s\n' "${files[@]}" |
  xargs -P "${CW_JOBS:-$(nproc)}" -n 1 clang-tidy-19 -p "$build" --quiet --warnings-as-errors='*'
echo "tidy: ${#files[@]} files are clean"
