#include <nlohmann/json.hpp>

#include "fluid/saturation.h"
#include "report/fluid_report.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;
using fluid::FluidState;
using fluid::Phase;

void add(Json& json, const char* key, const std::optional<double>& value) {
  if (value) json[key] = *value;
}

void add_transport(Json& json, Json& uncertainty, const char* key,
                   const std::optional<fluid::Transport>& value) {
  if (!value) return;
  json[key] = value->value;
  uncertainty[key] = value->uncertainty;
}

void add_state(Json& json, const FluidState& state) {
  json["T"] = state.T;
  json["p"] = state.p;
  json["rho"] = state.rho;
  json["h"] = state.h;
  json["s"] = state.s;
  json["u"] = state.u;
  add(json, "cp", state.cp);
  add(json, "cv", state.cv);
  add(json, "w", state.w);
  add(json, "q", state.q);
  Json uncertainty = Json::object();
  add_transport(json, uncertainty, "mu", state.mu);
  add_transport(json, uncertainty, "k", state.k);
  add_transport(json, uncertainty, "sigma", state.sigma);
  if (!uncertainty.empty()) json["relative_uncertainty"] = uncertainty;
  json["phase"] = name_of(state.phase);
}

Json head(const fluid::Refrigerant& refrigerant, fluid::ReferenceState reference,
          const Barometer& barometer) {
  Json out;
  out["schema"] = "coilwright.fluid/1";
  out["refrigerant"] = refrigerant.name();
  out["reference_state"] = name_of(reference);
  out["equation_of_state"] = refrigerant.equation_source();
  out["barometric_pressure"] = barometer.pressure.value;
  return out;
}

Json state_json(const FluidState& state) {
  Json out = Json::object();
  add_state(out, state);
  return out;
}

std::string text_of(const Json& json) { return json.dump(2) + "\n"; }

}  // namespace

std::string fluid_json(const FluidAnswer& answer, const Barometer& barometer) {
  Json out = head(*answer.refrigerant, answer.reference(), barometer);
  const bool pure = answer.refrigerant->kind() == fluid::FluidKind::pure;
  if (!answer.state) {
    const SaturationPair& at = *answer.saturation;
    if (!pure && !answer.at_temperature) out["glide"] = at.dew.T - at.bubble.T;
    out["bubble"] = state_json(at.bubble);
    out["dew"] = state_json(at.dew);
    return text_of(out);
  }
  const FluidState& state = *answer.state;
  add_state(out, state);
  if (answer.saturation) {
    const SaturationPair& at = *answer.saturation;
    out["bubble_T"] = at.bubble.T;
    out["dew_T"] = at.dew.T;
    if (!pure) out["glide"] = at.dew.T - at.bubble.T;
    if (state.phase == Phase::vapour) out["superheat"] = state.T - at.dew.T;
    if (state.phase == Phase::liquid) out["subcooling"] = at.bubble.T - state.T;
  }
  return text_of(out);
}

std::string fluid_table_json(const FluidTable& table, const Barometer& barometer) {
  Json out = head(*table.refrigerant, table.rows.front().bubble.reference, barometer);
  Json rows = Json::array();
  for (const SaturationPair& row : table.rows) {
    rows.push_back({{"bubble", state_json(row.bubble)}, {"dew", state_json(row.dew)}});
  }
  out["rows"] = std::move(rows);
  return text_of(out);
}

std::string fluid_list_json() {
  Json list = Json::array();
  for (const std::string_view name : fluid::refrigerant_names()) {
    const auto found = fluid::find_refrigerant(name);
    if (!found) continue;
    const fluid::Refrigerant& r = **found;
    Json entry;
    entry["refrigerant"] = r.name();
    if (!r.composition().empty()) entry["composition"] = r.composition();
    entry["molar_mass"] = r.molar_mass();
    entry["critical_T"] = r.critical_temperature().value;
    entry["critical_p"] = r.critical_pressure().value;
    entry["minimum_T"] = r.minimum_temperature().value;
    entry["maximum_T"] = r.maximum_temperature().value;
    entry["maximum_p"] = r.maximum_pressure().value;
    entry["lowest_saturation_p"] = saturation_range(r).lowest;
    entry["highest_saturation_p"] = highest_state_pressure(r).value;
    entry["equation_of_state"] = r.equation_source();
    list.push_back(std::move(entry));
  }
  Json out;
  out["schema"] = "coilwright.fluid_list/1";
  out["refrigerants"] = std::move(list);
  return text_of(out);
}

}  // namespace cw
