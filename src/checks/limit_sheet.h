#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"
#include "base/result.h"

namespace cw {

/// One figure of a limit sheet.
struct Limit {
  std::string key;     ///< "discharge-temperature.watch_above"
  double value = 0.0;  ///< SI
  Dimension dimension = Dimension::ratio;
  std::string text;  ///< as written, "95 degC"
  std::string source;
  std::string note;
  std::string sheet;  ///< name of the sheet that the value comes from
  bool overridden = false;
};

/// The limits, hold times and targets in force: the default sheet of data/limits with the figures
/// that a person's own sheet changes. Immutable once made; thread-safe.
class LimitSheet {
 public:
  /// The sheet that is compiled in.
  static const LimitSheet& defaults();

  /// The defaults changed by a file. A key that the defaults lack, or a unit of another kind, is
  /// refused.
  /// @error not_found, unreadable, parse, unit with file and line
  static Result<LimitSheet> read(const std::filesystem::path& path);
  /// As read(), from text.
  static Result<LimitSheet> parse(std::string_view text, std::string_view name);

  /// SI value; `key` must exist in the default sheet.
  double value(std::string_view key) const;
  const Limit& limit(std::string_view key) const;
  bool has(std::string_view key) const;
  const std::vector<Limit>& all() const { return limits_; }
  const std::string& name() const { return name_; }

  /// Changes one figure by hand (a command-line option).
  void set(std::string_view key, double si, std::string text, std::string source);

 private:
  std::string name_;
  std::vector<Limit> limits_;
};

}  // namespace cw
