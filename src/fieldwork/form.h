#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/instant.h"
#include "base/reader.h"
#include "base/result.h"
#include "base/unit_text.h"

/// Field procedures: what a technician works out by hand, with the numbers put in.
///
/// Every procedure takes a Form (texts as a person typed them, by option name) and gives a
/// FieldSheet. Options, TOML files, questions on a terminal and the workbench all fill the same
/// Form, so that a value is read, and refused, in one place. Nothing throws.
namespace cw::field {

/// One thing that a procedure asks for. Its flag is its name everywhere: `--start-temperature` on
/// the command line is `start-temperature` (or `start_temperature`) in a TOML file.
struct Question {
  std::string_view flag;        ///< "--volume"
  std::string_view value_name;  ///< "VOLUME"; empty for a switch
  std::string_view help;        ///< one line, with an example and the default
  bool repeatable = false;
  bool asked = false;  ///< asked when the command is called bare on a terminal
};

/// The values that make sense for one answer, with the reason a person is told. SI.
struct Range {
  double lowest = 0.0;
  double highest = 0.0;
  std::string_view why;  ///< "a pipe has a volume"
  std::string_view fix;  ///< "Give the volume of the tested part, for example 60L"
};

/// The barometer at the site.
struct Site {
  double barometer = standard_atmosphere;  ///< [Pa]
  std::string source;                      ///< where it comes from, for the sheet
  bool assumed = true;                     ///< nobody said anything of barometer or altitude
};

/// Answers by flag name, as text.
class Form {
 public:
  Reader reader = Reader::command_line;  ///< of sentences that say what can be done

  void add(std::string_view flag, std::string text);
  void replace(std::string_view flag, std::string text);
  bool has(std::string_view flag) const { return answers_.find(flag) != answers_.end(); }
  bool empty() const noexcept { return answers_.empty(); }
  std::optional<std::string> text(std::string_view flag) const;  ///< the last answer
  std::vector<std::string> all(std::string_view flag) const;
  std::string text_or(std::string_view flag, std::string_view fallback) const;

  /// A file that is the answer to a question.
  struct File {
    std::string name;  ///< as it was given
    std::string text;
  };
  /// Answers a question with a file that came with the form: nothing is then read from the disk.
  void attach(std::string_view flag, File file);
  /// The file that a question names: the attached one, else that at the answer's path.
  /// @error not_found, unreadable as read_file; not_found without an answer
  Result<File> file(std::string_view flag) const;
  bool is_attached(std::string_view flag) const { return files_.find(flag) != files_.end(); }

  /// An answer that must be there.
  /// @error not_found when it is missing; parse, unit; out_of_range with the range's reason
  Result<double> need(std::string_view flag, Dimension dimension, const Range& range) const;
  /// An answer with a default [SI].
  Result<double> quantity_or(std::string_view flag, Dimension dimension, double fallback,
                             const Range& range) const;
  Result<std::optional<double>> quantity(std::string_view flag, Dimension dimension,
                                         const Range& range) const;
  /// "25C, 24.5C": several values, comma-separated or by repeating the flag; empty when missing.
  Result<std::vector<double>> list(std::string_view flag, Dimension dimension,
                                   const Range& range) const;
  /// A gas pressure that says gauge or absolute [Pa absolute].
  /// @error unit  it says neither: between the two lies a whole atmosphere
  Result<double> need_pressure(std::string_view flag, const Site& site, const Range& range) const;
  /// Hours as "24" or "36h" or "2d" [s].
  Result<std::optional<double>> duration(std::string_view flag, const Range& range,
                                         std::string_view bare_unit) const;
  /// One of the words, letter case ignored; `fallback` when missing.
  Result<std::string> word(std::string_view flag, std::span<const std::string_view> words,
                           std::string_view fallback) const;
  /// "2026-01-14" or "2026-01-14 06:30".
  Result<std::optional<Instant>> date(std::string_view flag) const;

 private:
  std::map<std::string, std::vector<std::string>, std::less<>> answers_;
  std::map<std::string, File, std::less<>> files_;
};

/// Fills a form from a TOML text. A number without a unit stays without one; `true` is a switch; a
/// list answers a repeatable question.
/// @error parse; not_found for a key that is no question, with the nearest one
Result<Form> read_form(std::string_view toml_text, std::string_view name,
                       std::span<const Question> questions);

/// --barometer or --altitude; the standard atmosphere, said so, without either.
/// @error out_of_range, inconsistent (both given)
Result<Site> read_site(const Form& form);

/// One quantity read by the rules of a Form; `where` names it in errors.
Result<double> read_quantity(std::string_view text, Dimension dimension, const Range& range,
                             std::string_view where);
Result<double> read_pressure(std::string_view text, double barometer, const Range& range,
                             std::string_view where);
/// "2026-01-14", "2026-01-14 06:30", "2026-01-14T06:30:00".
Result<Instant> read_date(std::string_view text, std::string_view where);

}  // namespace cw::field
