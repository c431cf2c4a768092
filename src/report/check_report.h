#pragma once

#include <optional>
#include <string>
#include <vector>

#include "checks/judgement.h"
#include "ingest/import.h"

namespace cw {

namespace diagnose {
struct Diagnosis;
}

enum class Paper { a4, letter };

/// A4, in inch-pound units letter.
Paper usual_paper(UnitSystem units);
/// "a4" or "letter"; usual_paper() where nothing is said.
/// @error invalid_argument
Result<Paper> read_paper(const std::optional<std::string>& text, UnitSystem units);

/// Everything that the three forms of a check's report are written from.
struct CheckReport {
  const Import& import;  ///< what was read; its recording has moved into the judgement
  const Judgement& judgement;
  UnitSystem units = UnitSystem::si;
  Paper paper = Paper::a4;  ///< of the HTML when it is printed
  /// The causes behind it, where they were looked for: the owner's page and the HTML tell them,
  /// too.
  const diagnose::Diagnosis* diagnosis = nullptr;
};

/// The answers to the three questions, in words; terminal and HTML print the same.
struct Answers {
  struct Wrong {
    std::string text;
    std::vector<std::string> follows;  ///< one line for each finding that follows from it, and why
  };
  std::string healthy;                ///< "No: 2 faults and 1 watch."
  std::vector<Wrong> wrong;           ///< one for each root, worst first; no finding is left out
  std::vector<std::string> unjudged;  ///< one line a finding with what would prove it

  /// Roots and what follows from them in one list.
  std::vector<std::string> wrong_lines() const;
};
Answers answer(const CheckReport& report);

/// Findings of one check with the same verdict and sentence, taken together.
struct FindingGroup {
  const Finding* first = nullptr;
  std::vector<std::string> places;  ///< labels
};
/// Groups of the findings of one verdict, in catalogue order: twelve rooms that hold are one line.
std::vector<FindingGroup> grouped(const Judgement& judgement, Verdict verdict);

/// The checks beside the main questions that had not what they need, in a sentence; empty when all
/// had.
std::string further_open_text(const Judgement& judgement);

/// "indoor units 1, 2 and 5", "outdoor module 2".
std::string places_text(const std::vector<std::string>& labels);

/// "Refrigerant R-32, as the map a.toml says."
std::string refrigerant_sentence(const Judgement& judgement);

/// The system sheet in sentences: refrigerant, altitude, modules and units with their ratings, what
/// it left open; empty without a sheet.
std::vector<std::string> system_lines(const CheckReport& report);

/// The limit sheets that lie on one another and every figure that one of them changed, in
/// sentences; a line for the defaults alone.
std::vector<std::string> limit_changes(const Judgement& judgement);

/// What the owner of a machine asks of a report.
struct OwnerPage {
  std::string healthy;             ///< the answer in a sentence
  std::vector<std::string> means;  ///< what was found, without figures
  std::vector<std::string> to_do;
  std::vector<std::string> sure;  ///< what the verdict rests on, and what it does not show
};
OwnerPage owner_page(const CheckReport& report);

/// The recording in a line: files, span, readings, channels.
std::string recording_line(const CheckReport& report);

/// Plain text for a terminal, at most `width` columns; `colour` adds ANSI colour to verdict words.
std::string check_text(const CheckReport& report, std::size_t width, bool colour);

/// JSON, schema "coilwright.check/1" (docs/user/check-json.md): SI values, ISO 8601 times.
std::string check_json(const CheckReport& report);

/// One self-contained HTML file with SVG plots, for screen and paper.
std::string check_html(const CheckReport& report);

/// The cautions that belong under every verdict.
const std::vector<std::string>& check_cautions();

}  // namespace cw
