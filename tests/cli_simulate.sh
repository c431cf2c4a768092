#!/usr/bin/env bash
# tests/cli_simulate.sh PROGRAM SOURCE_ROOT
# `coilwright simulate` as a person types it. PROGRAM has a test double in place of the twin.
set -euo pipefail
program=$1
root=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

fail() {
  echo "cli_simulate: $*" >&2
  failed=1
}

# exits CODE COMMAND...: stdout and stderr go to $work/stdout and $work/stderr
exits() {
  local wanted=$1 got=0
  shift
  "$@" >"$work/stdout" 2>"$work/stderr" || got=$?
  [ "$got" = "$wanted" ] || fail "exit $got instead of $wanted: $*: $(cat "$work/stderr")"
}

says() { grep -q -- "$1" "$work/stderr" || fail "stderr does not say: $1"; }

scenario=$work/day.toml
cat >"$scenario" <<'END'
name = "A day"
system = "sheet.toml"
start = 2026-01-20T05:00:00
duration = "24 h"
rooms = "18 degC"
[weather]
mean = "-9 degC"
END
cp "$root/data/systems/demo_office.toml" "$work/sheet.toml"

exits 0 "$program" simulate "$scenario" -o "$work/a"
grep -q 'recording.csv: 2881 rows of' "$work/stdout" || fail "the summary names no rows"
[ ! -s "$work/stderr" ] || fail "progress where stderr is no terminal"
cmp -s "$work/a/system.toml" "$work/sheet.toml" || fail "the sheet is not copied as it is"
exits 0 "$program" simulate "$scenario" -o "$work/b" --json
grep -q '"schema": "coilwright.simulate/1"' "$work/stdout" || fail "--json prints no summary"
cmp -s "$work/a/recording.csv" "$work/b/recording.csv" || fail "two runs differ"
cmp -s <(grep -v real_time_factor "$work/a/truth.json") \
       <(grep -v real_time_factor "$work/b/truth.json") || fail "two truths differ"
exits 0 "$program" simulate "$scenario" -o "$work/c" --seed 9
cmp -s "$work/a/recording.csv" "$work/c/recording.csv" && fail "--seed changes nothing"
exits 0 "$program" check "$work/a"
grep -q 'recording.csv: 2881 readings' "$work/stdout" || fail "check does not read it"

# What is there already stays, unless it is wanted otherwise.
exits 2 "$program" simulate "$scenario" -o "$work/a"
says -- "--force"
exits 0 "$program" simulate "$scenario" -o "$work/a" --force

# Wrong usage and wrong scenarios.
exits 2 "$program" simulate "$scenario"
says "-o DIR"
exits 2 "$program" simulate -o "$work/d"
exits 2 "$program" simulate "$scenario" "$scenario" -o "$work/d"
exits 2 "$program" simulate "$work/absent.toml" -o "$work/d"
exits 2 "$program" simulate "$scenario" -o "$work/d" --seed 1.5
exits 2 "$program" simulate "$scenario" -o "$work/d" --units metric
exits 2 "$program" simulate "$scenario" -o "$scenario"
printf 'system = "sheet.toml"\nstart = 3\nduraton = "1 h"\n' >"$work/bad.toml"
exits 2 "$program" simulate "$work/bad.toml" -o "$work/d"
says 'bad.toml:2: '
says 'bad.toml:3: .*Did you mean "duration"'
[ ! -s "$work/stdout" ] || fail "a wrong scenario prints to stdout"
printf 'system = "sheet.toml"\nstart = 2026-01-20T05:00:00\nduration = "8 h"\n' >"$work/broken.toml"
printf '[weather]\nmean = "-9 degC"\n' >>"$work/broken.toml"
sed 's/R-410A/R-41/' "$work/sheet.toml" >"$work/wrong_sheet.toml"
sed -i 's/sheet.toml/wrong_sheet.toml/' "$work/broken.toml"
exits 2 "$program" simulate "$work/broken.toml" -o "$work/d"
says 'wrong_sheet.toml:.*R-41'
[ ! -e "$work/d" ] || fail "a wrong scenario makes a directory"

# Ctrl-C in a long run: nothing is left, and it says so.
sed 's/24 h/8000 h/; s/^name.*/&\n/' "$scenario" >"$work/long.toml"
printf '[[logger]]\ninterval = "5 min"\n' >>"$work/long.toml"
"$program" simulate "$work/long.toml" -o "$work/e" >"$work/stdout" 2>"$work/stderr" &
run=$!
# It is stopped once it listens for that (bit 15 - 1 of what it catches), however slowly it begins.
catches_term() {
  local caught
  caught=$(sed -n 's/^SigCgt:[[:space:]]*//p' "/proc/$run/status" 2>/dev/null) || return 1
  [ -n "$caught" ] && (((16#$caught >> 14) & 1))
}
for _ in $(seq 600); do
  catches_term && break
  sleep 0.1
done
kill -TERM "$run" 2>/dev/null || fail "the long run was over too soon to stop it"
got=0
wait "$run" || got=$?
[ "$got" = 2 ] || fail "exit $got after an interruption"
says 'nothing was written'
[ ! -e "$work/e" ] || fail "an interrupted run leaves a directory"

exits 0 "$program" simulate --list-faults
for fault in leak undercharge overcharge valve_stuck sensor_bias fan_lost; do
  grep -q "^$fault " "$work/stdout" || fail "--list-faults lacks $fault"
done
exits 0 "$program" simulate --help
grep -q 'SCENARIO' "$work/stdout" || fail "--help names no SCENARIO"

[ "$failed" = 0 ] && echo "cli_simulate: as it should be"
exit "$failed"
