#!/usr/bin/env bash
# Installs from Debian what a group of tasks needs and this machine lacks, and says so.
#
#   tools/setup.sh [--dry-run | --list] [GROUP...]      groups: see --help; default: build test
#
# Runs as root or with sudo, on Debian 12. Says nothing but one line and returns at once when nothing
# is missing. CW_SKIP_SETUP=1 passes over it: for systems that are not Debian, where the same
# libraries come from elsewhere.
set -euo pipefail
export LC_ALL=C

# group | package | what it is for
packages() {
  cat <<'TABLE'
build|g++|the C++20 compiler
build|cmake|configures the build
build|ninja-build|runs the build
build|make|the short commands of the Makefile
build|ccache|makes rebuilding after a switch of branch quick
build|git|fetches the source and its history
build|ca-certificates|lets apt and git trust secure servers
build|libfmt-dev|text formatting
build|libcli11-dev|command-line flags
build|libtomlplusplus-dev|reads maps, limit sheets and other TOML
build|nlohmann-json3-dev|writes JSON
build|libhowardhinnant-date-dev|calendar and time zones
build|tzdata|the time-zone rules themselves
build|zlib1g-dev|compression
build|libzip-dev|opens the zip container of spreadsheets
build|libexpat1-dev|reads the XML inside spreadsheets
build|libzstd-dev|reads and writes zstd compression
build|libboost1.81-dev|the HTTP server of the workbench (headers only)
test|libgtest-dev|unit tests
test|libgmock-dev|matchers for the unit tests
bench|libbenchmark-dev|benchmarks
format|clang-format|one layout for all C++ files (version 14)
lint|clang-format|one layout for all C++ files (version 14)
lint|clang-tidy-19|finds mistakes that compile (14 fails on this C++ library's ranges)
page|nodejs|builds the workbench's page
page|npm|fetches what the page is made from
fuzz|clang-19|the compiler with the fuzzing engine
fuzz|libclang-rt-19-dev|the fuzzing engine and its sanitizers
browser|chromium|prints the HTML report and drives the browser tests
browser|fonts-dejavu-core|letters for the printed report
browser|nodejs|runs the tools of the web workbench
browser|npm|fetches the packages of the web workbench
wasm|clang-22|compiles C++ for WebAssembly
wasm|lld-22|links WebAssembly
wasm|libc++-22-dev-wasm32|the C++ library for WebAssembly
wasm|libc++abi-22-dev-wasm32|its language support
wasm|libclang-rt-22-dev-wasm32|the compiler's run time for WebAssembly
wasm|wasi-libc|the C library for WebAssembly
wasm|nodejs|runs the result
TABLE
}

say() { printf 'setup: %s\n' "$*"; }
complain() { printf 'setup: %s\n' "$*" >&2; }

usage() {
  echo "usage: tools/setup.sh [--dry-run | --list] [GROUP...]"
  echo "  --dry-run  say what would be installed; install nothing (exit 1 when something is missing)"
  echo "  --list     print the packages of the groups, one a line"
  echo "  groups:    $(packages | cut -d'|' -f1 | uniq | tr '\n' ' ')(default: build test)"
}

mode=install
groups=()
for argument in "$@"; do
  case "$argument" in
    --dry-run) mode=dry-run ;;
    --list) mode=list ;;
    -h | --help) usage; exit 0 ;;
    -*) complain "unknown option $argument"; usage >&2; exit 2 ;;
    *)
      if ! packages | grep -q "^$argument|"; then
        complain "unknown group $argument"
        usage >&2
        exit 2
      fi
      groups+=("$argument")
      ;;
  esac
