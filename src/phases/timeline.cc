#include <algorithm>
#include <limits>

#include "base/instant.h"
#include "phases/detail/evidence.h"

namespace cw::detail {
namespace {

// Own choices, named so that they can be argued with.
constexpr double shortest_spell = 60.0;        // s: a shorter flip of inferred direction is noise
constexpr double longest_defrost = 1200.0;     // s: common practice, no source (usually 3..12 min)
constexpr double stop_beside_defrost = 180.0;  // s: the valve turns with the compressor stopped
constexpr double shortest_warm_coil = 120.0;   // s
constexpr double shortest_mixed = 900.0;       // s
constexpr float thawed = 275.15F;              // 2 degC: a coil this warm is thawing
constexpr float too_warm_for_frost = 288.15F;  // 15 degC outdoor

/// A run of samples [first, last] of one kind without a gap inside.
struct Spell {
  std::size_t first = 0;
  std::size_t last = 0;
  Raw raw = Raw::unknown;
};

class TimelineMaker {
 public:
  TimelineMaker(const Recording& recording, const Place& module, const Evidence& evidence,
                const PhaseOptions& options)
      : recording_(recording), module_(module), evidence_(evidence), options_(options) {}

  Timeline make() {
    cut();
    drop_lone_readings();
    fill_running();
    drop_flickers();
    settle_reverse();
    settle_warm_coil();
    fill_running();
    absorb_stops();
    settle_mixed();
    Timeline out;
    out.place = module_;
    out.inferred_mode = evidence_.inferred_mode;
    out.inferred_defrost = evidence_.inferred_defrost;
    assign_kinds(out);
    write_phases(out);
    return out;
  }

 private:
  double step(std::size_t i) const {  // from sample i-1 to i [s]
    return seconds_between(recording_.time[i - 1], recording_.time[i]);
  }
  bool gap_before(std::size_t i) const { return step(i) > evidence_.step_limit; }

  double length(const Spell& s) const {
    // Up to the next sample, when that follows without a gap: a sample stands for its interval.
    std::size_t end = s.last;
    if (end + 1 < recording_.size() && !gap_before(end + 1)) ++end;
    return seconds_between(recording_.time[s.first], recording_.time[end]);
  }
  bool touches_before(std::size_t k) const {
    return k > 0 && !gap_before(spells_[k].first) && spells_[k - 1].last + 1 == spells_[k].first;
  }
  bool touches_after(std::size_t k) const {
    return k + 1 < spells_.size() && touches_before(k + 1);
  }

  void cut() {
    for (std::size_t i = 0; i < recording_.size(); ++i) {
      const Raw raw = evidence_.raw[i];
      if (!spells_.empty() && spells_.back().raw == raw && !gap_before(i)) {
        spells_.back().last = i;
      } else {
        spells_.push_back({i, i, raw});
      }
    }
  }

  /// Joins neighbours of one kind after kinds were changed.
  void join() {
    std::vector<Spell> out;
    for (const Spell& s : spells_) {
      if (!out.empty() && out.back().raw == s.raw && out.back().last + 1 == s.first &&
          !gap_before(s.first)) {
        out.back().last = s.last;
      } else {
        out.push_back(s);
      }
    }
    spells_ = std::move(out);
  }

  static bool directed(Raw raw) {
    return raw == Raw::heat || raw == Raw::reverse || raw == Raw::cool || raw == Raw::mixed;
  }

  /// A running spell without direction takes its neighbour's: the next one's at a start, else the
  /// last.
  void fill_running() {
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      if (spells_[k].raw != Raw::running) continue;
      const Raw before = touches_before(k) ? spells_[k - 1].raw : Raw::unknown;
      const Raw after = touches_after(k) ? spells_[k + 1].raw : Raw::unknown;
      if (directed(before)) {
        spells_[k].raw = before;
      } else if (directed(after)) {
        spells_[k].raw = after;
      }
    }
    join();
  }

  /// A stop or a defrost that one reading alone shows, between readings that agree, is a bad bit.
  /// Above a minute between readings a single one may be true.
  void drop_lone_readings() {
    for (std::size_t k = 1; k + 1 < spells_.size(); ++k) {
      Spell& s = spells_[k];
      if (s.first != s.last || (s.raw != Raw::off && s.raw != Raw::defrost)) continue;
      if (!touches_before(k) || !touches_after(k) || length(s) > shortest_spell) continue;
      const Raw before = spells_[k - 1].raw;
      if (before == spells_[k + 1].raw && before != Raw::off) s.raw = before;
    }
    join();
  }

