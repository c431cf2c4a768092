#include "ingest/map_sections.h"

#include <cmath>

#include "base/text.h"
#include "base/zone.h"
#include "ingest/encoding.h"

namespace cw {
namespace {

/// "+01:00" or "-05:30" in minutes.
std::optional<int> read_offset(std::string_view text) {
  if (text.size() != 6 || text[3] != ':' || (text[0] != '+' && text[0] != '-')) return std::nullopt;
  double hours = 0;
  double minutes = 0;
  if (!read_number(text.substr(1, 2), hours) || !read_number(text.substr(4), minutes)) {
    return std::nullopt;
  }
  if (hours > 14 || minutes > 59) return std::nullopt;
  const int total = static_cast<int>(hours) * 60 + static_cast<int>(minutes);
  return text[0] == '-' ? -total : total;
}

std::optional<char> delimiter_named(const std::string& text) {
  if (text == "tab" || text == "\t") return '\t';
  if (text == "blanks" || text == " ") return ' ';
  if (text == "wide-blanks") return '\v';
  if (text == "comma") return ',';
  if (text == "semicolon") return ';';
  if (text == "bar") return '|';
  if (text.size() == 1) return text.front();
  return std::nullopt;
}

Status read_file_section(const toml::table& file, std::string_view name, ChannelMap& map) {
  if (Status s = refuse_unknown_keys(file,
                                     {"encoding", "delimiter", "decimal", "thousands",
                                      "header_line", "first_row_line", "sheet"},
                                     name);
      !s) {
    return s;
  }
  MapDialect& out = map.dialect;
  if (const toml::array* sheets = file["sheet"].as_array()) {
    for (const toml::node& item : *sheets) out.sheets.push_back(item.value_or(std::string{}));
  } else if (file.contains("sheet")) {
    out.sheets.push_back(file["sheet"].value_or(std::string{}));
  }
  std::erase(out.sheets, std::string{});
  if (const toml::node* node = file.get("encoding")) {
    out.encoding = node->value_or(std::string{});
    if (!encoding_named(out.encoding)) {
      return map_error(*node, name, "\"" + out.encoding + "\" is no known encoding",
                       "Use utf-8, utf-16, windows-1252, latin-1 or shift-jis");
    }
  }
  if (const toml::node* node = file.get("delimiter")) {
    out.delimiter = delimiter_named(node->value_or(std::string{}));
    if (!out.delimiter) {
      return map_error(*node, name, "the delimiter must be one character or a name",
                       "Use \",\", \";\", \"|\", tab, blanks or wide-blanks");
    }
  }
  for (const char* key : {"decimal", "thousands"}) {
    const toml::node* node = file.get(key);
    if (node == nullptr) continue;
    const std::string text = node->value_or(std::string{});
    if (text.size() != 1) {
      return map_error(*node, name, std::string(key) + " must be one character",
                       "Write for example decimal = \",\"");
    }
    (std::string_view(key) == "decimal" ? out.decimal : out.thousands) = text.front();
  }
  for (const char* key : {"header_line", "first_row_line"}) {
    const toml::node* node = file.get(key);
    if (node == nullptr) continue;
    const auto number = node->value<std::int64_t>();
    if (!number || *number < 0) {
      return map_error(*node, name, std::string(key) + " must be a line number",
                       "Lines count from 1; header_line = 0 says that there is no header");
    }
    (std::string_view(key) == "header_line" ? out.header_line : out.data_line) =
        static_cast<std::size_t>(*number);
  }
  return Done{};
}

Status read_clock_columns(const toml::table& clock, std::string_view name, ChannelMap& map) {
  const auto add = [&](const toml::node* node) -> Status {
    if (node == nullptr) return Done{};
    if (const toml::array* array = node->as_array()) {
      for (const toml::node& item : *array) {
        map.clock.columns.push_back(tidy_label(item.value_or(std::string_view{})));
      }
    } else {
      map.clock.columns.push_back(tidy_label(node->value_or(std::string_view{})));
    }
    if (map.clock.columns.back().empty()) {
      return map_error(*node, name, "a clock column must be a header text",
                       "Write for example column = \"Date\" or column = [\"Date\", \"Time\"]");
    }
    return Done{};
  };
  if (Status s = add(clock.get("column")); !s) return s;
  if (Status s = add(clock.get("time_column")); !s) return s;
  if (!map.clock.columns.empty()) map.time_column = map.clock.columns.front();
  return Done{};
}

Status read_zone(const toml::table& clock, std::string_view name, ChannelMap& map) {
  if (const toml::node* node = clock.get("zone")) {
    map.zone = node->value_or(std::string{});
    const Result<int> known = zone_offset_minutes(*map.zone, Instant{});
    if (!known) {
      Error error = known.error();
      error.where = place_of(*node, name);
      return error;
    }
  }
  if (const toml::node* node = clock.get("offset")) {
    map.offset_minutes = read_offset(node->value_or(std::string{}));
    if (!map.offset_minutes || map.zone) {
      return map_error(*node, name, "offset must be one like \"-06:00\", without a zone",
                       "Give either a zone, which knows its clock changes, or a fixed offset");
    }
  }
  return Done{};
}

std::optional<Instant> read_start(std::string_view text) {
  StampFields f;
  if (!parse_stamp(text, f) || f.parts != 3 || f.has_offset) return std::nullopt;
  return wall_time(f, DateOrder::year_month_day, 1970, 0);
}

/// The time from row to row of a file that has no time column.
Status read_interval(const toml::table& clock, std::string_view name, ChannelMap& map) {
  const bool rows = map.clock.form == ClockForm::rows;
  if (!clock.contains("interval")) {
    if (!rows) return Done{};
    return map_error(*clock.get("form"), name, "a clock of rows needs the time from row to row",
                     "Write for example interval = \"5 min\"");
  }
  const toml::node& node = *clock.get("interval");
  if ((map.clock.form && !rows) || !map.clock.columns.empty()) {
    return map_error(node, name, "an interval is for files without a time column",
                     "Leave out interval, or column and form");
  }
  const Result<double> interval = toml_quantity(clock, "interval", Dimension::time, name);
  if (!interval) return interval.error();
  constexpr double longest_s = 366.0 * 86400.0;
  if (!(*interval >= 1e-3 && *interval <= longest_s)) {
    return map_error(node, name, "the interval must be longer than 1 ms and at most a year",
                     "Write for example interval = \"5 min\"");
  }
  map.clock.form = ClockForm::rows;
  map.clock.interval_ms = *interval * 1e3;
  return Done{};
}

Status read_clock(const toml::table& clock, std::string_view name, ChannelMap& map) {
  if (Status s = refuse_unknown_keys(clock,
                                     {"column", "time_column", "zone", "offset", "order", "form",
                                      "year", "start", "shift", "interval"},
                                     name);
      !s) {
    return s;
  }
  if (Status s = read_clock_columns(clock, name, map); !s) return s;
  if (Status s = read_zone(clock, name, map); !s) return s;
  if (const toml::node* node = clock.get("order")) {
    map.clock.order = date_order_named(node->value_or(std::string{}));
    if (!map.clock.order) {
      return map_error(
          *node, name, "this is no order of a date",
          "Use day-month-year, month-day-year, year-month-day, day-month or month-day");
    }
  }
  if (const toml::node* node = clock.get("form")) {
    map.clock.form = clock_form_named(node->value_or(std::string{}));
    if (!map.clock.form) {
      return map_error(*node, name, "this is no form of a clock",
                       "Use stamps, epoch, excel-days, elapsed, parts, day-of-year or rows");
    }
  }
  if (const toml::node* node = clock.get("year")) {
    const auto year = node->value<std::int64_t>();
    if (!year || *year < 1970 || *year > 2200) {
      return map_error(*node, name, "year must be a number such as 2026", "");
    }
    map.clock.year = static_cast<int>(*year);
  }
  if (const toml::node* node = clock.get("start")) {
    map.clock.start = read_start(node->value_or(std::string{}));
    if (!map.clock.start) {
      return map_error(*node, name, "start must be a date, or a date and a time",
                       "Write for example start = \"2026-01-14 06:30\"");
    }
  }
  if (Status s = read_interval(clock, name, map); !s) return s;
  if (clock.contains("shift")) {
    const Result<double> shift = toml_quantity(clock, "shift", Dimension::time, name);
    if (!shift) return shift.error();
    // A clock that was never set stands decades back.
    constexpr double longest_shift_s = 100.0 * 366.0 * 86400.0;
    if (!(std::abs(*shift) <= longest_shift_s)) {
      return map_error(*clock.get("shift"), name, "the shift is longer than a hundred years",
                       "Write what the clock is off by, as shift = \"-40 s\"");
    }
    map.clock.shift_ms = static_cast<std::int64_t>(*shift * 1e3);
  }
  return Done{};
}

Status read_shape(const toml::table& shape, std::string_view name, ChannelMap& map) {
  if (Status s =
          refuse_unknown_keys(shape, {"name", "value", "quality", "good", "matrix", "hold"}, name);
      !s) {
    return s;
  }
  if (const toml::node* node = shape.get("name")) {
    if (const toml::array* array = node->as_array()) {
      for (const toml::node& item : *array) {
        map.shape.name.push_back(tidy_label(item.value_or(std::string_view{})));
      }
    } else {
      map.shape.name.push_back(tidy_label(node->value_or(std::string_view{})));
    }
    map.shape.value = tidy_label(shape["value"].value_or(std::string_view{}));
    if (map.shape.value.empty()) {
      return map_error(*node, name, "a long table needs the column with the values",
                       "Write for example value = \"Value\"");
    }
  }
  if (const toml::node* node = shape.get("quality")) {
    map.shape.quality = tidy_label(node->value_or(std::string_view{}));
    const toml::array* good = shape["good"].as_array();
    for (std::size_t i = 0; good != nullptr && i < good->size(); ++i) {
      const toml::node& item = (*good)[i];
      const auto number = item.value_exact<std::int64_t>();
      map.shape.good.push_back(
          to_lower(number ? std::to_string(*number) : item.value_or(std::string())));
    }
    if (map.shape.good.empty()) {
      return map_error(*node, name, "a column of qualities needs the texts that mean good",
                       "Write for example good = [\"Good\"]");
    }
  }
  map.shape.matrix_channel = shape["matrix"].value_or(std::string{});
  if (shape.contains("hold")) {
    const Result<double> hold = toml_quantity(shape, "hold", Dimension::time, name);
    if (!hold) return hold.error();
    map.shape.hold = *hold;
  }
  return Done{};
}

}  // namespace

Error map_error(const toml::node& node, std::string_view name, std::string message,
                std::string fix) {
  return {ErrorCode::parse, std::move(message), place_of(node, name), std::move(fix)};
}

Status read_map_sections(const toml::table& table, std::string_view name, ChannelMap& map) {
  if (const toml::table* file = table["file"].as_table()) {
    if (Status s = read_file_section(*file, name, map); !s) return s;
  }
  if (const toml::table* clock = table["clock"].as_table()) {
    if (Status s = read_clock(*clock, name, map); !s) return s;
  }
  if (const toml::table* shape = table["shape"].as_table()) {
    if (Status s = read_shape(*shape, name, map); !s) return s;
  }
  return Done{};
}

}  // namespace cw
