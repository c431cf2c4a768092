#include "checks/calls.h"

namespace cw {
namespace {

using State = CallTrack::State;

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
  bool only_unit_;
  float band_;
  State last_ = State::unknown;
};

}  // namespace

CallTrack track_calls(const CheckContext& context, const Place& unit) {
  const Recording& recording = context.recording;
  CallDecider decider(context, unit);
  CallTrack out;
  out.source = decider.source();
  out.state.resize(recording.size());
  out.since.resize(recording.size());
  out.began.resize(recording.size());
  Instant since;
  bool began = false;
  State last = State::unknown;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const State now = decider.at(i);
    if (now == State::yes && last != State::yes) {
      since = recording.time[i];
      began = last == State::no;
    }
    out.state[i] = now;
    out.since[i] = since;
    out.began[i] = began;
    last = now;
  }
  return out;
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
