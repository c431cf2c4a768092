#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/text.h"
#include "system/detail/keys.h"
#include "system/detail/read_units.h"
#include "system/piping.h"

namespace cw::detail {
namespace {

constexpr std::size_t most_movements = 200;
/// Temperature at which the liquid lines are taken to be filled where the sheet says nothing.
constexpr double filled_degC = 40.0;

void read_movements(const TableReader& row, std::string_view key, double sign, Charge& charge,
                    Notes& notes) {
  const std::vector<const toml::table*> tables = row.tables(key);
  if (tables.size() > most_movements) {
    row.fail(key, "more than 200 entries", "Sum up the oldest of them");
    return;
  }
  for (const toml::table* table : tables) {
    const TableReader entry(*table, "charge." + std::string(key), keys::movement, notes);
    ChargeMovement out;
    const auto mass = entry.quantity("mass", Dimension::mass, "charge.movement");
    if (!entry.has("mass")) {
      entry.fail("mass", "mass is missing", "Write { mass = \"12.4 kg\", date = 2025-10-03 }",
                 ErrorCode::parse);
    }
    out.mass_kg = sign * mass.value_or(0.0);
    out.date = entry.date("date");
    out.note = entry.text("note").value_or("");
    charge.movements.push_back(std::move(out));
  }
}

void read_coefficients(const TableReader& row, Charge& charge, Notes& notes) {
  const toml::table* table = row.inside("per_length");
  if (table == nullptr) return;
  // The keys are tube sizes: the reader is made with the sheet's own keys, and each is looked up.
  std::vector<std::string_view> sizes;
  for (const auto& [key, node] : *table) sizes.push_back(key.str());
  const TableReader inner(*table, "charge.per_length", sizes, notes);
  for (const std::string_view size : sizes) {
    const Result<const Tube*> tube = find_tube(size);
    if (!tube) {
      inner.fail(size, tube.error().message, tube.error().fix, ErrorCode::not_found);
      continue;
    }
    const bool twice = std::any_of(charge.coefficients.begin(), charge.coefficients.end(),
                                   [&](const ChargeCoefficient& c) { return c.tube == *tube; });
    if (twice) {
      inner.fail(size, (*tube)->name + " has two coefficients", "Keep one of them",
                 ErrorCode::inconsistent);
    }
    const auto value = inner.quantity(size, Dimension::linear_density, "charge.per_length");
    charge.coefficients.push_back({*tube, value.value_or(0.0)});
  }
}

void read_allowance(const TableReader& row, Charge& charge, Notes& notes) {
  const toml::table* table = row.inside("allowance");
  if (table == nullptr) return;
  const TableReader inner(*table, "charge.allowance", keys::allowance, notes);
  const auto each = [&](std::string_view key) {
    return inner.quantity(key, Dimension::mass, "charge.allowance").value_or(0.0);
  };
  charge.allowance_outdoor_kg = each("outdoor");
  charge.allowance_branch_kg = each("branch");
  charge.allowance_indoor_kg = each("indoor");
}

/// Shares what [charge] factory says among the modules that have no charge of their own.
void share_factory(const TableReader& sheet, SystemParts& parts) {
  double known_kg = 0.0;
  double open_W = 0.0;
  for (const OutdoorModule& module : parts.outdoor) {
    if (std::isnan(module.factory_charge_kg)) {
      open_W += module.cooling_W;
    } else {
      known_kg += module.factory_charge_kg;
    }
  }
  const double rest_kg = parts.charge.factory_kg - known_kg;
  constexpr double rounding = 0.01;
  const double slack_kg = rounding * std::max(1.0, parts.charge.factory_kg);
  if (rest_kg < -slack_kg || (open_W <= 0.0 && rest_kg > slack_kg)) {
    sheet.fail("charge",
               "[charge] factory says " + number_text(parts.charge.factory_kg, 4) +
                   " kg, but the outdoor modules sum up to " + number_text(known_kg, 4) + " kg",
               "Keep one of the two, or correct it", ErrorCode::inconsistent);
    return;
  }
  for (OutdoorModule& module : parts.outdoor) {
    if (!std::isnan(module.factory_charge_kg)) continue;
    module.factory_charge_kg = std::max(0.0, rest_kg) * module.cooling_W / open_W;
  }
}

void estimate_factory(SystemParts& parts, Notes& notes) {
  parts.charge.factory_kg = 0.0;
  for (OutdoorModule& module : parts.outdoor) {
    if (std::isnan(module.factory_charge_kg)) {
      const Estimate estimate = estimate_per_kW("outdoor.charge_per_kW", module.cooling_W);
      module.factory_charge_kg = estimate.value;
      notes.assume({module.id, "charge", estimate.value, Dimension::mass, "", estimate.reason,
                    estimate.source});
    }
    parts.charge.factory_kg += module.factory_charge_kg;
  }
}

/// What the coefficients of the equipment's documents ask for; sizes without one are warned of and
/// taken as full of liquid.
double by_coefficients(const System& system, double density, Notes& notes) {
  const Charge& charge = system.charge();
  double out = charge.allowance_outdoor_kg * static_cast<double>(system.outdoor().size()) +
               charge.allowance_branch_kg * static_cast<double>(system.branches().size()) +
               charge.allowance_indoor_kg * static_cast<double>(system.indoor().size());
  for (const TubeUse& use : tube_uses(system)) {
    if (use.line != Line::liquid) continue;
    const auto found = std::find_if(charge.coefficients.begin(), charge.coefficients.end(),
                                    [&](const ChargeCoefficient& c) { return c.tube == use.tube; });
    if (found != charge.coefficients.end()) {
      out += found->kg_per_m * use.length_m;
      continue;
    }
    out += density * use.volume_m3;
    notes.warn_at("charge", "per_length has no coefficient for the liquid line " + use.tube->name,
                  "Add it from the document; liquid in the bore is taken instead");
  }
  return out;
}

void estimate_added(const System& system, SystemParts& parts, Notes& notes) {
  const Result<LiquidMass> liquid = liquid_mass(system, from_celsius(filled_degC));
  if (!liquid) {
    notes.warn_at("charge", "what was added cannot be estimated: " + liquid.error().message,
                  "Add [charge] added = [{ mass = \"12 kg\" }]");
    return;
  }
  const bool has_coefficients = !parts.charge.coefficients.empty();
  const double mass = has_coefficients ? by_coefficients(system, liquid->density_kg_per_m3, notes)
                                       : liquid->total_kg;
  parts.charge.movements.push_back({mass, std::nullopt, "assumed"});
  notes.assume({"charge", "added", mass, Dimension::mass, "",
                has_coefficients ? "the sheet's coefficients and allowances"
                                 : "liquid lines full at " + number_text(filled_degC) +
                                       " degC, nothing for coils",
                has_coefficients ? parts.charge.coefficient_source : "own estimate"});
}

}  // namespace

void read_charge(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  parts.charge.factory_kg = std::numeric_limits<double>::quiet_NaN();
  const toml::table* table = sheet.inside("charge");
  if (table == nullptr) return;
  const TableReader row(*table, "charge", keys::charge, notes);
  parts.charge.factory_kg = row.quantity("factory", Dimension::mass, "charge.factory")
                                .value_or(std::numeric_limits<double>::quiet_NaN());
  read_movements(row, "added", 1.0, parts.charge, notes);
  read_movements(row, "recovered", -1.0, parts.charge, notes);
  read_coefficients(row, parts.charge, notes);
  read_allowance(row, parts.charge, notes);
  parts.charge.coefficient_source = row.text("source").value_or("");
  if ((row.has("per_length") || row.has("allowance")) && !row.has("source")) {
    row.fail("per_length", "per_length and allowance need a source",
             "Add source = \"installation manual, page 61\" below [charge]", ErrorCode::parse);
  }
}

void settle_charge(const TableReader& sheet, const System& system, SystemParts& parts,
                   Notes& notes) {
  if (std::isnan(parts.charge.factory_kg)) {
    estimate_factory(parts, notes);
  } else {
    share_factory(sheet, parts);
  }
  const toml::table* table = sheet.table()["charge"].as_table();
  const bool has_movements =
      table != nullptr && (table->contains("added") || table->contains("recovered"));
  if (!has_movements) estimate_added(system, parts, notes);
  if (!notes.failed() && parts.charge.total_kg() <= 0.0) {
    sheet.fail("charge", "nothing is left in the system: more was recovered than went in",
               "Check the masses of added and recovered, and factory", ErrorCode::inconsistent);
  }
}

}  // namespace cw::detail
