#include "report/twin_report.h"

#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/unit_text.h"
#include "report/detail/json_number.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;
using twin::Model;
using twin::WorkingPoint;

/// Six significant digits: more than the model is worth.
Json number(double value) { return detail::json_number(value, 6); }

std::string text_of(const Assumption& a) {
  std::string out = a.place.empty() ? a.key : a.place + ", " + a.key;
  if (!a.text.empty()) {
    out += ": " + a.text;
  } else if (a.dimension != Dimension::flag) {
    out += ": " + format_si(a.value, a.dimension, UnitSystem::si);
  }
  return out + " (" + a.reason + "; " + a.source + ")";
}

Json assumptions_json(const Model& model) {
  Json out = Json::array();
  for (const Assumption& assumption : model.assumptions()) out.push_back(text_of(assumption));
  return out;
}

Json readings_json(const Model& model, const twin::Readings& readings) {
  Json modules = Json::array();
  for (std::size_t j = 0; j < readings.modules.size(); ++j) {
    const twin::ModuleReadings& m = readings.modules[j];
    modules.push_back({{"place", model.system().outdoor()[j].id},
                       {"discharge_pressure", number(m.discharge_pressure)},
                       {"suction_pressure", number(m.suction_pressure)},
                       {"discharge_temperature", number(m.discharge_temperature)},
                       {"suction_temperature", number(m.suction_temperature)},
                       {"shell_temperature", number(m.shell_temperature)},
                       {"coil_temperature", number(m.coil_temperature)},
                       {"compressor_frequency", number(m.compressor_frequency)},
                       {"valve_opening", number(m.valve_opening)},
                       {"fan_speed", number(m.fan_speed)},
                       {"power", number(m.power)}});
  }
  Json units = Json::array();
  for (std::size_t i = 0; i < readings.units.size(); ++i) {
    const twin::UnitReadings& u = readings.units[i];
    units.push_back({{"place", model.system().indoor()[i].id},
                     {"gas_pipe_temperature", number(u.gas_pipe_temperature)},
                     {"liquid_pipe_temperature", number(u.liquid_pipe_temperature)},
                     {"controlled_temperature", number(u.controlled_temperature)},
                     {"supply_air_temperature", number(u.supply_air_temperature)},
                     {"valve_opening", number(u.valve_opening)},
                     {"calling", u.calling}});
  }
  return {{"outdoor_temperature", number(readings.outdoor_temperature)},
          {"modules", modules},
          {"units", units}};
}

Json inventory_json(const Model& model, const twin::Inventory& stock) {
  Json modules = Json::array();
  for (std::size_t j = 0; j < stock.modules.size(); ++j) {
    const auto& m = stock.modules[j];
    modules.push_back({{"place", model.system().outdoor()[j].id},
                       {"coil", number(m.coil)},
                       {"accumulator", number(m.accumulator)},
                       {"discharge", number(m.discharge)},
                       {"dissolved", number(m.dissolved)},
                       {"accumulator_level", number(m.accumulator_level)}});
  }
  Json units = Json::array();
  for (std::size_t i = 0; i < stock.units.size(); ++i) {
    units.push_back({{"place", model.system().indoor()[i].id},
                     {"coil", number(stock.units[i].coil)},
                     {"parked", stock.units[i].parked}});
  }
  return {{"total", number(stock.total)},
          {"gas_line", number(stock.gas_line)},
          {"liquid_line", number(stock.liquid_line)},
          {"third_line", number(stock.third_line)},
          {"modules", modules},
          {"units", units}};
}

