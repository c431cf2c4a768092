#!/usr/bin/env bash
# tools/skipped_tests.sh TESTS.xml
# Lists the skipped tests of a ctest --output-junit file with the reason that each gave, the same
# reason once with the number of tests. The last line is the count alone.
set -euo pipefail
awk '
  function unescape(text) {
    gsub(/&lt;/, "<", text); gsub(/&gt;/, ">", text); gsub(/&quot;/, "\"", text)
    gsub(/&apos;/, "\x27", text); gsub(/&amp;/, "\\&", text)
    return text
  }
  function close_case() {
    if (skipped) {
      if (why == "") why = "no reason given"
      if (!(why in tests)) order[++reasons] = why
      tests[why]++
      if (tests[why] <= 3) names[why] = names[why] (tests[why] > 1 ? ", " : "") name
      count++
    }
    skipped = 0; why = ""; take = 0
  }
  /<testcase / {
    close_case()
    name = $0; sub(/.*<testcase name="/, "", name); sub(/".*/, "", name); name = unescape(name)
  }
  /<skipped/ { skipped = 1 }
  # GoogleTest writes "file:line: Skipped" and then the text given to GTEST_SKIP.
  take && /^\[/ { take = 0 }
  take && !/^[ \t]*$/ { why = unescape($0); take = 0 }
  /: Skipped$/ { take = 1 }
  END {
    close_case()
    for (i = 1; i <= reasons; ++i) {
      why = order[i]
      more = tests[why] > 3 ? " and " (tests[why] - 3) " more" : ""
      printf "  %d skipped: %s (%s%s)\n", tests[why], why, names[why], more
    }
    print count + 0
  }
' "$1"
