#include <cstdio>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"
#include "report/detail/json_number.h"
#include "report/sheet_report.h"
#include "system/piping.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

/// Six significant digits, the same text on every machine.
Json number(double value) { return detail::json_number(value, 6); }

Json tube_json(const Tube* tube) {
  if (tube == nullptr) return nullptr;
  return {{"size", tube->name},
          {"standard", tube->standard},
          {"outside_diameter_m", number(tube->outside_diameter_m)},
          {"wall_m", number(tube->wall_m)},
          {"bore_m", number(tube->bore_m())},
          {"copper_kg_per_m", number(tube->copper_kg_per_m)},
          {"source", tube->source}};
}

Json volumes_json(const LineVolumes& volumes) {
  return {{"liquid_m3", number(volumes.liquid_m3)},
          {"gas_m3", number(volumes.gas_m3)},
          {"third_m3", number(volumes.third_m3)}};
}

Json outdoor_json(const System& system) {
  Json out = Json::array();
  for (const OutdoorModule& m : system.outdoor()) {
    out.push_back({{"id", m.id},
                   {"name", m.name},
                   {"cooling_W", number(m.cooling_W)},
                   {"heating_W", number(m.heating_W)},
                   {"compressors", m.compressors},
                   {"displacement_m3", number(m.displacement_m3)},
                   {"compressor_map", m.compressor_map},
                   {"speed_lowest_Hz", number(m.speed_lowest_Hz)},
                   {"speed_highest_Hz", number(m.speed_highest_Hz)},
                   {"coil_face_area_m2", number(m.coil_face_area_m2)},
                   {"coil_volume_m3", number(m.coil_volume_m3)},
                   {"airflow_m3_per_s", number(m.airflow_m3_per_s)},
                   {"fans", m.fans},
                   {"valves", m.valves},
                   {"accumulator_volume_m3", number(m.accumulator_volume_m3)},
                   {"accumulator_usable_m3", number(m.accumulator_usable_m3)},
                   {"factory_charge_kg", number(m.factory_charge_kg)}});
  }
  return out;
}

Json indoor_json(const System& system) {
  Json out = Json::array();
  const std::vector<UnitPath> paths = unit_paths(system);
  for (std::size_t i = 0; i < system.indoor().size(); ++i) {
    const IndoorUnit& u = system.indoor()[i];
    out.push_back({{"id", u.id},
                   {"name", u.name},
                   {"type", name_of(u.type)},
                   {"cooling_W", number(u.cooling_W)},
                   {"heating_W", number(u.heating_W)},
                   {"airflow_m3_per_s", number(u.airflow_m3_per_s)},
                   {"coil_volume_m3", number(u.coil_volume_m3)},
                   {"controlled_by", name_of(u.controlled_by)},
                   {"room", system.rooms()[u.room].id},
                   {"way_m", number(paths[i].length_m)},
                   {"way_equivalent_liquid_m", number(paths[i].equivalent_liquid_m)},
                   {"way_equivalent_gas_m", number(paths[i].equivalent_gas_m)},
                   {"way_from", system.outdoor()[paths[i].outdoor].id},
                   {"lift_m", number(paths[i].lift_m)}});
  }
  return out;
}

Json rooms_json(const System& system) {
  Json out = Json::array();
  for (const Room& room : system.rooms()) {
    Json connected = Json::array();
    for (const std::size_t other : room.connected) connected.push_back(system.rooms()[other].id);
    out.push_back({{"id", room.id},
                   {"name", room.name},
                   {"floor_area_m2", number(room.floor_area_m2)},
                   {"height_m", number(room.height_m)},
                   {"volume_m3", number(room.volume_m3)},
                   {"volume_assumed", room.volume_assumed},
                   {"institutional", room.institutional},
                   {"connected", connected}});
  }
  return out;
}

Json branches_json(const System& system) {
  Json out = Json::array();
  for (const BranchBox& box : system.branches()) {
    out.push_back({{"id", box.id},
                   {"name", box.name},
                   {"ports", box.ports},
                   {"volume_m3", number(box.volume_m3)}});
  }
  return out;
}

Json pipes_json(const SheetReport& report) {
  const System& system = report.system;
  const Result<LiquidMass> liquid = liquid_mass(system, report.liquid_at);
  Json out = Json::array();
  for (std::size_t i = 0; i < system.segments().size(); ++i) {
    const Segment& s = system.segments()[i];
    Json fittings = Json::array();
    for (const Fitting& f : s.fittings) {
      fittings.push_back(
          {{"kind", f.kind},
           {"count", f.count},
           {"equivalent_m", f.equivalent_m ? number(*f.equivalent_m) : Json(nullptr)},
           {"bores", f.equivalent_m ? Json(nullptr) : number(f.bores)}});
    }
    Json row = {{"id", s.id},
                {"from", system.nodes()[s.from].id},
                {"to", system.nodes()[s.to].id},
                {"length_m", number(s.length_m)},
                {"rise_m", number(s.rise_m)},
                {"equivalent_liquid_m", number(equivalent_length(s, Line::liquid))},
                {"equivalent_gas_m", number(equivalent_length(s, Line::gas))},
                {"cooling_behind_W", number(s.cooling_behind_W)},
                {"sizes_assumed", s.sizes_assumed},
                {"liquid", tube_json(s.liquid)},
                {"gas", tube_json(s.gas)},
                {"third", tube_json(s.third)},
                {"fittings", fittings}};
    row.update(volumes_json(line_volumes(s)));
    row["liquid_kg"] = liquid ? number(liquid->segment_kg[i]) : Json(nullptr);
    out.push_back(std::move(row));
  }
  return out;
}

