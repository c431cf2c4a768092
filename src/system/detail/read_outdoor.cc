#include "system/detail/read_units.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/text.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "system/detail/keys.h"
#include "system/detail/unit_rows.h"

namespace cw::detail {
namespace {

constexpr std::size_t most_outdoor = 16;

/// Displacement of one compressor that gives the rated cooling with this refrigerant.
Estimate displacement_estimate(const fluid::Refrigerant* refrigerant, double cooling_W, int count,
                               double highest_Hz) {
  const auto figure = [](std::string_view key) {
    return default_figure("outdoor." + std::string(key)).value;
  };
  double heat_per_m3 = 5.3e6;  // R-410A at the default rating; only where the states are missing
  if (refrigerant != nullptr) {
    const Kelvin evaporating{figure("rated_evaporating")};
    const Kelvin condensing{figure("rated_condensing")};
    const auto vapour =
        fluid::state_from(*refrigerant, fluid::InputPair::T_q, evaporating.value, 1.0);
    const auto liquid =
        fluid::state_from(*refrigerant, fluid::InputPair::T_q, condensing.value, 0.0);
    if (vapour && liquid) heat_per_m3 = vapour->rho * (vapour->h - liquid->h);
  }
  const double flow = cooling_W / heat_per_m3 / figure("rated_volumetric_efficiency");
  return {flow / (count * highest_Hz * figure("rated_speed_share")),
          "gives the rated cooling at " + number_text(100.0 * figure("rated_speed_share")) +
              " % of the highest speed, evaporating at " +
              default_figure("outdoor.rated_evaporating").text + ", condensing at " +
              default_figure("outdoor.rated_condensing").text + ", volumetric efficiency " +
              default_figure("outdoor.rated_volumetric_efficiency").text,
          default_figure("outdoor.rated_speed_share").source};
}

void read_compressor(const TableReader& row, const SystemParts& parts, OutdoorModule& out,
                     Notes& notes) {
  const TableReader inner(inside_or_empty(row, "compressor"), row.place() + ".compressor",
                          keys::compressor, notes);
  const DefaultFigure& each = default_figure("outdoor.capacity_per_compressor");
  if (const auto count = inner.count("count", 1, 6)) {
    out.compressors = *count;
  } else {
    out.compressors = std::clamp(static_cast<int>(std::ceil(out.cooling_W / each.value)), 1, 6);
    notes.assume({inner.place(), "count", static_cast<double>(out.compressors), Dimension::count,
                  "", "one for each " + each.text + " of rated cooling", each.source});
  }
  out.compressor_map = inner.text("map").value_or("");
  out.speed_lowest_Hz =
      inner.quantity_or("speed_lowest", Dimension::frequency, "outdoor.speed_lowest",
                        estimate_of("outdoor.speed_lowest"));
  out.speed_highest_Hz =
      inner.quantity_or("speed_highest", Dimension::frequency, "outdoor.speed_highest",
                        estimate_of("outdoor.speed_highest"));
  if (out.speed_lowest_Hz >= out.speed_highest_Hz) {
    inner.fail("speed_lowest", "speed_lowest is not below speed_highest",
               "Give both in revolutions per second (Hz) or rpm", ErrorCode::inconsistent);
  }
  out.displacement_m3 =
      inner.quantity_or("displacement", Dimension::volume, "outdoor.displacement",
                        displacement_estimate(parts.refrigerant, out.cooling_W, out.compressors,
                                              out.speed_highest_Hz));
}

void read_outdoor_coil(const TableReader& row, OutdoorModule& out, Notes& notes) {
  const double cooling = out.cooling_W;
  const TableReader coil(inside_or_empty(row, "coil"), row.place() + ".coil", keys::outdoor_coil,
                         notes);
  out.coil_face_area_m2 =
      coil.quantity_or("face_area", Dimension::area, "outdoor.coil_face_area",
                       estimate_per_kW("outdoor.coil_face_area_per_kW", cooling));
  out.coil_volume_m3 = coil.quantity_or("volume", Dimension::volume, "outdoor.coil_volume",
                                        estimate_per_kW("outdoor.coil_volume_per_kW", cooling));
  out.airflow_m3_per_s = row.quantity_or("airflow", Dimension::volume_flow, "outdoor.airflow",
                                         estimate_per_kW("outdoor.airflow_per_kW", cooling));
  const DefaultFigure& each = default_figure("outdoor.capacity_per_fan");
  if (const auto fans = row.count("fans", 1, 8)) {
    out.fans = *fans;
  } else {
    out.fans = std::clamp(static_cast<int>(std::ceil(cooling / each.value)), 1, 8);
    notes.assume({row.place(), "fans", static_cast<double>(out.fans), Dimension::count, "",
                  "one for each " + each.text + " of rated cooling", each.source});
  }
  if (const auto valves = row.count("valves", 1, 8)) {
    out.valves = *valves;
  } else {
    const DefaultFigure& usual = default_figure("outdoor.valves");
    out.valves = static_cast<int>(usual.value);
    notes.assume(
        {row.place(), "valves", usual.value, Dimension::count, "", "usual figure", usual.source});
  }
}

void read_accumulator(const TableReader& row, OutdoorModule& out, Notes& notes) {
  const TableReader inner(inside_or_empty(row, "accumulator"), row.place() + ".accumulator",
                          keys::accumulator, notes);
  out.accumulator_volume_m3 =
      inner.quantity_or("volume", Dimension::volume, "outdoor.accumulator_volume",
                        estimate_per_kW("outdoor.accumulator_volume_per_kW", out.cooling_W));
  const DefaultFigure& share = default_figure("outdoor.accumulator_usable");
  out.accumulator_usable_m3 = inner.quantity_or(
      "usable", Dimension::volume, "outdoor.accumulator_volume",
      {share.value * out.accumulator_volume_m3,
       number_text(100.0 * share.value) + " % of the accumulator's volume", share.source});
  if (out.accumulator_usable_m3 > out.accumulator_volume_m3) {
    inner.fail("usable", "the usable level is more than the accumulator holds",
               "Give the litres of liquid below the outlet, at most the volume",
               ErrorCode::inconsistent);
  }
}

}  // namespace

void read_outdoor(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  UnitIds ids("outdoor");
  for (const toml::table* table : sheet.tables("outdoor")) {
    TableReader row(*table, "outdoor", keys::outdoor, notes);
    const int count = row.count("count", 1, static_cast<int>(most_outdoor)).value_or(1);
    if (!has_room_for(parts.outdoor.size(), count, most_outdoor, row, "outdoor modules")) return;
    const std::vector<std::string> taken = ids.take(row, count);
    row.rename(taken.front());
    const std::size_t from = notes.assumptions.size();
    OutdoorModule out;
    const auto name = row.text("name");
    read_capacities(row, "outdoor", out.cooling_W, out.heating_W, notes);
    read_compressor(row, parts, out, notes);
    read_outdoor_coil(row, out, notes);
    read_accumulator(row, out, notes);
    out.factory_charge_kg = row.quantity("charge", Dimension::mass, "outdoor.charge")
                                .value_or(std::numeric_limits<double>::quiet_NaN());
    repeat_assumptions(from, taken, notes);
    for (std::size_t i = 0; i < taken.size(); ++i) {
      out.id = taken[i];
      out.name = numbered(name, count, i);
      parts.outdoor.push_back(out);
    }
  }
  if (!sheet.has("outdoor")) {
    sheet.fail("outdoor", "there is no outdoor module",
               "Add [[outdoor]] with cooling = \"28 kW\" from the nameplate", ErrorCode::parse);
  }
}

}  // namespace cw::detail
