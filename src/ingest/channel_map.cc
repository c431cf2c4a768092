#include "ingest/channel_map.h"

#include <algorithm>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "ingest/encoding.h"
#include "ingest/header.h"
#include "ingest/map_sections.h"

namespace cw {
namespace {

Error at(const toml::node& node, std::string_view name, ErrorCode code, std::string message,
         std::string fix) {
  return {code, std::move(message), place_of(node, name), std::move(fix)};
}

Result<std::vector<double>> read_sentinels(const toml::table& table, std::string_view name) {
  std::vector<double> out;
  const toml::node* node = table.get("sentinels");
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  if (array == nullptr) {
    return at(*node, name, ErrorCode::parse, "sentinels must be a list of numbers",
              "Write for example sentinels = [-999, 6553.5]");
  }
  for (const toml::node& item : *array) {
    const auto number = item.value<double>();
    if (!number) {
      return at(item, name, ErrorCode::parse, "a sentinel must be a number",
                "Write for example sentinels = [-999, 6553.5]");
    }
    out.push_back(*number);
  }
  return out;
}

Status read_channel_name(const toml::table& row, std::string_view name, MappedColumn& column) {
  const toml::node* node = row.get("channel");
  const auto text = node == nullptr ? std::nullopt : node->value<std::string>();
  if (!text) {
    return at(row, name, ErrorCode::parse, "a [[column]] needs a channel",
              "Write for example channel = \"outdoor.1.discharge_temperature\"");
  }
  const auto channel = read_channel_header(*text);
  if (!channel) {
    return at(*node, name, ErrorCode::parse, "\"" + *text + "\" is no channel (<place>.<quantity>)",
              "Places: site, system, outdoor.N, outdoor.N.compressor.M, branch.N, indoor.N; "
              "quantities: see data/quantities.toml");
  }
  column.place = channel->place;
  column.quantity = channel->quantity;
  return Done{};
}

Status read_unit(const toml::table& row, std::string_view name, MappedColumn& column) {
  const Result<QuantityInUnit> unit =
      unit_for(*column.quantity, row["unit"].value_or(std::string{}));
  if (!unit) {
    Error error = unit.error();
    const toml::node* node = row.get("unit");
    error.where = place_of(node == nullptr ? row : *node, name);
    return error;
  }
  column.quantity = unit->quantity;
  column.unit = unit->unit;
  return Done{};
}

Status read_words(const toml::table& row, std::string_view name, MappedColumn& column) {
  const toml::node* node = row.get("words");
  if (node == nullptr) return Done{};
  const toml::table* words = node->as_table();
  if (words == nullptr) {
    return at(*node, name, ErrorCode::parse, "words must be a table",
              "Write for example words = { H = \"heating\", C = \"cooling\" }");
  }
  for (const auto& [from, to] : *words) {
    const std::string word = to.value_or(std::string{});
    const bool known = column.quantity->dimension == Dimension::flag
                           ? word == "on" || word == "off"
                           : column.quantity->number_of(word).has_value();
    if (!known) {
      const std::string all = column.quantity->dimension == Dimension::flag
                                  ? "on and off"
                                  : list_of(column.quantity->words);
      return at(to, name, ErrorCode::parse,
                "\"" + word + "\" is no word of " + column.quantity->label, "Use one of: " + all);
    }
    column.words.emplace_back(to_lower(from.str()), word);
  }
  return Done{};
}

Result<MappedColumn> read_column(const toml::table& row, std::string_view name) {
  const Status keys = refuse_unknown_keys(
      row, {"header", "file", "channel", "unit", "sentinels", "words", "factor", "note"}, name);
  if (!keys) return keys.error();
  MappedColumn column;
  column.header = tidy_label(row["header"].value_or(std::string{}));
  if (column.header.empty()) {
    return at(row, name, ErrorCode::parse, "a [[column]] needs a header",
              "Write the column's header text, for example header = \"T_OUT\"");
  }
  column.file = row["file"].value_or(std::string{});
  if (Status s = read_channel_name(row, name, column); !s) return s.error();
  if (Status s = read_unit(row, name, column); !s) return s.error();
  if (Status s = read_words(row, name, column); !s) return s.error();
  Result<std::vector<double>> sentinels = read_sentinels(row, name);
  if (!sentinels) return sentinels.error();
  column.sentinels = std::move(*sentinels);
  if (const toml::node* node = row.get("factor")) {
    column.factor = node->value_or(0.0);
    if (!(column.factor > 0.0)) {
      return at(*node, name, ErrorCode::parse, "factor must be a number above zero",
                "Write for example factor = 0.1 where the file holds tenths");
    }
  }
  return column;
}

/// "ignore": headers, or tables of a header and the one file in which it is not wanted.
Status read_ignored(const toml::table& table, std::string_view name, ChannelMap& map) {
  const toml::node* node = table.get("ignore");
  if (node == nullptr) return Done{};
  constexpr const char* fix =
      "Write for example ignore = [\"RECORD\"] or ignore = [{ header = \"Value\", file = "
      "\"north.csv\" }]";
  const toml::array* items = node->as_array();
  if (items == nullptr) {
    return at(*node, name, ErrorCode::parse, "ignore must be a list of headers", fix);
  }
  for (const toml::node& item : *items) {
    IgnoredColumn column;
    if (const toml::table* row = item.as_table()) {
      if (Status s = refuse_unknown_keys(*row, {"header", "file"}, name); !s) return s.error();
      column.header = (*row)["header"].value_or(std::string{});
      column.file = (*row)["file"].value_or(std::string{});
    } else {
      column.header = item.value_or(std::string{});
    }
    column.header = tidy_label(column.header);
    if (column.header.empty()) {
      return at(item, name, ErrorCode::parse, "a column to ignore needs a header", fix);
    }
    map.ignored.push_back(std::move(column));
  }
  return Done{};
}

}  // namespace

const MappedColumn* ChannelMap::find(std::string_view header) const {
  for (const MappedColumn& column : columns) {
    if (column.header == header) return &column;
  }
  return nullptr;
}

bool ChannelMap::ignores(std::string_view header) const {
  return std::any_of(ignored.begin(), ignored.end(),
                     [&](const IgnoredColumn& column) { return column.header == header; });
}

ChannelMap map_for_file(const ChannelMap& map, std::string_view file) {
  ChannelMap out = map;
  std::erase_if(out.columns, [&](const MappedColumn& column) {
    return !column.file.empty() && column.file != file;
  });
  std::erase_if(out.ignored, [&](const IgnoredColumn& column) {
    return !column.file.empty() && column.file != file;
  });
  for (const IgnoredColumn& ignored : out.ignored) {
    if (ignored.file.empty()) continue;
    std::erase_if(out.columns, [&](const MappedColumn& column) {
      return column.file.empty() && column.header == ignored.header;
    });
  }
  std::stable_partition(out.columns.begin(), out.columns.end(),
                        [](const MappedColumn& column) { return !column.file.empty(); });
  return out;
}

std::size_t known_headers(const ChannelMap& map, const std::vector<std::string>& headers) {
  std::size_t out = 0;
  for (const std::string& header : headers) {
    const bool of_clock = std::find(map.clock.columns.begin(), map.clock.columns.end(), header) !=
                          map.clock.columns.end();
    const bool of_shape =
        std::find(map.shape.name.begin(), map.shape.name.end(), header) != map.shape.name.end();
    out += map.find(header) != nullptr || of_clock || of_shape ? 1U : 0U;
  }
  return out;
}

Result<ChannelMap> parse_channel_map(std::string_view text, std::string_view name) {
  const Result<toml::table> table = parse_toml(text, name);
  if (!table) return table.error();
  const Status keys = refuse_unknown_keys(*table,
                                          {"file", "clock", "shape", "column", "ignore",
                                           "sentinels", "barometer", "refrigerant", "note"},
                                          name);
  if (!keys) return keys.error();
  ChannelMap map;
  map.name = std::string(name);
  map.hash = content_hash(text);
  if (Status s = read_map_sections(*table, name, map); !s) return s.error();
  Result<std::vector<double>> sentinels = read_sentinels(*table, name);
  if (!sentinels) return sentinels.error();
  map.sentinels = std::move(*sentinels);
  map.refrigerant = (*table)["refrigerant"].value_or(std::string{});
  if (table->contains("barometer")) {
    const Result<double> p = toml_quantity(*table, "barometer", Dimension::pressure, name);
    if (!p) return p.error();
    map.barometric_pressure = *p;
  }
  if (Status ignored = read_ignored(*table, name, map); !ignored) return ignored.error();
  if (const toml::array* columns = (*table)["column"].as_array()) {
    for (const toml::node& node : *columns) {
      if (!node.is_table()) {
        return at(node, name, ErrorCode::parse, "column must be a [[column]] table", "");
      }
      Result<MappedColumn> column = read_column(*node.as_table(), name);
      if (!column) return column.error();
      const auto same = [&](const MappedColumn& other) {
        return other.header == column->header && other.file == column->file;
      };
      if (std::any_of(map.columns.begin(), map.columns.end(), same)) {
        return at(node, name, ErrorCode::parse,
                  "the column \"" + column->header + "\" is mapped twice", "Remove one of the two");
      }
      map.columns.push_back(std::move(*column));
    }
  }
  return map;
}

Result<ChannelMap> read_channel_map(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (!text) return text.error();
  return parse_channel_map(*text, path.string());
}

std::string map_skeleton(const std::vector<std::string>& headers, std::string_view time_column) {
  const auto quoted = [](std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
      if (c == '"' || c == '\\') out += '\\';
      out += c;
    }
    return out + "\"";
  };
  std::string out = "[clock]\n";
  out +=
      "column = " + quoted(time_column.empty() ? "<the column with the time stamps>" : time_column);
  out += "\n# zone = \"America/Chicago\"   # if the stamps carry no offset\n";
  for (const std::string& header : headers) {
    out += "\n[[column]]\nheader = " + quoted(header) +
           "\nchannel = \"outdoor.1.discharge_temperature\"   # <place>.<quantity>"
           "\nunit = \"degC\"\n";
  }
  return out;
}

}  // namespace cw
