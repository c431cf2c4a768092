#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"
#include "base/toml_mistakes.h"

/// Reading tables of a scenario: nothing stops at the first mistake.
namespace cw::scenario::detail {

using Mistakes = TomlMistakes;

/// Farthest that a moment lies from the start: ten years [s].
inline constexpr double longest_moment_s = 3653.0 * 86400.0;

/// What times in the scenario are counted from.
struct TimeBase {
  Clock clock;
  Instant start;
};

/// A date and time as TOML has them, without their offset.
CivilTime civil_of_toml(const toml::date_time& date) noexcept;

/// The instant of a date and time of day; wall clock as if it were UTC where the clock is unstated.
/// @error invalid_argument  a time that the zone's clock change leaves out, or no such date
Result<Instant> instant_of_wall(const CivilTime& wall, const Clock& clock);

/// One table; unknown keys are reported when it is made. A getter reports what it cannot read and
/// returns nothing then, as it does for an absent key.
class Table {
 public:
  Table(const toml::table& table, std::string name, std::initializer_list<std::string_view> known,
        Mistakes& mistakes);

  bool has(std::string_view key) const { return table_->contains(key); }
  const toml::node& at(std::string_view key) const;
  void fail(std::string_view key, std::string message, std::string fix,
            ErrorCode code = ErrorCode::invalid_argument) const;

  std::optional<std::string> text(std::string_view key) const;
  /// A text, or a list of texts; empty when absent.
  std::vector<std::string> texts(std::string_view key) const;
  std::optional<double> quantity(std::string_view key, Dimension dimension, double least,
                                 double most) const;
  /// As quantity(), absent: the fallback.
  double quantity_or(std::string_view key, Dimension dimension, double least, double most,
                     double fallback) const;
  std::optional<bool> flag(std::string_view key) const;
  std::optional<std::int64_t> whole(std::string_view key, std::int64_t least,
                                    std::int64_t most) const;
  /// A date and time, or a time after the start ("9 h"): seconds after the start.
  std::optional<double> moment(std::string_view key, const TimeBase& base) const;
  /// One of a closed list of words, as its position.
  std::optional<std::size_t> word(std::string_view key,
                                  std::initializer_list<std::string_view> words) const;
  const toml::table* inside(std::string_view key) const;
  std::vector<const toml::table*> tables(std::string_view key) const;

  const toml::table& toml() const { return *table_; }
  Mistakes& mistakes() const { return *mistakes_; }

 private:
  const toml::table* table_;
  std::string name_;
  Mistakes* mistakes_;
};

/// Positions of the ids that a pattern matches.
std::vector<std::size_t> matching(const std::vector<std::string>& ids, std::string_view pattern);

}  // namespace cw::scenario::detail
