#include "checks/calls.h"

namespace cw {
namespace {

using State = CallTrack::State;

constexpr float hot_pipe = 318.15F;  // 45 degC: no stopped unit's pipe is that hot

bool runs(PhaseKind kind) { return kind != PhaseKind::off && kind != PhaseKind::unknown; }

/// Decides one sample at a time; remembers the last answer for the band around the set point.
class CallDecider {
 public:
  CallDecider(const CheckContext& context, const Place& unit)
      : context_(context),
        call_(context.recording, context.recording.find(unit.text, "call")),
        on_(context.recording, context.recording.find(unit.text, "unit_on")),
        room_(context.recording, controlled_temperature_of(context.recording, unit)),
        set_point_(context.recording, context.recording.find(unit.text, "set_point")),
        pipe_(context.recording, context.recording.find(unit.text, "gas_pipe_temperature")),
        only_unit_(context.recording.places(PlaceKind::indoor).size() == 1),
        band_(static_cast<float>(context.limits.value("set-point.call_band"))) {}

  std::string source() const {
    if (call_) return "call flag";
    if (room_ && set_point_) return "controlled temperature against set point";
    return only_unit_ ? "the compressor runs for the only unit" : "";
  }

  State at(std::size_t i) {
    const float on = on_.at(i);
    if (on < 0.5F) return last_ = State::no;
    if (call_) {
      const float call = call_.at(i);
      return last_ = is_missing(call) ? State::unknown : call > 0.5F ? State::yes : State::no;
    }
    if (room_ && set_point_) {
      const float under = set_point_.at(i) - room_.at(i);
      if (is_missing(under)) return last_ = State::unknown;
      if (under > band_) return last_ = State::yes;
      if (under < -band_) return last_ = State::no;
      // A room inside its band from the first reading: hot gas in the coil shows a call, too.
      if (last_ == State::unknown && pipe_.at(i) > hot_pipe) last_ = State::yes;
      return last_;
    }
    if (!only_unit_) return State::unknown;
    return runs(context_.phases.system.kind_at[i]) ? State::yes : State::no;
  }

 private:
  const CheckContext& context_;
  Follower call_;
  Follower on_;
  Follower room_;
  Follower set_point_;
  Follower pipe_;
  bool only_unit_;
  float band_;
  State last_ = State::unknown;
};

}  // namespace

namespace {

/// One reading is no trend: a lone answer between two that agree gives way.
void drop_lone_answers(std::vector<State>& states) {
  for (std::size_t i = 1; i + 1 < states.size(); ++i) {
    if (states[i - 1] == states[i + 1]) states[i] = states[i - 1];
  }
}

}  // namespace

CallTrack track_calls(const CheckContext& context, const Place& unit) {
  const Recording& recording = context.recording;
  CallDecider decider(context, unit);
  CallTrack out;
  out.source = decider.source();
  out.state.resize(recording.size());
  out.since.resize(recording.size());
  out.began.resize(recording.size());
  for (std::size_t i = 0; i < recording.size(); ++i) out.state[i] = decider.at(i);
  drop_lone_answers(out.state);
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

bool calls_are_logged(const CheckContext& context) {
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    if (!CallDecider(context, unit).source().empty()) return true;
  }
  return false;
}

std::vector<bool> anyone_calls(const CheckContext& context) {
  const std::size_t size = context.recording.size();
  std::vector<bool> out(size, false);
  std::vector<bool> known(size, true);
  const std::vector<Place> units = context.recording.places(PlaceKind::indoor);
  for (const Place& unit : units) {
    const CallTrack track = track_calls(context, unit);
    for (std::size_t i = 0; i < size; ++i) {
      if (track.state[i] == State::yes) out[i] = true;
      if (track.state[i] == State::unknown) known[i] = false;
    }
  }
  for (std::size_t i = 0; i < size; ++i) {
    if (units.empty() || !known[i]) out[i] = out[i] || runs(context.phases.system.kind_at[i]);
  }
  return out;
}

}  // namespace cw