  void drop_flickers() {
    for (std::size_t k = 1; k + 1 < spells_.size(); ++k) {
      Spell& s = spells_[k];
      const bool inferred = s.raw == Raw::heat || s.raw == Raw::reverse ||
                            s.raw == Raw::warm_coil || s.raw == Raw::running;
      if (!inferred || !touches_before(k) || !touches_after(k)) continue;
      const Raw before = spells_[k - 1].raw;
      if (before == spells_[k + 1].raw && before != Raw::off && length(s) < shortest_spell) {
        s.raw = before;
      }
    }
    join();
  }

  float outdoor_at(const Spell& s) const {
    Follower outdoor(recording_, outdoor_temperature_of(recording_, module_));
    return outdoor.at(s.first);
  }

  /// Did the module heat shortly before spell k (a short stop may lie between)?
  bool heated_before(std::size_t k) const {
    if (!touches_before(k)) return false;
    if (spells_[k - 1].raw == Raw::heat) return true;
    return spells_[k - 1].raw == Raw::off && length(spells_[k - 1]) <= stop_beside_defrost &&
           touches_before(k - 1) && spells_[k - 2].raw == Raw::heat;
  }
  bool heats_after(std::size_t k) const {
    if (!touches_after(k)) return false;
    if (spells_[k + 1].raw == Raw::heat) return true;
    return spells_[k + 1].raw == Raw::off && length(spells_[k + 1]) <= stop_beside_defrost &&
           touches_after(k + 1) && spells_[k + 2].raw == Raw::heat;
  }

  /// Reverse running is a defrost when it is short, cold outside and framed by heating; else
  /// cooling.
  void settle_reverse() {
    bridge_reverse();
    std::vector<std::size_t> unframed;
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      Spell& s = spells_[k];
      if (s.raw != Raw::reverse) continue;
      const double seconds = length(s);
      const bool begins = !touches_before(k) || spells_[k - 1].raw == Raw::unknown;
      const bool framed = heated_before(k) || (begins && heats_after(k));
      const bool cold = !(outdoor_at(s) > too_warm_for_frost);
      if (framed && cold && seconds <= longest_defrost) {
        s.raw = seconds >= shortest_spell ? Raw::defrost : Raw::heat;
      } else {
        s.raw = seconds >= shortest_spell ? Raw::cool : Raw::running;
        unframed.push_back(k);
      }
    }
    stop_where_stopped(unframed);
    join();
  }

