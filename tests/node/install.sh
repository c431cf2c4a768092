#!/usr/bin/env bash
# tests/node/install.sh DIRECTORY
# Installs the exact packages of package-lock.json into DIRECTORY/node_modules, once for each content
# of the lock file. Ends with 1 and one line of reason where that is not possible.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
to=$1
for tool in node npm; do
  command -v "$tool" >/dev/null || { echo "$tool is not here"; exit 1; }
done
if cmp -s "$here/package-lock.json" "$to/installed-lock.json"; then exit 0; fi
mkdir -p "$to"
cp "$here/package.json" "$here/package-lock.json" "$to/"
if ! (cd "$to" && timeout 120 npm ci --no-audit --no-fund --ignore-scripts >npm.log 2>&1); then
  echo "npm could not install the packages of tests/node (no network?), see $to/npm.log"
  exit 1
fi
cp "$here/package-lock.json" "$to/installed-lock.json"
