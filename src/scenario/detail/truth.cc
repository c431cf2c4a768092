#include "scenario/detail/truth.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"

namespace cw::scenario::detail {
namespace {

using Json = nlohmann::ordered_json;

/// Six significant digits: a float holds seven.
std::string figure(double value) { return std::isfinite(value) ? number_text(value, 6) : "null"; }

/// Once a minute, less often where that would make more than 20000 rows.
double interval_for(double duration_s) {
  return 60.0 * std::max(1.0, std::ceil(duration_s / (60.0 * 20'000.0)));
}

Json number(double value) {
  return std::isfinite(value) ? Json::parse(figure(value)) : Json(nullptr);
}

Json stretches_json(const Scenario& scenario, const std::vector<Stretch>& stretches,
                    const char* what) {
  Json out = Json::array();
  const auto text = [&](double time_s) {
    return iso_text({scenario.start.ms + std::llround(time_s * 1e3)}, scenario.clock);
  };
  for (const Stretch& stretch : stretches) {
    out.push_back({{what, stretch.what},
                   {"from_s", number(stretch.from_s)},
                   {"until_s", number(stretch.until_s)},
                   {"from", text(stretch.from_s)},
                   {"until", text(stretch.until_s)}});
  }
  return out;
}

Json faults_json(const Scenario& scenario) {
  Json out = Json::array();
  for (const FaultEvent& fault : scenario.faults) {
    out.push_back({{"kind", std::string(fault.kind->name)},
                   {"place", fault.place},
                   {"severity", number(fault.severity)},
                   {"severity_text", fault.severity_text},
                   {"from_s", number(std::max(fault.from_s, -scenario.warm_up_s))},
                   {"until_s", number(std::min(fault.until_s, scenario.duration_s))},
                   {"ramp_s", number(fault.ramp_s)}});
  }
  return out;
}

Json assumptions_json(const std::vector<Assumption>& assumptions) {
  Json out = Json::array();
  for (const Assumption& a : assumptions) {
    out.push_back({{"place", a.place},
                   {"key", a.key},
                   {"value", a.text.empty() ? number(a.value) : Json(a.text)},
                   {"reason", a.reason},
                   {"source", a.source}});
  }
  return out;
}

}  // namespace

Truth::Truth(const Scenario& scenario, const twin::Model& model)
    : scenario_(&scenario),
      model_(&model),
      interval_s_(interval_for(scenario.duration_s)),
      defrost_since_s_(scenario.system.outdoor().size(), -1.0) {
  make_series();
}

/// The columns, in the order in which take() fills them.
void Truth::make_series() {
  const auto column = [&](std::string name) { series_.push_back({std::move(name), {}}); };
  for (const char* name :
       {"inventory.total_kg", "inventory.gas_line_kg", "inventory.liquid_line_kg",
        "inventory.third_line_kg", "heat_to_rooms_W", "heat_from_outdoors_W", "power_W",
        "condensing_K", "evaporating_K", "outdoor_temperature_K"}) {
    column(name);
  }
  for (const OutdoorModule& module : scenario_->system.outdoor()) {
    for (const char* name :
         {"coil_kg", "accumulator_kg", "discharge_kg", "dissolved_kg", "accumulator_level",
          "flow_kg_per_s", "suction_quality", "suction_superheat_K", "subcooling_K",
          "coil_superheat_K", "frost_kg", "airflow_share"}) {
      column(module.id + "." + name);
    }
  }
  for (const IndoorUnit& unit : scenario_->system.indoor()) {
    for (const char* name : {"coil_kg", "parked", "flow_kg_per_s", "heat_W", "subcooling_K",
                             "superheat_K", "room_K"}) {
      column(unit.id + "." + name);
    }
  }
}

void Truth::take(const twin::State& state) {
  twin::take_stock(*model_, state, stock_);
  twin::look_inside(*model_, state, insight_);
  std::size_t c = 0;
  for (const double value : {stock_.total, stock_.gas_line, stock_.liquid_line, stock_.third_line,
                             insight_.heat_to_rooms_W, insight_.heat_from_outdoors_W,
                             insight_.power_W, insight_.condensing_K, insight_.evaporating_K,
                             scenario_->weather.at(next_s()).temperature_K}) {
    add(c, value);
  }
  for (std::size_t j = 0; j < stock_.modules.size(); ++j) {
    const twin::Inventory::Module& s = stock_.modules[j];
    const twin::Insight::Module& i = insight_.modules[j];
    for (const double value : {s.coil, s.accumulator, s.discharge, s.dissolved, s.accumulator_level,
                               i.m_dot, i.suction_quality, i.suction_superheat_K, i.subcooling_K,
                               i.coil_superheat_K, i.frost_kg, i.airflow_share}) {
      add(c, value);
    }
  }
  for (std::size_t k = 0; k < stock_.units.size(); ++k) {
    const twin::Insight::Unit& i = insight_.units[k];
    for (const double value : {stock_.units[k].coil, stock_.units[k].parked ? 1.0 : 0.0, i.m_dot,
                               i.heat_W, i.subcooling_K, i.superheat_K, i.room_K}) {
      add(c, value);
    }
  }
  ++next_;
}

void Truth::watch(double time_s, const twin::Readings& readings) {
  if (!watching_) {
    watching_ = true;
    activity_ = readings.activity;
    activity_since_s_ = time_s;
  } else if (readings.activity != activity_) {
    activities_.push_back({std::string(twin::name_of(activity_)), activity_since_s_, time_s});
    activity_ = readings.activity;
    activity_since_s_ = time_s;
  }
  for (std::size_t j = 0; j < defrost_since_s_.size(); ++j) {
    const bool now = readings.modules[j].defrosting;
    if (now && defrost_since_s_[j] < 0.0) {
      defrost_since_s_[j] = time_s;
    } else if (!now && defrost_since_s_[j] >= 0.0) {
      defrosts_.push_back({scenario_->system.outdoor()[j].id, defrost_since_s_[j], time_s});
      defrost_since_s_[j] = -1.0;
    }
  }
}

void Truth::close(double time_s) {
  if (watching_ && time_s > activity_since_s_) {
    activities_.push_back({std::string(twin::name_of(activity_)), activity_since_s_, time_s});
  }
  for (std::size_t j = 0; j < defrost_since_s_.size(); ++j) {
    if (defrost_since_s_[j] < 0.0) continue;
    defrosts_.push_back({scenario_->system.outdoor()[j].id, defrost_since_s_[j], time_s});
  }
}

double Truth::first_total_kg() const { return series_.front().values.front(); }
double Truth::last_total_kg() const { return series_.front().values.back(); }

std::string Truth::json(const Simulation& run) const {
  const Scenario& s = *scenario_;
  Json head = {{"schema", "coilwright.truth/1"},
               {"program", std::string(version())},
               {"scenario", s.name},
               {"note", s.note},
               {"system", s.system.name()},
               {"refrigerant", std::string(s.system.refrigerant().name())},
               {"start", iso_text(s.start, s.clock)},
               {"duration_s", number(s.duration_s)},
               {"warm_up_s", number(s.warm_up_s)},
               {"seed", s.seed},
               {"charge_kg",
                {{"start", number(run.charge_at_start_kg)}, {"end", number(run.charge_at_end_kg)}}},
               {"faults", faults_json(s)},
               {"activities", stretches_json(s, run.activities, "activity")},
               {"defrosts", stretches_json(s, run.defrosts, "place")},
               {"conservation",
                {{"mass_relative", number(run.conservation.mass_relative)},
                 {"energy_relative", number(run.conservation.energy_relative)}}},
               {"real_time_factor", number(run.real_time_factor)},
               {"steps", run.steps},
               {"forced_steps", run.forced_steps},
               {"assumptions", assumptions_json(run.assumptions)}};
  Json files = Json::array();
  for (const OutputFile& file : run.files) files.push_back(file.name);
  files.push_back("truth.json");
  head["files"] = std::move(files);
  // One key a line and one series a line: a person can read it, and a program soon.
  std::string out = "{\n";
  for (const auto& [key, value] : head.items()) {
    out += "  \"" + key + "\": " + value.dump() + ",\n";
  }
  out += "  \"time_s\": [";
  for (std::size_t i = 0; i < next_; ++i) {
    out += (i == 0 ? "" : ",") + figure(static_cast<double>(i) * interval_s_);
  }
  out += "],\n  \"series\": {";
  for (std::size_t c = 0; c < series_.size(); ++c) {
    out += (c == 0 ? "\n    " : ",\n    ") + Json(series_[c].name).dump() + ": [";
    for (std::size_t i = 0; i < series_[c].values.size(); ++i) {
      if (i > 0) out += ',';
      out += figure(series_[c].values[i]);
    }
    out += ']';
  }
  return out + "\n  }\n}\n";
}

}  // namespace cw::scenario::detail
