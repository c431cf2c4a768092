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

/// Puts another figure in a limit's place and keeps what stood there.
void replace(Limit& limit, Limit with) {
  with.replaced = std::move(limit.replaced);
  with.replaced.insert(with.replaced.begin(), limit.text + " of " + limit.sheet);
  with.overridden = true;
  limit = std::move(with);
}

bool is_limit_section(std::string_view key) {
  return key != "sheet" && key != "note" && key != "inherits";
}

}  // namespace

const LimitSheet& LimitSheet::defaults() {
  static const LimitSheet sheet = [] {
    const EmbeddedFile file = embedded::limits().front();
    const Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    LimitSheet out;
    out.name_ = (*table)["sheet"].value_or(std::string{});
    out.chain_ = {out.name_};
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

/// Stacks sheets on one another, the one that is inherited from first.
class LimitSheetReader {
 public:
  explicit LimitSheetReader(std::filesystem::path first) : open_{first.lexically_normal()} {}

  Result<LimitSheet> stacked(std::string_view text, std::string_view name,
                             const std::filesystem::path& directory);

 private:
  /// Lays the figures of a parsed file over those of a sheet.
  static Status lay_over(LimitSheet& sheet, const toml::table& table, std::string_view file);

  std::vector<std::filesystem::path> open_;  ///< the sheets whose ancestors are being read
};

Status LimitSheetReader::lay_over(LimitSheet& sheet, const toml::table& table,
                                  std::string_view file) {
  std::vector<Limit>& limits = sheet.limits_;
  for (const auto& [section, node] : table) {
    if (!is_limit_section(section.str())) continue;
    const toml::table* inside = node.as_table();
    if (inside == nullptr) {
      return Error{ErrorCode::parse, "\"" + std::string(section.str()) + "\" must be a [section]",
                   place_of(node, file), "Write [discharge-temperature] and its figures below it"};
    }
    for (const auto& [key, value] : *inside) {
      const std::string full = std::string(section.str()) + "." + std::string(key.str());
      const auto found = std::find_if(limits.begin(), limits.end(),
                                      [&](const Limit& limit) { return limit.key == full; });
      if (found == limits.end()) {
        std::vector<std::string> near;
        for (const Limit& limit : limits) {
          if (limit.key.starts_with(std::string(section.str()) + ".")) near.push_back(limit.key);
        }
        return Error{ErrorCode::parse, "there is no limit \"" + full + "\"", place_of(value, file),
                     near.empty() ? "Sections are the check ids, phases and observation; see "
                                    "data/limits/default.toml"
                                  : "Known in this section: " + list_of(near)};
      }
      Result<Limit> limit = read_limit(value, full, file, &*found);
      if (!limit) return limit.error();
      if (limit->dimension == Dimension::temperature &&
          (limit->value < 223.15 || limit->value > 473.15)) {
        return Error{ErrorCode::out_of_range, full + " is " + limit->text, place_of(value, file),
                     "Give a temperature between -50 degC and 200 degC; did the unit slip?"};
      }
      limit->sheet = sheet.name_;
      replace(*found, std::move(*limit));
    }
  }
  return Done{};
}

Result<LimitSheet> LimitSheetReader::stacked(std::string_view text, std::string_view name,
                                             const std::filesystem::path& directory) {
  const Result<toml::table> table = parse_toml(text, name);
  if (!table) return table.error();
  LimitSheet out = LimitSheet::defaults();
  if (const toml::node* node = table->get("inherits")) {
    const auto file = node->value<std::string>();
    if (!file || file->empty()) {
      return Error{ErrorCode::parse, "inherits must name a file", place_of(*node, name),
                   "Write inherits = \"machines.toml\", relative to this sheet"};
    }
    const std::filesystem::path path = (directory / *file).lexically_normal();
    // A circle through links has no end of names: no honest stack is that deep.
    constexpr std::size_t deepest = 20;
    if (open_.size() > deepest || std::find(open_.begin(), open_.end(), path) != open_.end()) {
      return Error{ErrorCode::inconsistent, "the sheet inherits from itself through " + *file,
                   place_of(*node, name), "Break the circle: one of these sheets must not inherit"};
    }
    const Result<std::string> below = read_file(path);
    if (!below) return below.error();
    open_.push_back(path);
    Result<LimitSheet> base = stacked(*below, path.string(), path.parent_path());
    if (!base) return base.error();
    out = std::move(*base);
  }
  out.name_ = (*table)["sheet"].value_or(std::string(name));
  out.chain_.push_back(out.name_);
  if (Status s = lay_over(out, *table, name); !s) return s.error();
  return out;
}

Result<LimitSheet> LimitSheet::parse(std::string_view text, std::string_view name,
                                     const std::filesystem::path& directory) {
  return LimitSheetReader(directory / name).stacked(text, name, directory);
}

Result<LimitSheet> LimitSheet::read(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (!text) return text.error();
  return LimitSheetReader(path).stacked(*text, path.string(), path.parent_path());
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
  Limit changed = *found;
  changed.value = si;
  changed.text = std::move(text);
  changed.source = std::move(source);
  changed.note.clear();
  changed.sheet = "command line";
  replace(*found, std::move(changed));
}

}  // namespace cw
