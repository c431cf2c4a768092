#pragma once

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/unit_text.h"
#include "checks/hold.h"
#include "checks/limit_sheet.h"
#include "checks/verdict.h"
#include "fluid/refrigerant.h"
#include "phases/phases.h"
#include "series/recording.h"

namespace cw {

class CallBook;
class System;

/// When a question can be asked.
enum class AskedIn : std::uint8_t {
  heating,
  cooling,
  running,     ///< heating, cooling or both at once
  recovery,    ///< heating and cooling at once
  standstill,  ///< no compressor runs
  any,
};
std::string_view name_of(AskedIn mode) noexcept;

/// A window with what it means.
struct Evidence {
  Verdict verdict = Verdict::watch;
  Window window;
  std::optional<Dimension> dimension;  ///< of value and limit, where it is not the finding's
};

/// On which side of what is expected a measured quantity lies, by more than its uncertainty.
enum class Direction : std::uint8_t { within, below, above, unclear };
std::string_view name_of(Direction direction) noexcept;

/// What a check measured, for programs that go on from here. SI; nan where there is nothing.
struct Measure {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();

  std::string name;  ///< "discharge_superheat"
  Dimension dimension = Dimension::temperature;
  double value = none;            ///< median of the readings that counted
  double low = none;              ///< 5 % of them lie below
  double high = none;             ///< 5 % of them lie above
  double uncertainty = 0.0;       ///< half width at about 95 %, from the accuracies of the sensors
  double expected_low = none;     ///< what is expected lies above; nan: open
  double expected_high = none;    ///< and below
  double seconds = 0.0;           ///< time that counted
  std::vector<double> by_window;  ///< median in each of the judgement's windows; nan: not seen

  Direction direction() const noexcept;
};

/// What one check says of one place.
struct Finding {
  std::string check;  ///< check id
  Place place;
  Verdict verdict = Verdict::unproven;
  std::string because;  ///< one or two plain sentences in the reader's units
  std::string proof;    ///< for unproven: the recording that would prove it; else empty
  std::string channel;  ///< name of the judged channel; empty when there is none
  Dimension dimension = Dimension::temperature;  ///< of the windows' value and limit
  std::vector<Evidence> evidence;
  double observed = 0.0;  ///< time that counted [s]
  std::vector<Measure> measures;
  /// The finding that this one most likely follows from, as an index into the list that both are in
  /// (roots.h); empty: it stands for itself.
  std::optional<std::size_t> root;
  std::string root_because;  ///< why it follows: half a sentence
};

/// A stretch of steady work of the whole system: what features are compared over.
struct SteadyWindow {
  Instant start;
  Instant end;
  PhaseKind kind = PhaseKind::unknown;  ///< heating, cooling or mixed
};

/// What every check may look at.
struct CheckContext {
  const Recording& recording;  ///< with derived channels
  const Phases& phases;
  const LimitSheet& limits;
  UnitSystem units = UnitSystem::si;                ///< for sentences
  const fluid::Refrigerant* refrigerant = nullptr;  ///< null: no uncertainty of saturation
  const CallBook* calls = nullptr;                  ///< calls worked out beforehand; may be null
  std::span<const SteadyWindow> windows = {};       ///< for Measure::by_window
  bool instant = false;                             ///< readings of one moment: nothing can be held
  const System* system = nullptr;                   ///< the system sheet, where there is one
};

/// A check of the catalogue: its text in data/checks/<id>.toml, its logic in one file.
struct Check {
  std::string id;
  std::string title;  ///< for people, "Discharge temperature"
  std::string asks;   ///< the question
  std::string means;  ///< what a finding means, in half a sentence
  std::string why;
  std::string needs;  ///< channels and conditions
  std::string cannot_see;
  AskedIn mode = AskedIn::any;
  bool main = false;     ///< left open, it leaves the system's verdict open; else it only adds
  bool instant = false;  ///< can say something of readings of one moment
  bool sheet = false;    ///< asked only with a system sheet
  std::vector<std::string> plot;         ///< quantities of its picture
  std::vector<std::string> plot_limits;  ///< keys of the limit sheet, drawn in it
  std::vector<Finding> (*run)(const CheckContext&) = nullptr;
};

/// All checks in the order of reports. Read once, then constant: thread-safe.
std::span<const Check> check_catalogue();

/// The check of an id; null when there is none.
const Check* find_check(std::string_view id);

/// Does the recording show the work that a check asks about? A log that shows cooling alone is not
/// asked about heating, were all its runs too short to be judged; one that shows neither is asked
/// about both. What needs a system sheet is asked only with one. A log of a machine that never runs
/// is asked about standstill, and about what holds in any mode, and leaves the main questions of
/// running open.
bool is_asked(const Check& check, const CheckContext& context);

}  // namespace cw
