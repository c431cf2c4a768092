#!/usr/bin/env bash
# The field commands as a person types them: examples of the user guide, JSON that a program can
# read, sheets that can be printed, and refusals with exit code 2.
#
#   run.sh COILWRIGHT SOURCE_ROOT
set -u
program=$1
root=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
fail() { echo "FAILED: $*"; failed=1; }

# runs NAME WANTED_TEXT ARGUMENT...: exit 0, JSON that parses, and the text in it
runs() {
  local name=$1 wanted=$2
  shift 2
  if ! "$program" "$@" --json >"$work/out.json" 2>"$work/err"; then
    fail "$name: $(cat "$work/err")"
    return
  fi
  grep -qF -- "$wanted" "$work/out.json" || fail "$name: no $wanted in the JSON"
  grep -qi "complian" "$work/out.json" && fail "$name: a word that only an authority may use"
  grep -q '"schema": "coilwright.' "$work/out.json" || fail "$name: no schema"
  for units in si ip; do
    "$program" "$@" --units $units --html "$work/sheet.html" >"$work/out.txt" 2>/dev/null ||
      fail "$name: text in $units"
    for part in "Date" "Entered" "Sources" "signature" "last word"; do
      grep -qF "$part" "$work/sheet.html" || fail "$name: the sheet has no $part"
    done
  done
}

# refuses NAME WORD ARGUMENT...: exit 2, nothing on stdout, the word on stderr
refuses() {
  local name=$1 word=$2
  shift 2
  "$program" "$@" >"$work/out" 2>"$work/err" </dev/null
  [ $? -eq 2 ] || fail "$name: exit code is not 2"
  [ -s "$work/out" ] && fail "$name: something on stdout"
  grep -qF -- "$word" "$work/err" || fail "$name: no \"$word\" in $(cat "$work/err")"
}

test_of_tightness=(tightness --start "4.15MPa(g)" --start-temperature 25C --end "3.915MPa(g)"
  --end-temperature 10C --volume 60L --hours 24)
runs "tightness" "tight within what this test can see" "${test_of_tightness[@]}"
runs "tightness plan" "nameplate_pressure" tightness --plan --nameplate 600psig
runs "evacuation" '"verdict": "leak"' evacuation \
  --rise 0min:500um,10min:700um,20min:900um,60min:1700um --volume 60L --coldest 25C
runs "pump-down" "pump_down_time" evacuation --pump-speed 142L/min --hose "9.5mm x 1.5m" --cores out \
  --volume 60L
runs "leak rate" '"leak_rate": 0.2881579' leak-rate --full 80lb --added 6lb --days 95 \
  --method annualizing
runs "weigh" '"moved": 2.8' weigh --readings 30.20kg,28.95kg,27.40kg --refrigerant R-410A \
  --tare 12.0kg --water-capacity 21.6kg
runs "altitude" '"barometer": 83523' altitude --altitude 1600m --reading "0.75MPa(g)"
runs "convert" '"si": 66.66119' convert 500um
runs "convert ppm" '"concentration": 0.4153' convert --ppm 140000 --refrigerant R-410A

cat >"$work/test.toml" <<'TOML'
start = "4.15 MPa(g)"
start_temperature = ["25 C", "26 C"]
end = "3.80 MPa(g)"
end-temperature = ["10 C", "11 C"]
volume = "60 L"
hours = 24
TOML
runs "tightness from a file" '"verdict": "losing"' tightness --input "$work/test.toml"
runs "what is typed rules over the file" "tight within" tightness --input "$work/test.toml" \
  --end "3.915MPa(g)"

printf 'time [h],pressure [MPa(g)],pipe [degC]\n' >"$work/log.csv"
for i in $(seq 0 40); do printf '%d,4.1%02d,20.0\n' "$i" $((50 - i)) >>"$work/log.csv"; done
runs "tightness from a log" '"verdict": "losing"' tightness --log "$work/log.csv" --volume 60L

register=$work/leaks.toml
"$program" leak-rate --full 80lb --method rolling --register "$register" \
  --record "2026-01-10 addition 6lb flare at unit 3" --record "2025-10-07 addition 3lb" --json \
  >"$work/out.json" 2>"$work/err" || fail "register: $(cat "$work/err")"
grep -qF '"leak_rate": 0.1125' "$work/out.json" || fail "register: rolling rate"
[ "$(grep -c '^\[\[entry\]\]' "$register")" = 2 ] || fail "register: two entries"

refuses "oxygen" "explodes" "${test_of_tightness[@]}" --gas oxygen
refuses "end before start" "ends before it starts" tightness --start "4.15MPa(g)" \
  --start-temperature 25C --end "3.9MPa(g)" --end-temperature 10C --volume 60L \
  --start-time 2026-01-15 --end-time 2026-01-14
refuses "absolute zero" "absolute zero" evacuation --rise 0min:500um,9min:600um,20min:700um --volume 60L \
  --coldest=-300C
refuses "below vacuum" "perfect vacuum" altitude --altitude 0m --reading "-2bar(g)"
refuses "bare without a terminal" "missing" tightness
echo 'volum = "60 L"' >"$work/misspelt.toml"
refuses "a misspelt key" "no question" tightness --input "$work/misspelt.toml"
refuses "a file that is not there" "nowhere.toml" tightness --input nowhere.toml

# The interview on a terminal asks again what it refuses.
if command -v script >/dev/null; then
  printf '4.15MPa\n25C\n3.915MPa(g)\n10C\n60L\n24\n4.15MPa(g)\n' |
    script -qec "$program tightness" /dev/null >"$work/interview" 2>&1
  grep -q "neither gauge nor absolute" "$work/interview" || fail "interview: no refusal"
  grep -q "tight within" "$work/interview" || fail "interview: no verdict"
fi

if [ -d "$root/data/systems" ] && "$program" --help | grep -q rooms; then
  runs "rooms" '"rooms"' rooms "$root/data/systems/demo_office.toml"
  runs "charge" '"physics_check"' charge "$root/data/systems/demo_office.toml"
fi
exit $failed
