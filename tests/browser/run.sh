#!/usr/bin/env bash
# tests/browser/run.sh PROGRAM DEMO SOURCE TEST...: runs browser tests against `PROGRAM serve`.
# Ends with 77, and says why, where node, Chromium or the packages of web/ cannot be had.
set -euo pipefail
program=$1 demo=$2 source=$3
shift 3
skip() { echo "SKIPPED: $*"; exit 77; }
command -v node >/dev/null || skip "node is not here (tools/setup.sh browser)"
major=$(node -p 'process.versions.node.split(".")[0]')
[ "$major" -ge 18 ] || skip "node $major is too old, 18 is needed"
[ -x /usr/bin/chromium ] || [ -x /usr/bin/chromium-browser ] || skip "Chromium is not here (tools/setup.sh browser)"
if [ ! -d "$source/web/node_modules/playwright-core" ]; then
  command -v npm >/dev/null || skip "npm is not here (tools/setup.sh browser)"
  (cd "$source/web" && timeout 240 npm ci --no-audit --no-fund --ignore-scripts >/dev/null 2>&1) ||
    skip "npm could not fetch the packages of web/ (no network?)"
fi
export CW_PROGRAM=$program CW_DEMO=$demo CW_SOURCE=$source
cd "$source/tests/browser"
node --test --test-concurrency=1 "$@"
