#include "checks/masks.h"

#include <algorithm>

namespace cw {
namespace {

/// The channel that shows whether one compressor runs; null when it has none of its own.
const Channel* run_signal(const Recording& recording, const Place& compressor) {
  for (const char* name : {"compressor_frequency", "compressor_on", "compressor_load"}) {
    if (const Channel* channel = recording.find(compressor.text, name)) return channel;
  }
  return nullptr;
}

/// Takes out what the compressor itself did not do while its module ran.
void apply_own_run(const CheckContext& context, const Channel& signal, std::vector<Mask>& masks) {
  const Recording& recording = context.recording;
  const double starting = context.limits.value("phases.starting");
  const float threshold = signal.quantity->name == "compressor_load" ? 0.005F : 0.5F;
  Follower run(recording, &signal);
  bool started = false;  // its start is in the log
  Instant start;
  bool was_off = false;
  for (std::size_t i = 0; i < masks.size(); ++i) {
    const float value = run.at(i);
    if (!(value > threshold)) {
      masks[i] = Mask::ends;
      was_off = !is_missing(value);
      started = false;
      continue;
    }
    if (was_off) {
      started = true;
      start = recording.time[i];
    }
    was_off = false;
    const bool fresh = started && seconds_between(start, recording.time[i]) < starting;
    if (fresh && masks[i] == Mask::counts) masks[i] = Mask::pauses;
  }
}

/// How many modules are in which phase at one index.
struct ModuleCount {
  int heating = 0, cooling = 0, starting = 0, defrost = 0, recovering = 0, off = 0, other = 0;

  int steady(Regime regime) const {
    return (regime == Regime::cooling ? 0 : heating) + (regime == Regime::heating ? 0 : cooling);
  }
};

ModuleCount count_modules(const CheckContext& context, std::size_t i) {
  ModuleCount out;
  for (const Timeline& module : context.phases.modules) {
    switch (module.kind_at[i]) {
      case PhaseKind::heating:
        ++out.heating;
        break;
      case PhaseKind::cooling:
        ++out.cooling;
        break;
      case PhaseKind::starting:
        ++out.starting;
        break;
      case PhaseKind::defrost:
        ++out.defrost;
        break;
      case PhaseKind::recovering:
        ++out.recovering;
        break;
      case PhaseKind::off:
        ++out.off;
        break;
      default:
        ++out.other;
        break;
    }
  }
  return out;
}

}  // namespace

Mask mask_of(PhaseKind kind, Regime regime) noexcept {
  const bool any = regime == Regime::running;
  switch (kind) {
    case PhaseKind::heating:
      return any || regime == Regime::heating ? Mask::counts : Mask::ends;
    case PhaseKind::cooling:
      return any || regime == Regime::cooling ? Mask::counts : Mask::ends;
    case PhaseKind::mixed:
      return any || regime == Regime::mixed ? Mask::counts : Mask::ends;
    case PhaseKind::starting:
    case PhaseKind::defrost:
    case PhaseKind::recovering:
      return Mask::pauses;
    default:
      return Mask::ends;
  }
}

std::string steady_text(const CheckContext& context, const Place& place, Regime regime) {
  switch (regime) {
    case Regime::heating:
      return "steady heating";
    case Regime::cooling:
      return "steady cooling";
    case Regime::mixed:
      return "heating and cooling at once";
    case Regime::running:
      break;
  }
  const Work work = context.phases.timeline_of(place).work();
  if (work.mixes) {
    return work.heats || work.cools ? "steady work" : "heating and cooling at once";
  }
  if (work.heats && work.cools) return "steady heating and cooling";
  return work.cools ? "steady cooling" : "steady heating";
}

std::vector<Mask> compressor_masks(const CheckContext& context, const Place& place, Regime regime) {
  const Timeline& timeline = context.phases.timeline_of(place);
  std::vector<Mask> out(timeline.kind_at.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = mask_of(timeline.kind_at[i], regime);
  if (place.kind == PlaceKind::compressor) {
    if (const Channel* signal = run_signal(context.recording, place)) {
      apply_own_run(context, *signal, out);
    }
  }
  return out;
}

std::vector<Mask> network_masks(const CheckContext& context, const Place& module, Regime regime) {
  std::vector<Mask> out = compressor_masks(context, module, regime);
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (out[i] != Mask::counts) continue;
    const ModuleCount count = count_modules(context, i);
    if (count.defrost + count.recovering > 0) out[i] = Mask::pauses;
  }
  return out;
}

std::vector<Mask> indoor_coil_masks(const CheckContext& context, Regime regime) {
  std::vector<Mask> out(context.recording.size(), Mask::ends);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const bool mixed = context.phases.system.kind_at[i] == PhaseKind::mixed;
    if (regime == Regime::mixed) {
      if (mixed) out[i] = Mask::counts;
      continue;
    }
    const ModuleCount count = count_modules(context, i);
    if (count.defrost > 0) {
      out[i] = Mask::pauses;
    } else if (mixed) {
      out[i] = Mask::ends;
    } else if (count.steady(regime) > 0) {
      out[i] = Mask::counts;
    } else if (count.recovering + count.starting > 0) {
      out[i] = Mask::pauses;
    }
  }
  return out;
}

std::vector<Mask> room_masks(const CheckContext& context, bool off_counts) {
  std::vector<Mask> out(context.recording.size(), Mask::ends);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const ModuleCount count = count_modules(context, i);
    const bool mixed = context.phases.system.kind_at[i] == PhaseKind::mixed;
    if (mixed || count.heating + count.cooling + count.defrost + count.recovering > 0) {
      out[i] = Mask::counts;
    } else if (count.starting > 0) {
      out[i] = Mask::pauses;
    } else if (off_counts && count.off > 0 && count.other == 0) {
      out[i] = Mask::counts;
    }
  }
  return out;
}

std::vector<Mask> standstill_masks(const CheckContext& context, double settle) {
  const std::vector<PhaseKind>& kinds = context.phases.system.kind_at;
  std::vector<Mask> out(kinds.size(), Mask::ends);
  std::size_t since = 0;
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (kinds[i] != PhaseKind::off) {
      since = i + 1;
      continue;
    }
    const double rested = seconds_between(context.recording.time[since], context.recording.time[i]);
    if (rested >= settle) out[i] = Mask::counts;
  }
  return out;
}

}  // namespace cw