Json charge_json(const System& system) {
  const Charge& charge = system.charge();
  Json movements = Json::array();
  for (const ChargeMovement& m : charge.movements) {
    Json date = nullptr;
    if (m.date) {
      char text[16];
      std::snprintf(text, sizeof text, "%04d-%02d-%02d", m.date->year, m.date->month, m.date->day);
      date = text;
    }
    movements.push_back({{"mass_kg", number(m.mass_kg)}, {"date", date}, {"note", m.note}});
  }
  Json coefficients = Json::array();
  for (const ChargeCoefficient& c : charge.coefficients) {
    coefficients.push_back({{"size", c.tube->name}, {"kg_per_m", number(c.kg_per_m)}});
  }
  return {{"factory_kg", number(charge.factory_kg)},
          {"movements", movements},
          {"total_kg", number(charge.total_kg())},
          {"coefficient_source", charge.coefficient_source},
          {"coefficients", coefficients},
          {"allowance_outdoor_kg", number(charge.allowance_outdoor_kg)},
          {"allowance_branch_kg", number(charge.allowance_branch_kg)},
          {"allowance_indoor_kg", number(charge.allowance_indoor_kg)}};
}

Json totals_json(const SheetReport& report) {
  const InternalVolume inside = internal_volume(report.system);
  const PipeLengths lengths = pipe_lengths(report.system);
  const Result<LiquidMass> liquid = liquid_mass(report.system, report.liquid_at);
  Json out = volumes_json(inside.lines);
  out["outdoor_coils_m3"] = number(inside.outdoor_coils_m3);
  out["indoor_coils_m3"] = number(inside.indoor_coils_m3);
  out["accumulators_m3"] = number(inside.accumulators_m3);
  out["branch_boxes_m3"] = number(inside.branch_boxes_m3);
  out["volume_m3"] = number(inside.total_m3());
  out["liquid_at_K"] = number(report.liquid_at.value);
  out["liquid_density_kg_per_m3"] = liquid ? number(liquid->density_kg_per_m3) : Json(nullptr);
  out["liquid_lines_kg"] = liquid ? number(liquid->total_kg) : Json(nullptr);
  out["length_m"] = number(lengths.total_m);
  out["longest_way_m"] = number(lengths.longest_path_m);
  out["longest_way_equivalent_m"] = number(lengths.longest_equivalent_m);
  out["longest_way_to"] = report.system.indoor()[lengths.longest_unit].id;
  out["highest_lift_m"] = number(lengths.highest_lift_m);
  out["deepest_drop_m"] = number(lengths.deepest_drop_m);
  out["between_units_m"] = number(lengths.between_units_m);
  return out;
}

Json notes_json(const System& system, const char* which) {
  Json out = Json::array();
  if (std::string_view(which) == "warnings") {
    for (const SheetWarning& w : system.warnings()) {
      out.push_back({{"where", w.where}, {"message", w.message}, {"fix", w.fix}});
    }
    return out;
  }
  for (const Assumption& a : system.assumptions()) {
    const bool word = !a.text.empty();
    out.push_back({{"place", a.place},
                   {"key", a.key},
                   {"value", word ? Json(a.text) : number(a.value)},
                   {"unit", word ? "" : std::string(si_symbol(a.dimension))},
                   {"reason", a.reason},
                   {"source", a.source}});
  }
  return out;
}

}  // namespace

std::string sheet_json(const SheetReport& report) {
  const System& system = report.system;
  const Json out = {{"schema", "coilwright.sheet/1"},
                    {"program", "coilwright " + std::string(version())},
                    {"name", system.name()},
                    {"refrigerant", system.refrigerant().name()},
                    {"heat_recovery", system.heat_recovery()},
                    {"site",
                     {{"name", system.site().name},
                      {"altitude_m", number(system.site().altitude_m)},
                      {"zone", system.site().zone}}},
                    {"totals", totals_json(report)},
                    {"charge", charge_json(system)},
                    {"outdoor", outdoor_json(system)},
                    {"branch", branches_json(system)},
                    {"indoor", indoor_json(system)},
                    {"rooms", rooms_json(system)},
                    {"pipes", pipes_json(report)},
                    {"assumptions", notes_json(system, "assumptions")},
                    {"warnings", notes_json(system, "warnings")}};
  // A file name may be no UTF-8; it must not end the program.
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace cw