  /// Coils stay cold and warm behind a stop. Inside a defrost such a stop belongs to it; in cooling
  /// the machine is off.
  void stop_where_stopped(const std::vector<std::size_t>& which) {
    std::vector<Spell> out;
    std::size_t next = 0;
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      if (next == which.size() || which[next] != k) {
        out.push_back(spells_[k]);
        continue;
      }
      ++next;
      for (std::size_t i = spells_[k].first; i <= spells_[k].last; ++i) {
        const Raw raw = evidence_.stopped[i] ? Raw::off : spells_[k].raw;
        if (i > spells_[k].first && out.back().raw == raw) {
          out.back().last = i;
        } else {
          out.push_back({i, i, raw});
        }
      }
    }
    spells_ = std::move(out);
  }

  /// One reversal with a stop or a flicker in the middle is one.
  void bridge_reverse() {
    // Indoor coils pass through neutral on their way to cold: a warm outdoor coil beside it belongs
    // to it.
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      if (spells_[k].raw != Raw::warm_coil) continue;
      const bool before = touches_before(k) && spells_[k - 1].raw == Raw::reverse;
      const bool after = touches_after(k) && spells_[k + 1].raw == Raw::reverse;
      if (before || after) spells_[k].raw = Raw::reverse;
    }
    join();
    for (std::size_t k = 1; k + 1 < spells_.size(); ++k) {
      const bool inside = spells_[k - 1].raw == Raw::reverse && spells_[k + 1].raw == Raw::reverse;
      if (inside && touches_before(k) && touches_after(k) && length(spells_[k]) <= 90.0) {
        spells_[k].raw = Raw::reverse;
      }
    }
    join();
  }

  void settle_warm_coil() {
    const Channel* coil = recording_.find(module_.text, "coil_temperature");
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      Spell& s = spells_[k];
      if (s.raw != Raw::warm_coil) continue;
      float peak = missing;
      for (std::size_t i = s.first; coil != nullptr && i <= s.last; ++i) {
        if (!(peak >= coil->values[i])) peak = is_missing(coil->values[i]) ? peak : coil->values[i];
      }
      const double seconds = length(s);
      const bool thaws = seconds >= shortest_warm_coil && seconds <= longest_defrost &&
                         peak >= thawed && heated_before(k) &&
                         !(outdoor_at(s) > too_warm_for_frost);
      // A coil that stays warm in warm air is a condenser: cooling.
      const bool cools = seconds > longest_defrost && outdoor_at(s) > too_warm_for_frost;
      s.raw = thaws ? Raw::defrost : cools ? Raw::cool : Raw::heat;
    }
    join();
  }

  void absorb_stops() {
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      if (spells_[k].raw != Raw::off || length(spells_[k]) > stop_beside_defrost) continue;
      const bool before = touches_before(k) && spells_[k - 1].raw == Raw::defrost;
      const bool after = touches_after(k) && spells_[k + 1].raw == Raw::defrost;
      // A machine that stops for good after its defrost is off, not defrosting.
      if (after || (before && touches_after(k))) spells_[k].raw = Raw::defrost;
    }
    join();
  }

  void settle_mixed() {
    if (!evidence_.inferred_mode) return;
    for (Spell& s : spells_) {
      if ((s.raw != Raw::heat && s.raw != Raw::cool) || length(s) < shortest_mixed) continue;
      std::size_t both = 0;
      for (std::size_t i = s.first; i <= s.last; ++i) both += evidence_.both[i] ? 1U : 0U;
      if (both * 5 >= (s.last - s.first + 1) * 4) s.raw = Raw::mixed;
    }
  }

  static PhaseKind kind_of(Raw raw) {
    switch (raw) {
      case Raw::off:
        return PhaseKind::off;
      case Raw::heat:
        return PhaseKind::heating;
      case Raw::cool:
        return PhaseKind::cooling;
      case Raw::mixed:
        return PhaseKind::mixed;
      case Raw::defrost:
        return PhaseKind::defrost;
      default:
        return PhaseKind::unknown;
    }
  }

  /// Steady kinds, with the first minutes after a start and after a defrost set apart.
  void assign_kinds(Timeline& out) const {
    out.kind_at.resize(recording_.size(), PhaseKind::unknown);
    constexpr Instant never{std::numeric_limits<std::int64_t>::min() / 2};
    Instant started = never;
    Instant thawed_at = never;
    for (std::size_t k = 0; k < spells_.size(); ++k) {
      const Spell& s = spells_[k];
      const PhaseKind kind = kind_of(s.raw);
      const bool heats = kind == PhaseKind::heating || kind == PhaseKind::mixed;
      const bool cools = kind == PhaseKind::cooling || kind == PhaseKind::mixed;
      const bool steady = heats || cools;
      out.heats |= heats;
      out.cools |= cools;
      // Lost rows do not end a start-up or a recovery: what stood before the gap decides.
      if (k > 0 && steady) {
        if (spells_[k - 1].raw == Raw::off) started = recording_.time[s.first];
        if (spells_[k - 1].raw == Raw::defrost) thawed_at = recording_.time[s.first];
      }
      for (std::size_t i = s.first; i <= s.last; ++i) {
        out.kind_at[i] = kind;
        if (!steady) continue;
        const Instant now = recording_.time[i];
        if (seconds_between(thawed_at, now) < options_.recovering) {
          out.kind_at[i] = PhaseKind::recovering;
        } else if (seconds_between(started, now) < options_.starting) {
          out.kind_at[i] = PhaseKind::starting;
        }
      }
      if (kind == PhaseKind::off || kind == PhaseKind::unknown) started = thawed_at = never;
    }
  }

  std::string why(PhaseKind kind) const {
    switch (kind) {
      case PhaseKind::off:
        return evidence_.run_source + " shows no compressor running";
      case PhaseKind::starting:
        return "the first " + format_duration(options_.starting) + " after a compressor start";
      case PhaseKind::recovering:
        return "the first " + format_duration(options_.recovering) + " after a defrost";
      case PhaseKind::heating:
      case PhaseKind::cooling:
      case PhaseKind::mixed:
        return evidence_.run_source + " shows running; " + std::string(name_of(kind)) + " by " +
               evidence_.heat_source;
      case PhaseKind::defrost:
        return evidence_.inferred_defrost
                   ? "a short reversal inside heating, by " + evidence_.defrost_source
                   : "the log's " + evidence_.defrost_source;
      case PhaseKind::unknown:
        break;
    }
    if (evidence_.run_source.empty()) return "no channel shows whether a compressor runs";
    return "no channel shows what the machine does here";
  }

  void write_phases(Timeline& out) const {
    const auto& time = recording_.time;
    for (std::size_t i = 0; i < time.size(); ++i) {
      const bool gap = i > 0 && gap_before(i);
      if (gap) {
        out.phases.push_back({PhaseKind::unknown, time[i - 1], time[i], "no readings"});
      }
      const PhaseKind kind = out.kind_at[i];
      if (gap || i == 0 || kind != out.kind_at[i - 1]) {
        if (!gap && !out.phases.empty()) out.phases.back().end = time[i];
        out.phases.push_back({kind, time[i], time[i], why(kind)});
      } else {
        out.phases.back().end = time[i];
      }
    }
  }

  const Recording& recording_;
  const Place& module_;
  const Evidence& evidence_;
  const PhaseOptions& options_;
  std::vector<Spell> spells_;
};

}  // namespace

