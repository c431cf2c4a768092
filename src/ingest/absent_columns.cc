#include "ingest/absent_columns.h"

#include <algorithm>
#include <set>

namespace cw {

ImportLog without_found_columns(const ImportLog& log, const std::vector<std::string>& understood) {
  std::set<std::string> found;
  for (const std::string& text : understood) {
    const std::size_t from = text.find(": ");
    const std::size_t to = text.rfind(" -> ");
    if (from != std::string::npos && to != std::string::npos && from + 2 <= to) {
      found.insert(text.substr(from + 2, to - from - 2));
    }
  }
  const auto is_there = [&](const Reject& reject) {
    return reject.counter == Counter::mapped_column_absent && found.count(reject.column) > 0;
  };
  if (std::none_of(log.rejects().begin(), log.rejects().end(), is_there)) return log;
  ImportLog out;
  std::size_t gone = 0;
  for (const Reject& reject : log.rejects()) {
    if (is_there(reject)) {
      ++gone;
    } else {
      out.add(reject);
    }
  }
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    const std::size_t left =
        log.count_of(counter) - (counter == Counter::mapped_column_absent ? gone : 0);
    out.count(counter, left - out.count_of(counter));
  }
  return out;
}

}  // namespace cw
