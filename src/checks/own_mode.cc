#include "checks/own_mode.h"

namespace cw {
namespace {

using Way = OwnMode::Side;

Way side_of_mode(const Quantity& mode, float stored) {
  const auto at = static_cast<std::size_t>(stored);
  if (at >= mode.words.size()) return Way::unknown;
  const std::string& word = mode.words[at];
  return word == "heating" ? Way::heats : word == "cooling" ? Way::cools : Way::none;
}

class Decider {
 public:
  Decider(const Recording& recording, const Place& unit)
      : mode_channel_(recording.find(unit.text, "mode")),
        mode_(recording, mode_channel_),
        heat_(recording, recording.find(unit.text, "call")),
        cool_(recording, recording.find(unit.text, "cooling_call")),
        on_(recording, recording.find(unit.text, "unit_on")) {}

  std::string source() const {
    return mode_ ? "mode" : heat_ && cool_ ? "call and cooling_call" : "";
  }

  Way at(std::size_t i) {
    if (on_.at(i) < 0.5F) return Way::none;
    const float heat = heat_.at(i);
    const float cool = cool_.at(i);
    if (mode_) {
      const float stored = mode_.at(i);
      if (is_missing(stored)) return Way::unknown;
      const Way side = side_of_mode(*mode_channel_->quantity, stored);
      // The mode is what the unit would do; a call says that it does.
      const bool flagged = heat_ || cool_;
      const bool calls = heat > 0.5F || cool > 0.5F;
      return flagged && !calls ? Way::none : side;
    }
    if (!heat_ || !cool_ || is_missing(heat) || is_missing(cool)) return Way::unknown;
    return cool > 0.5F ? Way::cools : heat > 0.5F ? Way::heats : Way::none;
  }

 private:
  const Channel* mode_channel_;
  Follower mode_;
  Follower heat_;
  Follower cool_;
  Follower on_;
};

bool works(Way side) { return side == Way::heats || side == Way::cools; }

}  // namespace

OwnMode own_mode(const Recording& recording, const Place& unit) {
  Decider decider(recording, unit);
  OwnMode out;
  out.source = decider.source();
  out.side.assign(recording.size(), Way::unknown);
  out.since.assign(recording.size(), 0.0);
  if (out.source.empty()) return out;
  Way worked = Way::unknown;  // the last side on which it worked
  Instant began;
  for (std::size_t i = 0; i < out.side.size(); ++i) {
    const Way now = out.side[i] = decider.at(i);
    if (i == 0 || out.side[i - 1] != now) began = recording.time[i];
    out.since[i] = seconds_between(began, recording.time[i]);
    if (!works(now)) continue;
    if (works(worked) && worked != now) out.turns.push_back(i);
    worked = now;
  }
  return out;
}

}  // namespace cw
