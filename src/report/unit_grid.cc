#include "report/unit_grid.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/detail/json_number.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;
using State = CallTrack::State;

constexpr std::string_view letters = ".oihc";

/// Follows one unit row by row and fills its pieces.
class RowMaker {
 public:
  RowMaker(const Judgement& judgement, const CallBook& calls, const Place& unit, Instant from,
           Instant to, std::size_t pieces)
      : recording_(judgement.recording),
        from_(from),
        to_(to),
        pieces_(pieces),
        track_(calls.track(judgement.recording, unit)),
        on_(judgement.recording, judgement.recording.find(unit.text, "unit_on")),
        set_point_(judgement.recording, judgement.recording.find(unit.text, "set_point")),
        room_(judgement.recording, controlled_temperature_of(judgement.recording, unit)),
        allowed_(judgement.limits.value("set-point.watch_off_by")),
        seconds_(pieces),
        values_(pieces) {
    row_.place = unit;
    // A row stands until the next one, and no longer than a gap of this unit's readings.
    for (const char* name : {"set_point", "call", "unit_on"}) {
      const Channel* channel = recording_.find(unit.text, name);
      if (channel != nullptr) longest_ = std::max(longest_, longest_step(*channel));
    }
    const Channel* room = controlled_temperature_of(recording_, unit);
    if (room != nullptr) longest_ = std::max(longest_, longest_step(*room));
  }

  UnitRow make() {
    const auto& time = recording_.time;
    const auto first = std::upper_bound(time.begin(), time.end(), from_) - time.begin();
    for (auto i = static_cast<std::size_t>(std::max<std::ptrdiff_t>(first - 1, 0));
         i < time.size() && time[i] <= to_; ++i) {
      const double step =
          i + 1 < time.size() ? seconds_between(time[i], time[i + 1]) : usual_step();
      const double stands = std::min(step, longest_);
      take(i, time[i], Instant{time[i].ms + static_cast<std::int64_t>(stands * 1e3)});
    }
    finish();
    return std::move(row_);
  }

 private:
  double usual_step() const { return longest_ / gap_factor; }

  /// What row i says, as a position in `letters`.
  std::size_t state_at(std::size_t i, double deviation) {
    if (on_.at(i) < 0.5F) return 1;
    if (track_.state[i] == State::unknown) return 0;
    if (track_.state[i] == State::no) return 2;
    return std::abs(deviation) <= allowed_ ? 3 : 4;
  }

  void take(std::size_t i, Instant start, Instant end) {
    const float room = room_.at(i);
    const float set = set_point_.at(i);
    const double deviation = is_missing(room) || is_missing(set)
                                 ? std::nan("")
                                 : static_cast<double>(room) - static_cast<double>(set);
    const std::size_t state = state_at(i, deviation);
    const Instant a = std::max(start, from_);
    const Instant b = std::min(end, to_);
    if (b < a) return;
    const double seconds = seconds_between(a, b);
    if (state != 0) row_.known_s += seconds;
    if (state >= 3) row_.calling_s += seconds;
    if (state == 4 && !std::isnan(deviation)) row_.away_s += seconds;
    for (std::size_t k = piece_of(a); k < pieces_ && start_of(k) <= b; ++k) {
      const Instant from = std::max(a, start_of(k));
      const Instant to = std::min(b, start_of(k + 1));
      seconds_[k][state] += std::max(seconds_between(from, to), 1e-3);
      if (!std::isnan(deviation)) values_[k].push_back(static_cast<float>(deviation));
    }
  }

  Instant start_of(std::size_t k) const {
    const double share = static_cast<double>(k) / static_cast<double>(pieces_);
    return {from_.ms + static_cast<std::int64_t>(share * static_cast<double>(to_.ms - from_.ms))};
  }
  std::size_t piece_of(Instant at) const {
    if (to_ <= from_) return 0;
    const double share =
        static_cast<double>(at.ms - from_.ms) / static_cast<double>(to_.ms - from_.ms);
    const auto k = static_cast<std::size_t>(share * static_cast<double>(pieces_));
    return std::min(k, pieces_ - 1);
  }

  void finish() {
    for (std::size_t k = 0; k < pieces_; ++k) {
      const auto& seconds = seconds_[k];
      const auto most = std::max_element(seconds.begin() + 1, seconds.end());
      // Time that is not known does not outvote what is.
      const bool known = *most > 0.0;
      row_.state += letters[known ? static_cast<std::size_t>(most - seconds.begin()) : 0];
      std::vector<float>& values = values_[k];
      if (values.empty()) {
        row_.deviation.push_back(std::nan(""));
        continue;
      }
      const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
      std::nth_element(values.begin(), middle, values.end());
      row_.deviation.push_back(static_cast<double>(*middle));
    }
    row_.trouble = row_.known_s > 0.0 ? row_.away_s / row_.known_s : 0.0;
  }

  const Recording& recording_;
  const Instant from_, to_;
  const std::size_t pieces_;
  const CallTrack track_;
  Follower on_, set_point_, room_;
  const double allowed_;
  double longest_ = 0.0;
  UnitRow row_;
  std::vector<std::array<double, 5>> seconds_;  // [pieces] by state
  std::vector<std::vector<float>> values_;      // [pieces]
};

Verdict verdict_at(const Judgement& judgement, const Place& unit) {
  Verdict out = Verdict::unproven;
  for (const Finding& finding : judgement.findings) {
    if (!(finding.place == unit) || finding.verdict == Verdict::unproven) continue;
    out = out == Verdict::unproven ? finding.verdict : std::max(out, finding.verdict);
  }
  return out;
}

}  // namespace

std::vector<UnitRow> unit_grid(const Judgement& judgement, const CallBook& calls, Instant from,
                               Instant to, std::size_t pieces) {
  std::vector<UnitRow> out;
  for (const Place& unit : judgement.recording.places(PlaceKind::indoor)) {
    out.push_back(RowMaker(judgement, calls, unit, from, to, pieces).make());
    out.back().verdict = verdict_at(judgement, unit);
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const UnitRow& a, const UnitRow& b) { return a.trouble > b.trouble; });
  return out;
}

std::string unit_grid_json(const Judgement& judgement, const CallBook& calls, Instant from,
                           Instant to, std::size_t pieces) {
  Json units = Json::array();
  for (const UnitRow& row : unit_grid(judgement, calls, from, to, pieces)) {
    Json deviation = Json::array();
    for (const double value : row.deviation) {
      // Hundredths: sensors have tenths.
      deviation.push_back(std::isnan(value) ? Json(nullptr)
                                            : Json(std::round(value * 100.0) / 100.0));
    }
    units.push_back({{"place", row.place.text},
                     {"label", row.place.label()},
                     {"trouble", std::round(row.trouble * 1e4) / 1e4},
                     {"calling_s", std::round(row.calling_s)},
                     {"away_s", std::round(row.away_s)},
                     {"verdict", name_of(row.verdict)},
                     {"state", row.state},
                     {"deviation", std::move(deviation)}});
  }
  const Json out = {{"from_ms", from.ms},
                    {"to_ms", to.ms},
                    {"points", pieces},
                    {"allowed", judgement.limits.value("set-point.watch_off_by")},
                    {"units", std::move(units)}};
  return detail::json_line(out);
}

}  // namespace cw