Json insight_json(const Model& model, const twin::Insight& insight) {
  Json modules = Json::array();
  for (std::size_t j = 0; j < insight.modules.size(); ++j) {
    const auto& m = insight.modules[j];
    modules.push_back({{"place", model.system().outdoor()[j].id},
                       {"mass_flow", number(m.m_dot)},
                       {"suction_quality", number(m.suction_quality)},
                       {"suction_superheat", number(m.suction_superheat_K)},
                       {"subcooling", number(m.subcooling_K)},
                       {"coil_superheat", number(m.coil_superheat_K)},
                       {"airflow_share", number(m.airflow_share)},
                       {"accumulator_level", number(m.accumulator_level)}});
  }
  Json units = Json::array();
  for (std::size_t i = 0; i < insight.units.size(); ++i) {
    const auto& u = insight.units[i];
    units.push_back({{"place", model.system().indoor()[i].id},
                     {"mass_flow", number(u.m_dot)},
                     {"heat", number(u.heat_W)},
                     {"subcooling", number(u.subcooling_K)},
                     {"superheat", number(u.superheat_K)},
                     {"room", number(u.room_K)}});
  }
  return {{"heat_to_rooms", number(insight.heat_to_rooms_W)},
          {"heat_from_outdoors", number(insight.heat_from_outdoors_W)},
          {"power", number(insight.power_W)},
          {"condensing", number(insight.condensing_K)},
          {"evaporating", number(insight.evaporating_K)},
          {"modules", modules},
          {"units", units}};
}

Json limits_json(const WorkingPoint& point) {
  Json out = Json::array();
  for (const twin::LimitReached& limit : point.limits) {
    out.push_back({{"what", limit.what},
                   {"place", limit.place},
                   {"value", number(limit.value)},
                   {"limit", number(limit.limit)},
                   {"unit", si_symbol(limit.dimension)},
                   {"trips", limit.trips}});
  }
  return out;
}

std::string sentence_of(const WorkingPoint& point) {
  for (const twin::LimitReached& limit : point.limits) {
    if (limit.trips) return "stops by " + std::string(limit.what);
  }
  if (point.floods) return "the accumulator is full: liquid reaches the compressor";
  for (const twin::LimitReached& limit : point.limits) {
    return "held back by " + std::string(limit.what);
  }
  return "";
}

Json cell_json(const twin::MapCell& cell) {
  if (!cell.point) return {{"solved", false}, {"why", cell.why}};
  const WorkingPoint& point = *cell.point;
  double level = 0.0;
  double quality = 1.0;
  double hottest = 0.0;
  for (std::size_t j = 0; j < point.insight.modules.size(); ++j) {
    level = std::max(level, point.insight.modules[j].accumulator_level);
    quality = std::min(quality, point.insight.modules[j].suction_quality);
    hottest = std::max(hottest, point.readings.modules[j].discharge_temperature);
  }
  return {{"solved", true},
          {"condensing_pressure", number(point.readings.modules.front().discharge_pressure)},
          {"evaporating_pressure", number(point.readings.modules.front().suction_pressure)},
          {"discharge_temperature", number(hottest)},
          {"subcooling", number(point.subcooling_K)},
          {"accumulator_level", number(level)},
          {"suction_quality", number(quality)},
          {"heat_to_rooms", number(point.insight.heat_to_rooms_W)},
          {"trips", point.trips},
          {"floods", point.floods},
          {"why", sentence_of(point)}};
}

}  // namespace

std::string working_point_json(const Model& model, const WorkingPoint& point) {
  return detail::json_line(
      {{"schema", "coilwright.twin/1"},
       {"solve",
        {{"iterations", point.solve.iterations}, {"residual", number(point.solve.residual)}}},
       {"charge_kg", number(point.charge_kg)},
       {"subcooling", number(point.subcooling_K)},
       {"activity", twin::name_of(point.readings.activity)},
       {"readings", readings_json(model, point.readings)},
       {"inventory", inventory_json(model, point.inventory)},
       {"insight", insight_json(model, point.insight)},
       {"limits", limits_json(point)},
       {"trips", point.trips},
       {"floods", point.floods},
       {"why", sentence_of(point)},
       {"assumptions", assumptions_json(model)}});
}

std::string charge_map_json(const Model& model, const twin::MapOptions& axes,
                            const std::vector<std::vector<twin::MapCell>>& cells) {
  Json rows = Json::array();
  for (const auto& row : cells) {
    Json out = Json::array();
    for (const twin::MapCell& cell : row) out.push_back(cell_json(cell));
    rows.push_back(std::move(out));
  }
  return detail::json_line({{"schema", "coilwright.twin-map/1"},
                            {"outdoors", axes.outdoors_K},
                            {"charges", axes.charges_kg},
                            {"cells", rows},
                            {"assumptions", assumptions_json(model)}});
}

}  // namespace cw
