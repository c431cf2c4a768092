#include "checks/calls.h"

#include "base/contract.h"

namespace cw {
namespace {

using State = CallTrack::State;

constexpr float hot_pipe = 318.15F;   // 45 degC: no stopped unit's pipe is that hot
constexpr float cold_pipe = 285.15F;  // 12 degC: nor that cold in a room

bool runs(PhaseKind kind) { return kind != PhaseKind::off && kind != PhaseKind::unknown; }

/// Decides one sample at a time; remembers the last answer for the band around the set point.
class CallDecider {
 public:
  CallDecider(const CheckContext& context, const Place& unit)
      : context_(context),
        call_(context.recording, context.recording.find(unit.text, "call")),
        cooling_call_(context.recording, context.recording.find(unit.text, "cooling_call")),
        on_(context.recording, context.recording.find(unit.text, "unit_on")),
        room_(context.recording, controlled_temperature_of(context.recording, unit)),
        set_point_(context.recording, context.recording.find(unit.text, "set_point")),
        pipe_(context.recording, context.recording.find(unit.text, "gas_pipe_temperature")),
        only_unit_(context.recording.places(PlaceKind::indoor).size() == 1),
        band_(static_cast<float>(context.limits.value("set-point.call_band"))) {
    for (const PhaseKind kind : context.phases.system.kind_at) {
      if (kind != PhaseKind::cooling && kind != PhaseKind::heating) continue;
      cools_ = kind == PhaseKind::cooling;
      break;
    }
  }

  std::string source() const {
    if (call_ || cooling_call_) return "call flag";
    if (room_ && set_point_) return "controlled temperature against set point";
    return only_unit_ ? "the compressor runs for the only unit" : "";
  }

  State at(std::size_t i) {
    const PhaseKind kind = context_.phases.system.kind_at[i];
    if (kind == PhaseKind::cooling) cools_ = true;
    if (kind == PhaseKind::heating || kind == PhaseKind::defrost) cools_ = false;
    const float on = on_.at(i);
    if (on < 0.5F) return last_ = State::no;
    if (call_ || cooling_call_) return last_ = by_flags(i);
    if (room_ && set_point_) return by_room(i, kind == PhaseKind::mixed);
    if (!only_unit_) return State::unknown;
    return runs(kind) ? State::yes : State::no;
  }

 private:
  State by_flags(std::size_t i) {
    const float heat = call_.at(i);
    const float cool = cooling_call_.at(i);
    if (is_missing(heat) && is_missing(cool)) return State::unknown;
    return heat > 0.5F || cool > 0.5F ? State::yes : State::no;
  }

  State by_room(std::size_t i, bool either_way) {
    const float room = room_.at(i);
    const float pipe = pipe_.at(i);
    // Heating and cooling at once: the unit's own pipe shows on which side it works.
    if (either_way && !is_missing(pipe) && !is_missing(room)) cools_ = pipe < room;
    const float off_by = (set_point_.at(i) - room) * (cools_ ? -1.0F : 1.0F);
    if (is_missing(off_by)) return last_ = State::unknown;
    if (off_by > band_) return last_ = State::yes;
    if (off_by < -band_) return last_ = State::no;
    // A room inside its band from the first reading: gas in the coil shows a call, too.
    if (last_ == State::unknown && (cools_ ? pipe < cold_pipe : pipe > hot_pipe)) {
      last_ = State::yes;
    }
    return last_;
  }

  const CheckContext& context_;
  Follower call_;
  Follower cooling_call_;
  Follower on_;
  Follower room_;
  Follower set_point_;
  Follower pipe_;
  bool only_unit_;
  float band_;
  bool cools_ = false;
  State last_ = State::unknown;
};

/// One reading is no trend: a lone answer between two that agree gives way.
void drop_lone_answers(std::vector<State>& states) {
  for (std::size_t i = 1; i + 1 < states.size(); ++i) {
    if (states[i - 1] == states[i + 1]) states[i] = states[i - 1];
  }
}

std::vector<State> states_of(const CheckContext& context, const Place& unit, std::string& source) {
  CallDecider decider(context, unit);
  source = decider.source();
  std::vector<State> out(context.recording.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = decider.at(i);
  drop_lone_answers(out);
  return out;
}

/// Adds since when each call goes on.
CallTrack with_starts(const Recording& recording, std::vector<State> states, std::string source) {
  CallTrack out;
  out.source = std::move(source);
  out.state = std::move(states);
  out.since.resize(recording.size());
  out.began.resize(recording.size());
  Instant since;
  bool began = false;
  State last = State::unknown;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const State now = out.state[i];
    if (now == State::yes && last != State::yes) {
      since = recording.time[i];
      began = last == State::no;
    }
    out.since[i] = since;
    out.began[i] = began;
    last = now;
  }
  return out;
}

}  // namespace

CallBook::CallBook(const CheckContext& context) {
  const std::size_t size = context.recording.size();
  const std::vector<Place> units = context.recording.places(PlaceKind::indoor);
  anyone_.assign(size, false);
  std::vector<bool> known(size, true);
  for (const Place& place : units) {
    Unit unit;
    const std::vector<State> states = states_of(context, place, unit.source);
    logged_ = logged_ || !unit.source.empty();
    for (std::size_t i = 0; i < size; ++i) {
      if (i == 0 || states[i] != states[i - 1]) unit.runs.push_back({i, states[i]});
      if (states[i] == State::yes) anyone_[i] = true;
      if (states[i] == State::unknown) known[i] = false;
    }
    units_.emplace(place.text, std::move(unit));
  }
  for (std::size_t i = 0; i < size; ++i) {
    if (units.empty() || !known[i]) {
      anyone_[i] = anyone_[i] || runs(context.phases.system.kind_at[i]);
    }
  }
}

CallTrack CallBook::track(const Recording& recording, const Place& unit) const {
  const auto found = units_.find(unit.text);
  CW_REQUIRE(found != units_.end());
  std::vector<State> states(recording.size(), State::unknown);
  const std::vector<Run>& stretches = found->second.runs;
  for (std::size_t k = 0; k < stretches.size(); ++k) {
    const std::size_t end = k + 1 < stretches.size() ? stretches[k + 1].first : states.size();
    for (std::size_t i = stretches[k].first; i < end; ++i) states[i] = stretches[k].state;
  }
  return with_starts(recording, std::move(states), found->second.source);
}

CallTrack track_calls(const CheckContext& context, const Place& unit) {
  if (context.calls != nullptr) return context.calls->track(context.recording, unit);
  std::string source;
  std::vector<State> states = states_of(context, unit, source);
  return with_starts(context.recording, std::move(states), std::move(source));
}

bool calls_are_logged(const CheckContext& context) {
  return context.calls != nullptr ? context.calls->logged() : CallBook(context).logged();
}

std::vector<bool> anyone_calls(const CheckContext& context) {
  return context.calls != nullptr ? context.calls->anyone() : CallBook(context).anyone();
}

void keep_calling(const CheckContext& context, const CallTrack& calls, double settle,
                  std::vector<Mask>& masks) {
  for (std::size_t i = 0; i < masks.size(); ++i) {
    if (masks[i] == Mask::ends) continue;
    if (calls.state[i] != State::yes) {
      masks[i] = Mask::ends;
    } else if (calls.began[i] &&
               seconds_between(calls.since[i], context.recording.time[i]) < settle) {
      masks[i] = Mask::pauses;
    }
  }
}

}  // namespace cw
