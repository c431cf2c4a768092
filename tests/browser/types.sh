#!/usr/bin/env bash
# tests/browser/types.sh SOURCE: the page's types, strictly, and its unit tests. Ends with 77 where they cannot be run.
set -euo pipefail
cd "$1/web"
skip() { echo "SKIPPED: $*"; exit 77; }
command -v node >/dev/null || skip "node is not here (tools/setup.sh browser)"
if [ ! -d node_modules/typescript ]; then
  command -v npm >/dev/null || skip "npm is not here (tools/setup.sh browser)"
  timeout 240 npm ci --no-audit --no-fund --ignore-scripts >/dev/null 2>&1 ||
    skip "npm could not fetch the packages of web/ (no network?)"
fi
node node_modules/typescript/bin/tsc --noEmit
node node_modules/typescript/bin/tsc --noEmit -p tsconfig.test.json
node test/run.mjs
if grep -q '"resolved"' package-lock.json; then
  echo "package-lock.json names a registry: run npm with the .npmrc of web/"
  exit 1
fi
