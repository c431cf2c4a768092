#!/usr/bin/env bash
# Builds the fuzz targets with clang and runs each for a while over its part of tests/fuzz/corpus,
# as many at a time as there are processors. What is found is left in build/fuzz/found, and the
# exit code is 1. Nothing is added to the corpus.
#
#   tests/fuzz/run.sh [SECONDS] [TARGET...]     default: 60 s for each of them
set -euo pipefail
cd "$(dirname "$0")/../.."
export seconds=${1:-60}
shift $(($# > 0 ? 1 : 0))
targets=("$@")
if [ ${#targets[@]} -eq 0 ]; then
  targets=(fluid_fuzz ingest_text_fuzz ingest_zinc_fuzz ingest_workbook_fuzz ingest_gzip_fuzz
    ingest_map_fuzz ingest_stored_fuzz typed_fuzz)
fi
cmake --preset fuzz >/dev/null
# CMake says no target is there when clang or its engine is missing: tools/setup.sh fuzz.
cmake --build --preset fuzz --target "${targets[@]}"
mkdir -p build/fuzz/found

run_one() {
  local target=$1 name seeds=() status=0
  name=${target#ingest_}
  name=${name%_fuzz}
  local work=build/fuzz/corpus/$name log=build/fuzz/$target.log
  mkdir -p "$work"
  [ -d "tests/fuzz/corpus/$name" ] && seeds=("tests/fuzz/corpus/$name")
  "build/fuzz/tests/fuzz/$target" -max_total_time="$seconds" -rss_limit_mb=2048 -timeout=25 \
    -max_len=8192 -print_final_stats=1 -verbosity=0 -artifact_prefix=build/fuzz/found/"$target"- \
    "$work" ${seeds[@]+"${seeds[@]}"} >"$log" 2>&1 || status=$?
  # In one piece, as another target writes at the same time.
  if [ "$status" -eq 0 ]; then
    printf '== %s: %s s, %s inputs, nothing found\n' "$target" "$seconds" \
      "$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")"
  else
    printf '== %s: FOUND SOMETHING (exit code %s)\n%s\n' "$target" "$status" "$(tail -n 60 "$log")"
  fi
  return "$status"
}
export -f run_one

printf '%s\n' "${targets[@]}" |
  xargs -P "${CW_JOBS:-$(nproc)}" -I{} bash -c 'run_one {} || exit 1' || {
  echo "Fuzzing found something: build/fuzz/found has the inputs."
  exit 1
}
