#include "system/detail/defaults.h"

#include <algorithm>
#include <map>

#include "base/contract.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/system_defaults.h"

namespace cw::detail {
namespace {

struct Tables {
  std::map<std::string, DefaultFigure, std::less<>> figures;
  std::map<std::string, Range, std::less<>> ranges;
  std::vector<SizeRow> sizes;
  std::vector<FittingKind> fittings;
};

/// "0.36 L" as SI with the dimension that its unit has; a plain number is a ratio.
DefaultFigure figure_of(const toml::table& row) {
  DefaultFigure out;
  out.source = row["source"].value_or(std::string{});
  out.note = row["note"].value_or(std::string{});
  CW_REQUIRE(!out.source.empty());
  if (const auto number = row["value"].value<double>()) {
    out.value = *number;
    out.text = number_text(*number);
    return out;
  }
  out.text = row["value"].value_or(std::string{});
  const std::size_t blank = out.text.find(' ');
  CW_REQUIRE(blank != std::string::npos);
  out.dimension = parse_unit(std::string_view(out.text).substr(blank)).value().dimension;
  out.value = parse_quantity(out.text, out.dimension).value();
  return out;
}

Range range_from(const toml::table& row) {
  const auto text = [&](std::string_view key) {
    std::string value = row[key].value_or(std::string{});
    CW_REQUIRE(!value.empty());
    return value;
  };
  const auto si = [](const std::string& value) {
    const std::size_t blank = value.find(' ');
    const Dimension dimension = parse_unit(std::string_view(value).substr(blank)).value().dimension;
    return parse_quantity(value, dimension).value();
  };
  Range out;
  out.least_text = text("least");
  out.from_text = text("from");
  out.to_text = text("to");
  out.most_text = text("most");
  out.least = si(out.least_text);
  out.from = si(out.from_text);
  out.to = si(out.to_text);
  out.most = si(out.most_text);
  CW_REQUIRE(out.least <= out.from && out.from < out.to && out.to <= out.most);
  return out;
}

/// Ranges stand as range.altitude and as range.outdoor.cooling.
void add_ranges(const toml::table& table, const std::string& prefix, Tables& tables) {
  for (const auto& [key, node] : table) {
    const toml::table* inside = node.as_table();
    CW_REQUIRE(inside != nullptr);
    const std::string name = prefix + std::string(key.str());
    if (inside->contains("least")) {
      tables.ranges[name] = range_from(*inside);
    } else {
      add_ranges(*inside, name + ".", tables);
    }
  }
}

Tables read_tables() {
  Tables out;
  const EmbeddedFile file = embedded::system_defaults().front();
  const toml::table root = parse_toml(file.text, file.name).value();
  for (const auto& [section, node] : root) {
    const std::string name(section.str());
    if (name == "range") {
      add_ranges(*node.as_table(), "", out);
    } else if (name == "size") {
      for (const toml::node& row : *node.as_array()) {
        const toml::table& size = *row.as_table();
        out.sizes.push_back(
            {toml_quantity(size, "up_to", Dimension::power, file.name).value(),
             size["up_to"].value_or(std::string{}), size["liquid"].value_or(std::string{}),
             size["gas"].value_or(std::string{}), size["third"].value_or(std::string{})});
      }
    } else {
      for (const auto& [key, value] : *node.as_table()) {
        DefaultFigure figure = figure_of(*value.as_table());
        if (name == "fitting") {
          out.fittings.push_back({std::string(key.str()), figure.value, figure.source});
        }
        out.figures[name + "." + std::string(key.str())] = std::move(figure);
      }
    }
  }
  CW_REQUIRE(!out.sizes.empty());
  return out;
}

const Tables& tables() {
  static const Tables tables = read_tables();
  return tables;
}

}  // namespace

const DefaultFigure& default_figure(std::string_view key) {
  const auto found = tables().figures.find(key);
  CW_REQUIRE(found != tables().figures.end());
  return found->second;
}

const Range& range_of(std::string_view key) {
  const auto found = tables().ranges.find(key);
  CW_REQUIRE(found != tables().ranges.end());
  return found->second;
}

const SizeRow& size_for(double cooling_W) {
  for (const SizeRow& row : tables().sizes) {
    if (cooling_W <= row.up_to_W * (1.0 + 1e-9)) return row;
  }
  return tables().sizes.back();
}

const std::vector<FittingKind>& fitting_kinds() { return tables().fittings; }

}  // namespace cw::detail
