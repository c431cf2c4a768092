#!/usr/bin/env bash
# tools/wasm_build.sh [OUT]      default OUT: build/wasm
# Compiles base (without files, clocks and TOML, which need a system), fluid and air with the entries
# of tools/wasm/entries.cc into OUT/coilwright_properties.wasm. Needs tools/setup.sh wasm.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
out=${1:-build/wasm}
compiler=${CW_WASM_CXX:-clang++-22}
command -v "$compiler" >/dev/null || { echo "wasm: $compiler is not here: run tools/setup.sh wasm" >&2; exit 1; }
mkdir -p "$out/embedded/embedded"

# The numerics of cmake/Flags.cmake: no contraction, no fast math. Nothing throws: the package has no
# unwinder, and the modules do not need one.
flags=(--target=wasm32-wasi -std=c++20 -O2 -fno-exceptions -fno-fast-math -ffp-contract=off
  # libc++ is installed under wasm32-wasi, a name that the compiler calls deprecated.
  -Wno-deprecated
  -Wall -Wextra -Werror -Isrc -Itools "-I$out/embedded")

files=""
for file in data/fluids/*.toml; do files+="${files:+|}$PWD/$file"; done
cmake -DNAME=fluids "-DOUT=$PWD/$out/embedded/embedded" "-DFILES=$files" "-DROOT=$PWD/data" \
  -P cmake/Embed.cmake

sources=(src/base/{contract,dimension,result,text,unit_text,units}.cc)
for source in src/fluid/*.cc src/fluid/detail/*.cc src/air/*.cc; do
  case "$source" in *_test.cc) ;; *) sources+=("$source") ;; esac
done
sources+=("$out/embedded/embedded/fluids.cc" tools/wasm/entries.cc)

objects=()
for source in "${sources[@]}"; do
  object=$out/$(tr / _ <<<"${source%.cc}").o
  objects+=("$object")
  # Headers are not tracked here: an object is kept only while nothing that may be in it changed.
  if [ -f "$object" ] && [ -z "$(find src/base src/fluid src/air tools/wasm tools/wasm_build.sh "$source" -newer "$object" -type f -print -quit)" ]; then
    continue
  fi
  echo "wasm: compiling $source"
  ${CW_CCACHE-$(command -v ccache || true)} "$compiler" "${flags[@]}" -c "$source" -o "$object"
done
"$compiler" "${flags[@]}" -mexec-model=reactor "${objects[@]}" \
  -Wl,--export=cw_fluid_state,--export=cw_fluid_table,--export=cw_air_state,--export=cw_quantity,--export=cw_error \
  -Wl,--export=malloc,--export=free -Wl,--strip-all -o "$out/coilwright_properties.wasm"
echo "wasm: $out/coilwright_properties.wasm, $(wc -c <"$out/coilwright_properties.wasm") bytes"
