#!/usr/bin/env bash
# tools/setup.sh with stand-ins for dpkg-query, apt-get, sudo and id: nothing is installed.
set -euo pipefail
setup=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)/tools/setup.sh
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
mkdir "$place/bin"

# Only these few programs are in reach, so that sudo is there exactly when a case makes it.
for program in bash cat cut env grep mktemp rm sed tail tee tr uniq; do
  ln -s "$(command -v "$program")" "$place/bin/$program"
done
stand_in() {
  { echo '#!/usr/bin/env bash'; cat; } >"$place/bin/$1"
  chmod +x "$place/bin/$1"
}
# dpkg-query knows all packages but those in $place/missing.
stand_in dpkg-query <<STUB
for p in "\${@:3}"; do grep -qx -- "\$p" "$place/missing" || echo "\$p installed"; done
STUB
stand_in apt-get <<STUB
echo "\$*" >>"$place/apt"
case "\$*" in *\${FAIL_ON:-nothing}*) echo "E: Unable to locate package"; exit 100 ;; esac
STUB
stand_in id <<<'echo "${STAND_IN_UID:-0}"'

failed=0
run() {
  : >"$place/apt"
  status=0
  PATH="$place/bin" "$place/bin/bash" "$setup" "$@" >"$place/out" 2>&1 </dev/null || status=$?
}
expect() {  # expect WHAT COMMAND...
  local what=$1
  shift
  if ! "$@"; then
    echo "FAILED: $what"
    sed 's/^/  | /' "$place/out" "$place/apt"
    failed=1
  fi
}
says() { grep -qF -- "$1" "$place/out"; }
asked() { grep -qF -- "$1" "$place/apt"; }

: >"$place/missing"
run
expect "nothing missing: ends well" [ "$status" -eq 0 ]
expect "nothing missing: one line" [ "$(grep -c '' "$place/out")" -eq 1 ]
expect "nothing missing: apt-get is not called" [ ! -s "$place/apt" ]

printf '%s\n' cmake libgtest-dev clang-tidy-19 >"$place/missing"
run --dry-run
expect "dry run: ends with 1" [ "$status" -eq 1 ]
expect "dry run: says what and why" says "cmake                        configures the build"
expect "dry run: apt-get is not called" [ ! -s "$place/apt" ]

run build
expect "install: ends well" [ "$status" -eq 0 ]
expect "install: refreshes the lists first" [ "$(sed -n 1p "$place/apt" | tail -c 7)" = update ]
expect "install: only what is missing" asked "install --no-install-recommends cmake"
run
expect "install: the default takes in the tests" asked "cmake libgtest-dev"
expect "install: no other group" [ "$(grep -c clang-tidy "$place/apt")" -eq 0 ]

FAIL_ON=update run build
expect "lists cannot be refreshed: goes on" [ "$status" -eq 0 ]
expect "lists cannot be refreshed: says so" says "could not be refreshed"

FAIL_ON=install run build
expect "apt-get fails: ends with 1" [ "$status" -eq 1 ]
expect "apt-get fails: shows what it said" says "E: Unable to locate package"
expect "apt-get fails: names the packages" says "apt-get install --no-install-recommends cmake"

STAND_IN_UID=1000 run build
expect "neither root nor sudo: ends with 1" [ "$status" -eq 1 ]
expect "neither root nor sudo: names the packages" says "no sudo. Ask an administrator"
expect "neither root nor sudo: apt-get is not called" [ ! -s "$place/apt" ]

stand_in sudo <<<'[ "$1" = -n ] && exit "${SUDO_REFUSES:-0}"; exec "$@"'
STAND_IN_UID=1000 run build
expect "sudo: ends well" [ "$status" -eq 0 ]
expect "sudo: installs" asked "install --no-install-recommends cmake"
SUDO_REFUSES=1 STAND_IN_UID=1000 run build
expect "sudo refuses: ends with 1" [ "$status" -eq 1 ]
expect "sudo refuses: names the packages" says "sudo does not let you in"

run no-such-group
expect "unknown group: ends with 2" [ "$status" -eq 2 ]
CW_SKIP_SETUP=1 run build
expect "passed over: ends well" [ "$status" -eq 0 ]
expect "passed over: apt-get is not called" [ ! -s "$place/apt" ]

rm "$place/bin/dpkg-query"
run build
expect "no Debian: ends with 1" [ "$status" -eq 1 ]
expect "no Debian: names the way round" says "CW_SKIP_SETUP=1"

exit "$failed"
