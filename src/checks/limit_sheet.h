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
  std::vector<std::string> replaced;  ///< what stood before, latest first: "95 degC of default"
};

/// The limits, hold times and targets in force: the default sheet of data/limits with the figures
/// that a person's own sheets change. A sheet may inherit from another one (`inherits = "FILE"`,
/// relative to itself), and so on down to the defaults. Immutable once made; thread-safe.
class LimitSheet {
 public:
  /// The sheet that is compiled in.
  static const LimitSheet& defaults();

  /// The defaults changed by a file and by what it inherits from. A key that the defaults lack, a
  /// unit of another kind, and a sheet that inherits from itself are refused.
  /// @error not_found, unreadable, parse, unit, inconsistent with file and line
  static Result<LimitSheet> read(const std::filesystem::path& path);
  /// As read(), from text; what it inherits from is looked for in `directory`.
  static Result<LimitSheet> parse(std::string_view text, std::string_view name,
                                  const std::filesystem::path& directory = {});

  /// SI value; `key` must exist in the default sheet.
  double value(std::string_view key) const;
  const Limit& limit(std::string_view key) const;
  bool has(std::string_view key) const;
  const std::vector<Limit>& all() const { return limits_; }
  const std::string& name() const { return name_; }
  /// Names of the sheets that lie on one another, the defaults first, this one last.
  const std::vector<std::string>& chain() const { return chain_; }

  /// Changes one figure by hand (a command-line option).
  void set(std::string_view key, double si, std::string text, std::string source);

 private:
  friend class LimitSheetReader;

  std::string name_;
  std::vector<std::string> chain_;
  std::vector<Limit> limits_;
};

}  // namespace cw
