#!/usr/bin/env bash
# tests/cli_sheet.sh PROGRAM SOURCE_ROOT [--approve]
# Runs `coilwright sheet` and compares its outputs with tests/cli_sheet/; --approve rewrites them.
set -euo pipefail
program=$1
root=$2
approve=${3:-}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

fail() {
  echo "cli_sheet: $*" >&2
  failed=1
}

# same NAME: $work/NAME is as approved
same() {
  if [ "$approve" = --approve ]; then
    cp "$work/$1" "$root/tests/cli_sheet/$1"
  elif ! diff -u "$root/tests/cli_sheet/$1" "$work/$1" >&2; then
    fail "$1 differs from tests/cli_sheet/$1"
  fi
}

# exits CODE COMMAND...: stdout and stderr go to $work/out and $work/err
exits() {
  local wanted=$1 got=0
  shift
  "$@" >"$work/out" 2>"$work/err" || got=$?
  [ "$got" = "$wanted" ] || fail "exit $got instead of $wanted: $*"
}

cd "$root/data/systems"
exits 0 "$program" sheet demo_office.toml --svg "$work/demo_office.svg"
cp "$work/out" "$work/demo_office.txt"
grep -q 'Drawing written' "$work/err" || fail "the drawing's place is not said"
exits 0 "$program" sheet minimal.toml --json
grep -v '"program":' "$work/out" >"$work/minimal.json"
exits 0 "$program" sheet minimal.toml
cp "$work/out" "$work/minimal.txt"
exits 0 "$program" sheet heat_recovery.toml --units ip --svg "$work/heat_recovery.svg"
cp "$work/out" "$work/heat_recovery_ip.txt"
exits 0 "$program" sheet heat_recovery.toml --json
for name in demo_office.txt demo_office.svg minimal.json minimal.txt heat_recovery_ip.txt \
            heat_recovery.svg; do
  same "$name"
done

# Two runs give the same bytes; nothing of this machine is in them.
exits 0 "$program" sheet demo_office.toml --json
cp "$work/out" "$work/once.json"
exits 0 "$program" sheet demo_office.toml --json
cmp -s "$work/out" "$work/once.json" || fail "two runs differ"
! grep -q "$root" "$work/out" || fail "an absolute path is in the JSON"

# All errors together, on stderr, exit 2, nothing on stdout.
printf 'refrigerant = "R-41"\n[[outdor]]\ncooling = "28 kW"\n' >"$work/bad.toml"
exits 2 "$program" sheet "$work/bad.toml" --json
[ ! -s "$work/out" ] || fail "a wrong sheet prints to stdout"
grep -q 'bad.toml:1: .*R-41' "$work/err" || fail "the refrigerant is not named"
grep -q 'bad.toml:2: .*outdor.*Did you mean "outdoor"' "$work/err" || fail "outdor is not named"
grep -q 'there is no indoor unit' "$work/err" || fail "missing units are not named"

exits 2 "$program" sheet /nonexistent.toml
exits 2 "$program" sheet
exits 2 "$program" sheet minimal.toml demo_office.toml
exits 2 "$program" sheet minimal.toml --units metric
exits 2 "$program" sheet minimal.toml --liquid-at 40
exits 2 "$program" sheet minimal.toml --liquid-at 400C
exits 2 "$program" sheet minimal.toml --svg /nonexistent/tree.svg
exits 0 "$program" sheet minimal.toml --liquid-at 35C
grep -q '35 °C' "$work/out" || fail "--liquid-at is not used"
exits 0 "$program" sheet --help
grep -q 'SYSTEM' "$work/out" || fail "--help names no SYSTEM"

[ "$failed" = 0 ] && echo "cli_sheet: outputs are as approved"
exit "$failed"
