#include "checks/limit_sheet.h"

#include <algorithm>

#include "base/contract.h"
#include "base/file.h"
#include "base/text.h"
#include "base/toml_file.h"
#include "embedded/limits.h"

namespace cw {
namespace {

/// Reads one { value = "95 degC", source = "...", note = "..." }; without `expected` the dimension
/// is what the unit says or, where a unit can mean two things, what `kind` says.
Result<Limit> read_limit(const toml::node& node, std::string_view key, std::string_view name,
                         const Limit* expected) {
  const toml::table* table = node.as_table();
  if (table == nullptr) {
    return Error{ErrorCode::parse, std::string(key) + " must be a table", place_of(node, name),
                 "Write { value = \"10 K\", source = \"...\" }"};
  }
  if (Status s = refuse_unknown_keys(*table, {"value", "source", "note", "kind"}, name); !s) {
    return s.error();
  }
  Limit out;
  out.key = std::string(key);
  out.text = (*table)["value"].value_or(std::string{});
  if (expected != nullptr) {
    out.dimension = expected->dimension;
  } else if (const auto kind = (*table)["kind"].value<std::string>()) {
    const auto dimension = dimension_named(*kind);
    CW_REQUIRE(dimension.has_value());
    out.dimension = *dimension;
  } else {
    const std::size_t unit_at = out.text.find(' ');
    CW_REQUIRE(unit_at != std::string::npos);
    out.dimension = parse_unit(std::string_view(out.text).substr(unit_at)).value().dimension;
  }
  const Result<double> value = toml_quantity(*table, "value", out.dimension, name);
  if (!value) {
    Error error = value.error();
    error.message = std::string(key) + ", " + error.message;
    return error;
  }
  out.value = *value;
  if (out.dimension == Dimension::time && out.value < 0.0) {
    return Error{ErrorCode::out_of_range, std::string(key) + " = \"" + out.text + "\" is negative",
                 place_of(node, name), "Give a time of 0 s or more"};
  }
  out.source = (*table)["source"].value_or(std::string{});
  out.note = (*table)["note"].value_or(std::string{});
  if (out.source.empty()) {
    return Error{
        ErrorCode::parse, std::string(key) + " has no source", place_of(node, name),
        "Add source = \"...\": where the figure comes from, or \"common practice, no source\""};
  }
  return out;
}

bool is_limit_section(std::string_view key) { return key != "sheet" && key != "note"; }

}  // namespace

const LimitSheet& LimitSheet::defaults() {
  static const LimitSheet sheet = [] {
    const EmbeddedFile file = embedded::limits().front();
    const Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    LimitSheet out;
    out.name_ = (*table)["sheet"].value_or(std::string{});
    for (const auto& [section, node] : *table) {
      if (!is_limit_section(section.str())) continue;
      for (const auto& [key, value] : *node.as_table()) {
        const std::string full = std::string(section.str()) + "." + std::string(key.str());
        Limit limit = read_limit(value, full, file.name, nullptr).value();
        limit.sheet = out.name_;
        out.limits_.push_back(std::move(limit));
      }
    }
    return out;
  }();
  return sheet;
}

Result<LimitSheet> LimitSheet::parse(std::string_view text, std::string_view name) {
  const Result<toml::table> table = parse_toml(text, name);
  if (!table) return table.error();
  LimitSheet out = defaults();
  out.name_ = (*table)["sheet"].value_or(std::string(name));
  for (const auto& [section, node] : *table) {
    if (!is_limit_section(section.str())) continue;
    const toml::table* inside = node.as_table();
    if (inside == nullptr) {
      return Error{ErrorCode::parse, "\"" + std::string(section.str()) + "\" must be a [section]",
                   place_of(node, name), "Write [discharge-temperature] and its figures below it"};
    }
    for (const auto& [key, value] : *inside) {
      const std::string full = std::string(section.str()) + "." + std::string(key.str());
      const auto found = std::find_if(out.limits_.begin(), out.limits_.end(),
                                      [&](const Limit& limit) { return limit.key == full; });
      if (found == out.limits_.end()) {
        std::vector<std::string> near;
        for (const Limit& limit : out.limits_) {
          if (limit.key.starts_with(std::string(section.str()) + ".")) near.push_back(limit.key);
        }
        return Error{ErrorCode::parse, "there is no limit \"" + full + "\"", place_of(value, name),
                     near.empty() ? "Sections are the check ids, phases and observation; see "
                                    "data/limits/default.toml"
                                  : "Known in this section: " + list_of(near)};
      }
      Result<Limit> limit = read_limit(value, full, name, &*found);
      if (!limit) return limit.error();
      if (limit->dimension == Dimension::temperature &&
          (limit->value < 223.15 || limit->value > 473.15)) {
        return Error{ErrorCode::out_of_range, full + " is " + limit->text, place_of(value, name),
                     "Give a temperature between -50 degC and 200 degC; did the unit slip?"};
      }
      limit->sheet = out.name_;
      limit->overridden = true;
      *found = std::move(*limit);
    }
  }
  return out;
}

Result<LimitSheet> LimitSheet::read(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (!text) return text.error();
  return parse(*text, path.string());
}

const Limit& LimitSheet::limit(std::string_view key) const {
  const auto found = std::find_if(limits_.begin(), limits_.end(),
                                  [&](const Limit& limit) { return limit.key == key; });
  CW_REQUIRE(found != limits_.end());
  return *found;
}

bool LimitSheet::has(std::string_view key) const {
  return std::any_of(limits_.begin(), limits_.end(),
                     [&](const Limit& limit) { return limit.key == key; });
}

double LimitSheet::value(std::string_view key) const { return limit(key).value; }

void LimitSheet::set(std::string_view key, double si, std::string text, std::string source) {
  const auto found = std::find_if(limits_.begin(), limits_.end(),
                                  [&](const Limit& limit) { return limit.key == key; });
  CW_REQUIRE(found != limits_.end());
  found->value = si;
  found->text = std::move(text);
  found->source = std::move(source);
  found->note.clear();
  found->sheet = "command line";
  found->overridden = true;
}

}  // namespace cw
