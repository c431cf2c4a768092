#!/usr/bin/env bash
# Builds the fuzz targets with clang and runs each for a while over its part of tests/fuzz/corpus.
# What is found is left in build/fuzz/found. Nothing is added to the corpus.
#
#   tests/fuzz/run.sh [SECONDS] [TARGET...]     default: 60 s for all of them together
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-0}
shift $(($# > 0 ? 1 : 0))
targets=("$@")
if [ ${#targets[@]} -eq 0 ]; then
  targets=(fluid_fuzz ingest_text_fuzz ingest_zinc_fuzz ingest_workbook_fuzz ingest_gzip_fuzz
    ingest_map_fuzz ingest_stored_fuzz)
fi
[ "$seconds" -gt 0 ] || seconds=$((60 / ${#targets[@]}))
cmake --preset fuzz >/dev/null
# CMake says no target is there when clang or its engine is missing: tools/setup.sh fuzz.
cmake --build --preset fuzz --target "${targets[@]}"
mkdir -p build/fuzz/found
for target in "${targets[@]}"; do
  name=${target#ingest_}
  name=${name%_fuzz}
  work=build/fuzz/corpus/$name
  mkdir -p "$work"
  seeds=()
  [ -d "tests/fuzz/corpus/$name" ] && seeds=("tests/fuzz/corpus/$name")
  echo "== $target: $seconds s"
  "build/fuzz/tests/fuzz/$target" -max_total_time="$seconds" -rss_limit_mb=2048 -timeout=25 \
    -max_len=8192 -print_final_stats=1 -verbosity=0 -artifact_prefix=build/fuzz/found/"$target"- \
    "$work" "${seeds[@]}"
done