Timeline make_timeline(const Recording& recording, const Place& module, const Evidence& evidence,
                       const PhaseOptions& options) {
  return TimelineMaker(recording, module, evidence, options).make();
}

namespace {

/// The system does what the busiest of its modules does: thawing and starting are what matters for
/// the others, heating and cooling at once is mixed.
PhaseKind combined(const std::vector<Timeline>& modules, std::size_t i) {
  const auto any = [&](PhaseKind kind) {
    return std::any_of(modules.begin(), modules.end(),
                       [&](const Timeline& module) { return module.kind_at[i] == kind; });
  };
  if (any(PhaseKind::defrost)) return PhaseKind::defrost;
  if (any(PhaseKind::recovering)) return PhaseKind::recovering;
  if (any(PhaseKind::mixed)) return PhaseKind::mixed;
  if (any(PhaseKind::heating) && any(PhaseKind::cooling)) return PhaseKind::mixed;
  if (any(PhaseKind::heating)) return PhaseKind::heating;
  if (any(PhaseKind::cooling)) return PhaseKind::cooling;
  if (any(PhaseKind::starting)) return PhaseKind::starting;
  if (any(PhaseKind::unknown)) return PhaseKind::unknown;
  return PhaseKind::off;
}

}  // namespace

Timeline combine_timelines(const Recording& recording, const std::vector<Timeline>& modules) {
  Timeline out;
  out.place = *parse_place("system");
  if (modules.size() == 1) {
    out = modules.front();
    out.place = *parse_place("system");
    return out;
  }
  for (const Timeline& module : modules) {
    out.heats |= module.heats;
    out.cools |= module.cools;
    out.inferred_mode |= module.inferred_mode;
    out.inferred_defrost |= module.inferred_defrost;
  }
  // A gap of the system is one of all modules: their phases of kind unknown, "no readings".
  std::vector<Phase> gaps;
  for (const Phase& phase : modules.front().phases) {
    if (phase.why == "no readings") gaps.push_back(phase);
  }
  std::size_t next_gap = 0;
  out.kind_at.resize(recording.size());
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const Instant now = recording.time[i];
    const PhaseKind kind = combined(modules, i);
    out.kind_at[i] = kind;
    bool fresh = i == 0 || kind != out.kind_at[i - 1];
    if (next_gap < gaps.size() && gaps[next_gap].end == now) {
      out.phases.push_back(gaps[next_gap++]);
      fresh = true;
    } else if (!out.phases.empty()) {
      out.phases.back().end = now;
    }
    if (!fresh) continue;
    std::string why;
    for (const Timeline& module : modules) {
      if (!why.empty()) why += "; ";
      why += module.place.label() + " " + std::string(name_of(module.kind_at[i]));
    }
    out.phases.push_back({kind, now, now, why});
  }
  return out;
}

}  // namespace cw::detail
