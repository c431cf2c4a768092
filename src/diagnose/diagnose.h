#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "checks/judgement.h"
#include "diagnose/cause_book.h"
#include "diagnose/cause_kinds.h"
#include "system/system.h"
#include "twin/design_days.h"

/// The causes behind what a recording shows: how sure, what speaks for and against, what to do
/// next, how much refrigerant is in, and what the machine will do on the coldest and hottest day.
///
/// A help for a qualified person, never an approval. Method and limits: docs/design/diagnose.md.
namespace cw::diagnose {

struct DiagnoseOptions {
  twin::DesignDays days;   ///< of the look ahead
  bool look_ahead = true;  ///< charge, inventory and design days, too
  /// A recording of the same machine from when it was sound: what it and the twin differ by there
  /// is taken off. Null: none.
  const Judgement* sound = nullptr;
  /// Calibrations to be tried beside the one of data/causes (bench/faults fits it with them).
  std::vector<double> trial_temperatures;
  /// Told which step is at work; may be empty.
  std::function<void(std::string_view step)> progress;
  std::function<bool()> stop;  ///< may be empty; true ends the work with an error; any thread
};

/// One reading that speaks for or against a cause.
struct Point {
  std::string what;  ///< "discharge temperature, outdoor module 1"
  Dimension dimension = Dimension::temperature;
  double seen = 0.0, healthy = 0.0, with_cause = 0.0;  ///< SI
  double uncertainty = 0.0;  ///< one sigma of seen less healthy; SI, or a share where `relative`
  bool relative = false;
};

struct RankedCause {
  const CauseKind* kind = nullptr;
  const CauseText* text = nullptr;
  std::string place;         ///< "outdoor.1", "system"
  double probability = 0.0;  ///< alone or together with another
  double severity = 0.0, low = 0.0, high = 0.0;
  bool by_table = false;  ///< the twin found no state: signature of the trade alone
  std::vector<Point> speaks_for, speaks_against;
  std::vector<std::string> signs;    ///< checks whose finding adds to it
  std::vector<std::string> same_as;  ///< other causes that these readings cannot tell from it
};

struct RankedPair {
  std::string first, second;  ///< "undercharge at system"
  double probability = 0.0;
};

struct NextTest {
  const TestText* test = nullptr;
  std::string place;         ///< where, from the cause that it is best for; may be empty
  double information = 0.0;  ///< expected, in bits
};

struct ChargeEstimate {
  bool proven = false;
  std::string why;  ///< what it rests on, or why it is unproven
  double sheet_kg = 0.0, kg = 0.0, low_kg = 0.0, high_kg = 0.0;  ///< 5 % lie below and above
};

/// Refrigerant in one part of the machine at the compared moment.
struct Store {
  std::string place;
  double kg = 0.0, low_kg = 0.0, high_kg = 0.0;
};

/// What the machine does on a design day.
struct DesignDay {
  bool cooling = false;
  double outdoor_K = 0.0;
  bool solved = false;
  double heat_W = 0.0;  ///< to the rooms, or out of them
  double healthy_heat_W = 0.0;
  double discharge_K = 0.0;  ///< hottest
  double discharge_limit_K = 0.0;
  bool slowed = false;             ///< by the discharge limit or a pressure limit
  double accumulator_level = 0.0;  ///< fullest; above 1 it overflows
  /// With the cause that is believed or the charge that was estimated; else as the sheet says.
  bool fitted = false;
};

struct Diagnosis {
  bool generic = false;              ///< without a system sheet
  bool compared_with_sound = false;  ///< an earlier recording of the sound machine was used
  std::string system;
  struct Seen {
    Instant start, end;
    PhaseKind kind = PhaseKind::unknown;
    double outdoor_K = 0.0;
    std::size_t calling = 0;
  };
  std::vector<Seen> moments;
  /// Findings of the judgement, by their index, that stand for themselves and were seen in none of
  /// the moments: their causes were not looked for.
  std::vector<std::size_t> outside;
  std::size_t readings = 0;     ///< compared
  double healthy = 0.0;         ///< probability that nothing is wrong
  double unknown = 0.0;         ///< that it is something that is not in the list
  double healthy_misfit = 0.0;  ///< mean squared distance from healthy, in sigmas; 1 is as expected
  double left_misfit = 0.0;     ///< the same with what explains the readings best
  std::vector<RankedCause> causes;  ///< by probability; those above 0.5 %, at most 12
  std::vector<RankedPair> pairs;
  std::vector<std::string> not_calculated;  ///< causes that the twin could not follow
  std::vector<NextTest> next;
  std::optional<ChargeEstimate> charge;
  std::vector<Store> stores;
  std::vector<DesignDay> days;
  std::vector<Assumption> assumptions;
  std::vector<std::string> notes;
  /// The probabilities with another calibration; one for each of the trial temperatures.
  struct Trial {
    double healthy = 0.0, unknown = 0.0;
    std::vector<std::pair<std::string, double>> causes;  ///< "undercharge@system", best first
  };
  std::vector<Trial> trials;
  /// Why nothing could be compared; empty when it could.
  std::string unproven;

  /// The cause to act on: the first, where it is likelier than "nothing", and "nothing" and
  /// "something else" together are less likely than the `call_above` of the cause book (or its
  /// `call_above_sound`, where the sound machine was learnt from); none where
  /// the readings stay far from the twin with it, too.
  const RankedCause* named() const;
  bool far_from_twin() const { return left_misfit > 3.0; }  ///< own choice (bench/faults)
};

/// @param system  the sheet; null: a generic machine, sized from the recording's units
/// @error as twin::make_model for a sheet that the twin cannot take
/// @error invalid_argument  stopped by DiagnoseOptions::stop
/// A recording in which nothing can be compared is no error: `unproven` says why.
/// Thread-safe.
Result<Diagnosis> diagnose(const Judgement& judgement, const System* system,
                           const DiagnoseOptions& options);

}  // namespace cw::diagnose
