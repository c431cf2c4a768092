#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/own_mode.h"

namespace cw::check {
namespace {

constexpr const char* id = "changeover";

/// One unit's change from heating to cooling or back.
struct Turn {
  Instant start;
  OwnMode::Side to = OwnMode::Side::unknown;
  std::optional<double> took;   ///< until its pipe stood on the right side of its room [s]
  double waited = 0.0;          ///< for how long the unit stayed on that side [s]
  double ratio = std::nan("");  ///< lowest pressure ratio from `watch_after` on, while it waited
};

class ChangeoverJudge {
 public:
  ChangeoverJudge(const CheckContext& context, const Place& unit)
      : context_(context), unit_(unit), own_(own_mode(context.recording, unit)) {}

  Finding run() {
    const Recording& recording = context_.recording;
    if (own_.source.empty()) return open("The log does not show whether the unit heats or cools.");
    const Channel* gas = recording.find(unit_.text, "gas_pipe_temperature");
    const Channel* room = controlled_temperature_of(recording, unit_);
    if (gas == nullptr) return open("No gas-side pipe temperature in the log.");
    if (room == nullptr) return open("No controlled temperature in the log.");
    step_ = gas->interval;
    if (step_ > limit("watch_after") / 2.0) {
      return open("Readings come every " + format_duration(step_) +
                  ": too seldom to time a changeover.");
    }
    for (const std::size_t at : own_.turns) follow(at, *gas, *room);
    std::erase_if(turns_, [&](const Turn& t) {
      return !t.took && t.waited < limit("watch_after");  // given up before anything can be said
    });
    if (turns_.empty()) return open("The log shows no changeover of this unit that lasted.");
    return settle();
  }

 private:
  double limit(const char* key) const { return context_.limits.value(std::string(id) + "." + key); }

  Finding open(std::string because) const {
    return unproven(id, unit_, std::move(because),
                    "Record " + unit_.text +
                        ".mode (or call and cooling_call), gas_pipe_temperature and "
                        "controlled_temperature at least every minute, with both pressures, "
                        "through a change from heating to cooling or back.");
  }

  void follow(std::size_t at, const Channel& gas, const Channel& room) {
    const Recording& recording = context_.recording;
    Follower pipe(recording, &gas);
    Follower air(recording, &room);
    Follower ratio(recording, pressure_ratio());
    Turn turn;
    turn.start = recording.time[at];
    turn.to = own_.side[at];
    const double by = limit("pipe_by");
    for (std::size_t i = at; i < recording.size() && own_.side[i] == turn.to; ++i) {
      turn.waited = seconds_between(turn.start, recording.time[i]);
      const double over = static_cast<double>(pipe.at(i)) - static_cast<double>(air.at(i));
      const bool there = turn.to == OwnMode::Side::heats ? over >= by : over <= -by;
      if (there && !turn.took) turn.took = turn.waited;
      const auto now = static_cast<double>(ratio.at(i));
      if (turn.waited >= limit("watch_after") && !(turn.ratio <= now)) turn.ratio = now;
      if (turn.waited > limit("fault_after")) break;
    }
    turns_.push_back(turn);
  }

  const Channel* pressure_ratio() const {
    for (const Place& module : modules_of(context_)) {
      if (const Channel* c = context_.recording.find_upward(module, "pressure_ratio")) return c;
    }
    return nullptr;
  }

  /// Most changeovers that began within an hour.
  std::size_t most_in_an_hour() const {
    std::size_t most = 0;
    const auto time = [&](std::size_t k) { return context_.recording.time[own_.turns[k]]; };
    for (std::size_t first = 0, last = 0; last < own_.turns.size(); ++last) {
      while (seconds_between(time(first), time(last)) > 3600.0) ++first;
      most = std::max(most, last - first + 1);
    }
    return most;
  }

  Finding start_finding() const {
    Finding out;
    out.check = id;
    out.place = unit_;
    out.dimension = Dimension::time;
    out.verdict = Verdict::ok;
    std::vector<double> times;
    for (const Turn& t : turns_) {
      if (t.took) times.push_back(*t.took);
      out.observed += t.waited;
    }
    Measure m;
    m.name = "changeover_time";
    m.dimension = Dimension::time;
    m.uncertainty = step_;
    m.value = percentile_of(times, 0.5);
    m.low = percentile_of(times, 0.05);
    m.high = percentile_of(times, 0.95);
    m.expected_high = limit("watch_after");
    m.seconds = out.observed;
    out.measures.push_back(m);
    return out;
  }

  std::string moment(const Turn& turn) const {
    return format_instant(turn.start, context_.recording.clock) + " to " +
           (turn.to == OwnMode::Side::heats ? "heating" : "cooling");
  }

  void note(Finding& out, Verdict verdict, const Turn& turn, std::string because) const {
    const double took = turn.took.value_or(turn.waited);
    const Instant end{turn.start.ms + static_cast<std::int64_t>(took * 1e3)};
    out.evidence.push_back(
        {verdict, {turn.start, end, took, limit("watch_after"), took}, std::nullopt});
    if (verdict <= out.verdict) return;
    out.verdict = verdict;
    out.because = std::move(because);
  }

  Finding settle() const {
    Finding out = start_finding();
    const double late = limit("watch_after");
    for (const Turn& turn : turns_) {
      if (!turn.took) {
        const Verdict verdict =
            turn.waited >= limit("fault_after") ? Verdict::fault : Verdict::watch;
        note(out, verdict, turn,
             "After the change of " + moment(turn) +
                 " the gas-side pipe never reached the right "
                 "side of its room in " +
                 format_duration(turn.waited) + ".");
      } else if (*turn.took > late + step_) {
        note(out, Verdict::watch, turn,
             "The change of " + moment(turn) + " took " + format_duration(*turn.took) +
                 " until the gas-side pipe showed it.");
      } else if (turn.ratio < limit("ratio_below")) {
        note(out, Verdict::watch, turn,
             "After the change of " + moment(turn) +
                 " high and low pressure still fell together "
                 "(ratio " +
                 number_text(turn.ratio, 2) + ") later than " + format_duration(late) + ".");
      }
    }
    const std::size_t most = most_in_an_hour();
    if (out.verdict == Verdict::ok && static_cast<double>(most) > limit("watch_turns")) {
      out.verdict = Verdict::watch;
      out.because = "The unit changed between heating and cooling " + std::to_string(most) +
                    " times within an hour.";
    }
    if (out.verdict == Verdict::ok) {
      out.because =
          std::to_string(turns_.size()) +
          (turns_.size() == 1 ? " changeover, done in " : " changeovers, the slowest done in ") +
          format_duration(slowest()) + ".";
    }
    return out;
  }

  double slowest() const {
    double out = 0.0;
    for (const Turn& t : turns_) out = std::max(out, t.took.value_or(0.0));
    return out;
  }
  const CheckContext& context_;
  const Place& unit_;
  OwnMode own_;
  double step_ = 0.0;
  std::vector<Turn> turns_;
};

}  // namespace

std::vector<Finding> changeover(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    out.push_back(ChangeoverJudge(context, unit).run());
  }
  if (out.empty()) {
    out.push_back(unproven(id, whole_system(), "No indoor unit in the log.",
                           "Record mode, gas_pipe_temperature and controlled_temperature of each "
                           "indoor unit."));
  }
  return out;
}

}  // namespace cw::check