done
[ ${#groups[@]} -gt 0 ] || groups=(build test)

# The wanted packages in the order of the table, each once.
declare -A reason=()
wanted=()
while IFS='|' read -r group package why; do
  for asked in "${groups[@]}"; do
    if [ "$group" = "$asked" ] && [ -z "${reason[$package]:-}" ]; then
      wanted+=("$package")
      reason[$package]=$why
    fi
  done
done < <(packages)

if [ "$mode" = list ]; then
  printf '%s\n' "${wanted[@]}"
  exit 0
fi

if [ "${CW_SKIP_SETUP:-0}" = 1 ]; then
  say "passed over (CW_SKIP_SETUP=1)"
  exit 0
fi

if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
  complain "this is not a Debian system: dpkg-query or apt-get is not here."
  complain "Install what answers to these Debian packages, then set CW_SKIP_SETUP=1:"
  complain "  ${wanted[*]}"
  exit 1
fi

declare -A installed=()
while read -r package status; do
  if [ "$status" = installed ]; then installed[$package]=1; fi
done < <(dpkg-query -W -f='${Package} ${db:Status-Status}\n' "${wanted[@]}" 2>/dev/null || true)

# Node.js is often installed from elsewhere than Debian, whose packages then clash with it.
here_from_elsewhere() {
  case "$1" in
    nodejs) command -v node >/dev/null ;;
    npm) command -v npm >/dev/null ;;
    *) return 1 ;;
  esac
}

missing=()
for package in "${wanted[@]}"; do
  [ -n "${installed[$package]:-}" ] || here_from_elsewhere "$package" || missing+=("$package")
done

if [ ${#missing[@]} -eq 0 ]; then
  say "nothing is missing for: ${groups[*]}"
  exit 0
fi

say "${#missing[@]} of ${#wanted[@]} Debian packages are missing for: ${groups[*]}"
for package in "${missing[@]}"; do
  printf '  %-28s %s\n' "$package" "${reason[$package]}"
done
if [ "$mode" = dry-run ]; then
  say "nothing was installed (--dry-run)"
  exit 1
fi

as_root=()
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null; then
    complain "you are not root and there is no sudo. Ask an administrator to run:"
    complain "  apt-get install --no-install-recommends ${missing[*]}"
    exit 1
  fi
  # Without a terminal sudo cannot ask for a password: say so instead of hanging.
  if ! sudo -n true 2>/dev/null && ! { [ -t 0 ] && sudo -v; }; then
    complain "you are not root and sudo does not let you in. Ask an administrator to run:"
    complain "  apt-get install --no-install-recommends ${missing[*]}"
    exit 1
  fi
  as_root=(sudo)
fi

log=$(mktemp)
trap 'rm -f "$log"' EXIT

# Runs apt-get, keeps its output in the log and prints a line now and then.
apt() {
  local unpacked=0 ready=0 line
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive LC_ALL=C apt-get -q -y \
    -o DPkg::Lock::Timeout=300 -o Dpkg::Use-Pty=0 -o Acquire::Retries=3 "$@" </dev/null 2>&1 |
    tee -a "$log" |
    while IFS= read -r line; do
      case "$line" in
        "Need to get "*) say "${line%.}" ;;
        "Unpacking "*)
          unpacked=$((unpacked + 1))
          [ $((unpacked % 25)) -ne 0 ] || say "unpacked $unpacked packages"
          ;;
        "Setting up "*)
          ready=$((ready + 1))
          [ $((ready % 25)) -ne 0 ] || say "set up $ready packages"
          ;;
      esac
    done
}

say "reading Debian's package lists"
if ! apt update; then
  complain "the package lists could not be refreshed; trying with the lists that are here"
fi
say "installing (with what these packages need themselves)"
if ! apt install --no-install-recommends "${missing[@]}"; then
  complain "apt-get could not install the packages. It said, at its end:"
  tail -n 15 "$log" | sed 's/^/  | /' >&2
  complain "Check the network and the package sources (Debian 12 with its security updates), or ask"
  complain "an administrator to run: apt-get install --no-install-recommends ${missing[*]}"
  exit 1
fi
say "done"
