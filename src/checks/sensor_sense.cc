#include <cmath>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

constexpr const char* id = "sensor-sense";

/// Something that physics does not allow to fall below 0.
struct Relation {
  const Channel* channel = nullptr;
  const Channel* less = nullptr;  ///< taken off; null: the channel is a difference itself
  Regime regime = Regime::running;
  std::string words;
};

Finding judge_relation(const CheckContext& context, const Place& module, const Relation& relation) {
  HeldJudge judge(context, id, module, relation.channel, Side::below,
                  compressor_masks(context, module, relation.regime));
  judge.subject = relation.words;
  if (relation.less != nullptr) {
    judge.judge_value(
        relation.channel->quantity->name + "_over_" + relation.less->quantity->name,
        Dimension::temperature_difference,
        uncertainty_of_difference(context, relation.channel, relation.less),
        [less = Follower(context.recording, relation.less)](std::size_t i, double t) mutable {
          return t - static_cast<double>(less.at(i));
        });
  }
  judge.rules_of_sheet();
  judge.condition = steady_text(context, module, relation.regime);
  judge.asks_for(module.text + " pressures with discharge, suction and liquid temperatures");
  return judge.finish();
}

}  // namespace

std::vector<Finding> sensor_sense(const CheckContext& context) {
  const Recording& recording = context.recording;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const auto find = [&](const char* name) { return recording.find_upward(module, name); };
    const std::vector<Relation> relations = {
        {find("discharge_superheat"), nullptr, Regime::running,
         "discharge temperature over its saturation (it cannot be colder)"},
        {find("suction_superheat"), nullptr, Regime::running,
         "suction temperature over its saturation (it cannot be colder)"},
        {find("subcooling"), nullptr, Regime::cooling,
         "saturation over the liquid temperature (it cannot be hotter)"},
        {find("saturated_evaporating_temperature") == nullptr ? nullptr : find("coil_temperature"),
         find("saturated_evaporating_temperature"), Regime::heating,
         "outdoor coil over the evaporating temperature (it cannot be colder)"},
    };
    std::vector<Finding> parts;
    for (const Relation& relation : relations) {
      if (relation.channel != nullptr) parts.push_back(judge_relation(context, module, relation));
    }
    if (parts.empty()) {
      out.push_back(unproven(id, module, "No two readings of the module can be compared.",
                             "Record " + module.text +
                                 " pressures with discharge, suction, liquid and coil "
                                 "temperatures."));
      continue;
    }
    out.push_back(worst_of(std::move(parts),
                           "No reading contradicts the pressures: nothing is colder than "
                           "saturation that cannot be."));
  }
  return out;
}

std::vector<Finding> commanded_real(const CheckContext& context) {
  const std::string name = "commanded-real";
  const LimitSheet& limits = context.limits;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* ratio = context.recording.find_upward(module, "pressure_ratio");
    const Channel* speed = nullptr;
    for (const Place& place : judged_places(context.recording, module, "compressor_frequency")) {
      if (speed == nullptr) speed = context.recording.find(place.text, "compressor_frequency");
    }
    HeldJudge judge(context, name, module, speed == nullptr ? nullptr : ratio, Side::below,
                    compressor_masks(context, module, Regime::running));
    judge.subject = speed == nullptr ? "compressor frequency" : "pressure ratio";
    const double from = limits.value(name + ".frequency_from");
    std::vector<bool> fast(context.recording.size());
    Follower frequency(context.recording, speed);
    for (std::size_t i = 0; i < fast.size(); ++i) {
      fast[i] = static_cast<double>(frequency.at(i)) >= from;
    }
    const auto limit = [value = limits.value(name + ".ratio_below")](std::size_t) { return value; };
    const std::string words = " although the compressor is told to run at " +
                              format_si(from, Dimension::frequency, context.units) + " or more";
    judge.rule(
        Verdict::fault, limit, limits.value(name + ".fault_hold"),
        [&](std::size_t i) { return fast[i]; }, words);
    judge.rule(
        Verdict::watch, limit, limits.value(name + ".watch_hold"),
        [&](std::size_t i) { return fast[i]; }, words);
    judge.condition = steady_text(context, module, Regime::running);
    judge.asks_for(module.text + ".compressor_frequency and both pressures");
    out.push_back(judge.finish());
  }
  return out;
}

}  // namespace cw::check
