#!/usr/bin/env bash
# tools/format.sh [--check]   lays out every C++ file by .clang-format, or only looks
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

# Another version lays out differently: the file is written for the one that Debian 12 has.
program=$(command -v clang-format-14 || command -v clang-format || true)
if [ -z "$program" ]; then
  echo "format: clang-format is not here: run tools/setup.sh format" >&2
  exit 1
fi
case "$("$program" --version)" in
  *"version 14."*) ;;
  *) echo "format: version 14 is needed, this is: $("$program" --version)" >&2; exit 1 ;;
esac

folders=()
for folder in src tools tests bench; do
  [ ! -d "$folder" ] || folders+=("$folder")
done
mapfile -t files < <(find "${folders[@]}" -type f \( -name '*.cc' -o -name '*.h' \) | sort)
if [ "${1:-}" = --check ]; then
  if ! "$program" --dry-run -Werror "${files[@]}"; then
    echo "format: the files above are not laid out by .clang-format: run make fmt" >&2
    exit 1
  fi
  echo "format: ${#files[@]} files are laid out by .clang-format"
else
  "$program" -i "${files[@]}"
  echo "format: looked at ${#files[@]} files"
fi
