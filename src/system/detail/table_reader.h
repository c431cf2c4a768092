#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/toml_mistakes.h"
#include "system/detail/defaults.h"
#include "system/system.h"

namespace cw::detail {

/// What one reading of a sheet collects on its way: nothing stops at the first mistake.
class Notes {
 public:
  explicit Notes(std::string_view file) : mistakes_(file) {}

  const std::string& file() const { return mistakes_.file(); }
  bool failed() const { return mistakes_.any(); }
  void fail(const toml::node& at, ErrorCode code, std::string message, std::string fix);
  void fail_at_line(int line, ErrorCode code, std::string message, std::string fix);
  void warn(const toml::node& at, std::string message, std::string fix);
  void warn_at(std::string where, std::string message, std::string fix);
  void assume(Assumption assumption) { assumptions.push_back(std::move(assumption)); }
  /// file:line of a unit's table.
  std::string where(const std::string& place) const;
  std::string where(int line) const { return mistakes_.where(line); }
  /// The errors in the order of the sheet.
  std::vector<Error> sorted_errors() const { return mistakes_.sorted(); }

  std::vector<Assumption> assumptions;
  std::vector<SheetWarning> warnings;
  std::map<std::string, int, std::less<>> line_of_place;  ///< where each unit's table stands

 private:
  TomlMistakes mistakes_;
};

/// What stands in for a figure that the sheet leaves open.
struct Estimate {
  double value = 0.0;  ///< SI
  std::string reason;
  std::string source;
};

/// Estimate of a figure that is `per kW` of rated cooling.
Estimate estimate_per_kW(std::string_view default_key, double cooling_W);
/// Estimate that is the default itself.
Estimate estimate_of(std::string_view default_key);

/// One table of the sheet. Unknown keys are refused when it is made; each getter reports what it
/// cannot read and returns nothing then, as it does for an absent key.
class TableReader {
 public:
  /// @param place  the place that assumptions are booked under, and that messages start with
  TableReader(const toml::table& table, std::string place, std::span<const std::string_view> keys,
              Notes& notes);

  const toml::table& table() const { return table_; }
  const std::string& place() const { return place_; }
  /// Remembers this table's line for a place.
  void note_line(const std::string& place) const;
  void rename(std::string place) { place_ = std::move(place); }
  bool has(std::string_view key) const { return table_.contains(key); }
  /// The key's node, or the table where the key is absent: for messages.
  const toml::node& at(std::string_view key) const;
  void fail(std::string_view key, std::string message, std::string fix,
            ErrorCode code = ErrorCode::invalid_argument) const;

  std::optional<std::string> text(std::string_view key) const;
  std::optional<double> quantity(std::string_view key, Dimension dimension,
                                 std::string_view range) const;
  /// A quantity, or its estimate as an assumption. A given figure far from the estimate is warned
  /// of. `key_name` is the key as assumptions and messages show it.
  double quantity_or(std::string_view key, Dimension dimension, std::string_view range,
                     const Estimate& estimate, std::string key_name = {}) const;
  std::optional<int> count(std::string_view key, int least, int most) const;
  std::optional<bool> flag(std::string_view key) const;
  std::optional<SheetDate> date(std::string_view key) const;
  const toml::table* inside(std::string_view key) const;
  /// The tables of [[key]] or key = [{...}, {...}].
  std::vector<const toml::table*> tables(std::string_view key) const;

 private:
  const toml::table& table_;
  std::string place_;
  Notes& notes_;
};

/// The known word nearest to `text` by letters changed, or empty when none is near.
std::string nearest_word(std::string_view text, std::span<const std::string> known);

/// Reads "indoor 3", "Indoor.3" as "indoor.3"; empty when the text is no place of these kinds.
std::optional<std::string> place_text(std::string_view raw,
                                      std::span<const std::string_view> kinds);

}  // namespace cw::detail
