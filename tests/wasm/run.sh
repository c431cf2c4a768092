#!/usr/bin/env bash
# tests/wasm/run.sh BUILD_DIRECTORY
# Builds the WebAssembly module and compares it under Node with the native program of
# BUILD_DIRECTORY. Needs tools/setup.sh wasm.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
native=$1/tests/wasm_native_numbers
out=build/wasm
[ -x "$native" ] || { echo "wasm: $native is not built" >&2; exit 1; }
tools/wasm_build.sh "$out"
COILWRIGHT_CACHE= "$native" >"$out/native_numbers.tsv"
node --no-warnings tests/wasm/compare.mjs "$out/coilwright_properties.wasm" "$out/native_numbers.tsv"
