#include "ingest/join.h"

#include <algorithm>
#include <numeric>
#include <set>

namespace cw {
namespace {

/// Indices of the longest strictly increasing subsequence of `time`; the earliest of equals is
/// kept. Patience sorting, O(n log n); in order already, O(n).
std::vector<std::size_t> longest_increasing(const std::vector<Instant>& time) {
  constexpr std::size_t none = static_cast<std::size_t>(-1);
  std::vector<std::size_t> tails;
  std::vector<std::size_t> before(time.size(), none);
  for (std::size_t i = 0; i < time.size(); ++i) {
    auto at = tails.end();
    if (!tails.empty() && time[tails.back()] >= time[i]) {
      at = std::lower_bound(tails.begin(), tails.end(), time[i],
                            [&](std::size_t a, Instant value) { return time[a] < value; });
    }
    if (at != tails.begin()) before[i] = *(at - 1);
    if (at == tails.end()) {
      tails.push_back(i);
    } else if (time[*at] != time[i]) {
      *at = i;
    }
  }
  std::vector<std::size_t> out(tails.size());
  std::size_t at = tails.empty() ? none : tails.back();
  for (std::size_t k = tails.size(); k-- > 0;) {
    out[k] = at;
    at = before[at];
  }
  return out;
}

bool is_reversed(const std::vector<Instant>& time) {
  std::size_t down = 0;
  std::size_t up = 0;
  for (std::size_t i = 1; i < time.size(); ++i) {
    down += time[i] < time[i - 1] ? 1U : 0U;
    up += time[i] > time[i - 1] ? 1U : 0U;
  }
  return down > 4 * up && down > 1;
}

void reverse_rows(SourceTable& table) {
  std::reverse(table.time.begin(), table.time.end());
  std::reverse(table.line.begin(), table.line.end());
  for (SourceColumn& column : table.columns) {
    std::reverse(column.values.begin(), column.values.end());
  }
}

template <class T>
void keep_rows(std::vector<T>& values, const std::vector<std::size_t>& kept) {
  for (std::size_t k = 0; k < kept.size(); ++k) values[k] = values[kept[k]];
  values.resize(kept.size());
}

void count_dropped(const SourceTable& table, const std::vector<std::size_t>& kept, ImportLog& log) {
  std::set<std::int64_t> kept_times;
  for (const std::size_t i : kept) kept_times.insert(table.time[i].ms);
  std::size_t next = 0;
  for (std::size_t i = 0; i < table.time.size(); ++i) {
    if (next < kept.size() && kept[next] == i) {
      ++next;
      continue;
    }
    const bool twin = kept_times.count(table.time[i].ms) > 0;
    log.add({twin ? Counter::duplicate_time_stamp : Counter::backward_time_stamp, table.file,
             table.line[i], "", iso_text(table.time[i], table.clock),
             twin ? "an earlier row has this time" : "it breaks the order of the rows around it"});
  }
}

/// Where each row of `table` goes on the joined axis; empty: row i goes to i.
std::vector<std::uint32_t> positions_of(const SourceTable& table,
                                        const std::vector<Instant>& axis) {
  std::vector<std::uint32_t> out;
  if (table.time.size() == axis.size()) return out;
  out.resize(table.time.size());
  auto at = axis.begin();
  for (std::size_t i = 0; i < table.time.size(); ++i) {
    at = std::lower_bound(at, axis.end(), table.time[i]);
    out[i] = static_cast<std::uint32_t>(at - axis.begin());
  }
  return out;
}

std::vector<Instant> union_axis(const std::vector<SourceTable>& tables) {
  std::vector<Instant> axis;
  for (const SourceTable& table : tables) {
    axis.insert(axis.end(), table.time.begin(), table.time.end());
  }
  std::sort(axis.begin(), axis.end());
  axis.erase(std::unique(axis.begin(), axis.end()), axis.end());
  return axis;
}

/// A table whose columns are being taken.
struct Part {
  SourceTable* table;
  std::vector<std::uint32_t> at;
};

/// Puts a column's readings where the channel has none yet.
void fill(Channel& channel, const SourceColumn& column, const Part& part, const Clock& clock,
          ImportLog& log) {
  std::vector<float>& values = channel.values.edit();
  for (std::size_t i = 0; i < column.values.size(); ++i) {
    float& kept = values[part.at.empty() ? i : part.at[i]];
    const float other = column.values[i];
    if (is_missing(kept)) {
      kept = other;
    } else if (!is_missing(other) && other != kept) {
      log.add({Counter::conflicting_value, part.table->file, part.table->line[i], channel.name(),
               iso_text(part.table->time[i], clock), "another file gave a different reading"});
    }
  }
}

/// Takes a column and those of the tables behind that give the same channel, and lets go of each as
/// soon as it is taken: together they are as large as the recording.
Channel take_channel(SourceColumn& column, std::size_t owner, std::vector<Part>& parts,
                     std::size_t rows, ImportLog& log) {
  Channel out;
  out.place = column.place;
  out.quantity = column.quantity;
  out.origin = column.origin;
  if (parts[owner].at.empty()) {
    out.values = std::move(column.values);
  } else {
    out.values.assign(rows, missing);
    fill(out, column, parts[owner], parts[owner].table->clock, log);
  }
  std::vector<float>().swap(column.values);
  column.quantity = nullptr;
  for (std::size_t p = owner; p < parts.size(); ++p) {
    for (SourceColumn& other : parts[p].table->columns) {
      if (other.quantity != out.quantity || !(other.place == out.place)) continue;
      fill(out, other, parts[p], parts[p].table->clock, log);
      std::vector<float>().swap(other.values);
      other.quantity = nullptr;
    }
  }
  return out;
}

}  // namespace

void order_rows(SourceTable& table, ImportLog& log) {
  const auto not_increasing = [](Instant a, Instant b) { return a >= b; };
  if (std::adjacent_find(table.time.begin(), table.time.end(), not_increasing) ==
      table.time.end()) {
    return;
  }
  if (is_reversed(table.time)) reverse_rows(table);
  const std::vector<std::size_t> kept = longest_increasing(table.time);
  if (kept.size() == table.time.size()) return;
  count_dropped(table, kept, log);
  keep_rows(table.time, kept);
  keep_rows(table.line, kept);
  for (SourceColumn& column : table.columns) keep_rows(column.values, kept);
}

Result<Recording> join_tables(std::vector<SourceTable> tables, ImportLog& log) {
  Recording recording;
  if (tables.empty()) return recording;
  recording.clock = tables.front().clock;
  for (const SourceTable& table : tables) {
    const bool stated = table.clock.kind != Clock::Kind::unstated;
    if (stated != (recording.clock.kind != Clock::Kind::unstated)) {
      const SourceTable& mute = stated ? tables.front() : table;
      return Error{ErrorCode::inconsistent,
                   "its time stamps carry no offset from UTC, those of other files do", mute.file,
                   "Say its zone in a map, [clock] zone = \"...\""};
    }
  }
  recording.time = tables.size() == 1 ? tables.front().time : union_axis(tables);
  std::vector<Part> parts;
  for (SourceTable& table : tables) parts.push_back({&table, positions_of(table, recording.time)});
  for (std::size_t p = 0; p < parts.size(); ++p) {
    for (SourceColumn& column : parts[p].table->columns) {
      if (column.quantity == nullptr) continue;  // taken
      recording.channels.push_back(take_channel(column, p, parts, recording.size(), log));
    }
  }
  for (Channel& channel : recording.channels) measure_interval(recording, channel);
  return recording;
}

}  // namespace cw
