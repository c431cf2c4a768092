#include <array>
#include <cmath>

#include "checks/catalogue.h"
#include "checks/deviations.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

constexpr const char* id = "shared-sensors";

/// Something that all modules on one pipe, or in one air, must read alike.
struct Shared {
  const char* quantity;
  const char* limit;  ///< what they may differ by, in the section of the sheet
};
constexpr std::array shared = {Shared{"discharge_pressure", ".high_pressure_by"},
                               Shared{"suction_pressure", ".low_pressure_by"},
                               Shared{"outdoor_temperature", ".outdoor_by"}};

std::string proof() {
  return "Record discharge_pressure, suction_pressure and outdoor_temperature of each module "
         "through " +
         format_duration(1800.0) + " in which all of them run, or all rest.";
}

/// One quantity of all modules that run steadily together, or rest together.
std::vector<Deviations> compare(const CheckContext& context, const char* quantity) {
  const Recording& recording = context.recording;
  std::vector<Deviations> out;
  std::vector<Follower> readings;
  std::vector<std::vector<Mask>> masks;
  for (const Place& module : modules_of(context)) {
    const Channel* channel = recording.find(module.text, quantity);
    if (channel == nullptr) continue;
    out.emplace_back(module, channel);
    readings.emplace_back(recording, channel);
    masks.push_back(network_masks(context, module, Regime::running));
  }
  if (out.size() < 2) return {};
  const std::vector<Mask> rest =
      standstill_masks(context, context.limits.value(std::string(id) + ".settle"));
  for (std::size_t i = 0; i < recording.size(); i += comparison_stride(recording)) {
    Moment now;
    for (std::size_t k = 0; k < out.size(); ++k) {
      const float v = readings[k].at(i);
      const bool counts = masks[k][i] == Mask::counts || rest[i] == Mask::counts;
      if (counts && !is_missing(v)) now.add(k, static_cast<double>(v));
    }
    if (now.who.size() < 2) continue;
    const double middle = now.middle();
    for (std::size_t n = 0; n < now.who.size(); ++n) {
      // Of two, each is the other's only measure; of more, the middle holds against one that is
      // off.
      const double peers = now.who.size() == 2 ? now.others(n) : middle;
      out[now.who[n]].add(recording.time[i], now.what[n] - peers);
    }
  }
  return out;
}

Finding judge(const CheckContext& context, const Deviations& d, double limit, std::size_t modules) {
  const std::string& label = d.channel().quantity->label;
  const double seen = d.seconds(context.recording);
  if (seen < context.limits.value("observation.least")) {
    return unproven(id, d.place(),
                    "The modules ran or rested together for " + format_duration(seen) + " only.",
                    proof());
  }
  const double guard = std::sqrt(2.0) * uncertainty_of(context, d.channel());
  Finding out = d.finding(context, id, guard, limit);
  const double by = out.measures.front().value;
  out.because = "Its " + label + " reads " + format_si(std::abs(by), out.dimension, context.units) +
                (by < 0.0 ? " under" : " over") +
                (modules == 2 ? " that of the other module" : " the middle of the modules") +
                " while they work or rest together (± " +
                format_si(guard, out.dimension, context.units) + ").";
  if (std::abs(by) > limit + guard) {
    d.to_watch(out, limit);
    if (modules == 2) out.because += " Which of the two is off, they cannot tell.";
  } else if (std::abs(by) > limit) {
    out.verdict = Verdict::unproven;
    out.because += " That is closer to the limit than the sensors can tell.";
    out.proof = "Compare both sensors with one good instrument.";
  }
  return out;
}

}  // namespace

std::vector<Finding> shared_sensors(const CheckContext& context) {
  const std::vector<Place> modules = modules_of(context);
  std::vector<std::vector<Finding>> parts(modules.size());
  for (const Shared& what : shared) {
    const std::vector<Deviations> compared = compare(context, what.quantity);
    for (const Deviations& d : compared) {
      const auto at = std::find(modules.begin(), modules.end(), d.place()) - modules.begin();
      parts[static_cast<std::size_t>(at)].push_back(
          judge(context, d, context.limits.value(std::string(id) + what.limit), compared.size()));
    }
  }
  std::vector<Finding> out;
  for (std::vector<Finding>& of_module : parts) {
    if (of_module.empty()) continue;
    out.push_back(worst_of(std::move(of_module),
                           "What it shares with the other modules it reads as they do."));
  }
  if (out.empty()) {
    out.push_back(unproven(id, whole_system(),
                           "The log has a pressure or an outdoor temperature of fewer than two "
                           "modules each.",
                           proof()));
  }
  return out;
}

}  // namespace cw::check
