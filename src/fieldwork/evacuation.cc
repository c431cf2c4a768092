#include "fieldwork/evacuation.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "air/moist_air.h"
#include "base/file.h"
#include "base/text.h"
#include "fieldwork/detail/defaults.h"
#include "fieldwork/detail/evacuation_parts.h"

namespace cw::field {
namespace {

constexpr double gas_constant = 8.314462618;     // J/(mol K)
constexpr double water_molar_mass = 0.01801528;  // kg/mol
constexpr double air_molar_mass = 0.0289647;     // kg/mol, dry air
constexpr double micron = 0.133322387415;        // Pa

constexpr std::array questions = {
    Question{"--rise", "READINGS",
             "pressure after the valve was closed: 0min:500um,10min:700um,20min:900um", false,
             true},
    Question{"--log", "FILE", "instead: CSV log with time [min],pressure [micron]"},
    Question{"--volume", "VOLUME", "inner volume of the evacuated part: 60L", false, true},
    Question{"--coldest", "TEMPERATURE", "coldest part of the system: 25C", false, true},
    Question{"--temperature", "TEMPERATURE", "of most of the gas (default: the coldest part's)"},
    Question{"--gauge-uncertainty", "PRESSURE",
             "standard uncertainty of one reading (default 10um)"},
    Question{"--rule", "NAME", "compare with ufgs, rd552-large, rd552-small or us-practice"},
    Question{"--pump-speed", "FLOW",
             "speed of the pump for the time to the target: 142L/min or 5cfm", false, true},
    Question{"--pump-ultimate", "PRESSURE", "pressure that the pump reaches alone (default 15um)"},
    Question{"--hose", "SIZE",
             "each hose in line, bore x length, with a count for hoses side by side: 8mm x 1.5m, 2 "
             "x 9.5mm x 1.5m",
             true, true},
    Question{"--cores", "in|out",
             "are the valve cores in place or taken out with core tools (default in)", false, true},
    Question{"--core-bore", "LENGTH", "free bore of the access port (by default as the cores are)"},
    Question{"--ports", "COUNT", "access ports used side by side (default 1)"},
    Question{"--target", "PRESSURE", "where the pump-down ends (default 500um)"},
    Question{"--start", "PRESSURE", "where it starts (default: the barometer)"},
    Question{"--gas-load", "FLOW", "leak and outgassing while pumping (default 0): 0.001 Pa m3/s"},
    Question{"--altitude", "HEIGHT", "site altitude"},
    Question{"--barometer", "PRESSURE", "instead: barometer at the site, absolute"},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

}  // namespace

std::span<const Question> evacuation_questions() noexcept { return questions; }

Result<WaterThere> water_at(Kelvin coldest, CubicMetre volume) {
  const auto saturation = air::saturation_pressure(coldest);
  if (!saturation) return saturation.error();
  WaterThere out;
  out.saturation = saturation->value;
  out.ice = coldest.value < zero_celsius + 0.01;
  out.held = out.saturation * volume.value * water_molar_mass / (gas_constant * coldest.value);
  return out;
}

double water_vapour_volume(double kg, Pascal p, Kelvin t) noexcept {
  return kg * gas_constant * t.value / (water_molar_mass * p.value);
}

double air_of_rise(double rate, CubicMetre volume, Kelvin t) noexcept {
  return rate * volume.value * air_molar_mass / (gas_constant * t.value);
}

std::string_view words_of(RiseShape shape, double plateau) noexcept {
  switch (shape) {
    case RiseShape::flat:
      return "no rise beyond the gauge's scatter";
    case RiseShape::leak:
      return "leak";
    case RiseShape::levelling:
      // Bands as hvacspecialists.info prints them: levels at 1000..2000 micron wet, 500..1000 dry.
      return plateau < 1000.0 * micron ? "levels off in the dry band" : "moisture";
    case RiseShape::outgassing:
      return "outgassing";
    case RiseShape::undecided:
      return "moisture or outgassing";
    case RiseShape::rising:
      return "cannot tell leak from moisture yet";
    case RiseShape::leak_and_levelling:
      return "leak and moisture";
    case RiseShape::too_few:
      break;
  }
  return "cannot tell: too few readings";
}

Result<FieldSheet> evacuation(const Form& form, UnitSystem units) {
  const Result<Site> site = read_site(form);
  if (!site) return site.error();
  if (form.has("--date")) {
    if (const auto day = form.date("--date"); !day) return day.error();
  }
  FieldSheet sheet;
  sheet.procedure = "evacuation";
  sheet.title = "Evacuation";
  sheet.barometer = site->barometer;
  sheet.date = form.text_or("--date", "");
  sheet.signed_by = {"Technician", "Witness"};
  const bool rise = form.has("--rise") || form.has("--log");
  const bool pump = form.has("--pump-speed");
  if (!rise && !pump) {
    return Error{
        ErrorCode::not_found, "neither readings of a rise nor a pump are given", "--rise",
        told(form.reader, "Give --rise 0min:500um,10min:700um,... or --pump-speed 142L/min or both",
             "Give the rise, as 0min:500um,10min:700um,..., or the pump's speed, as "
             "142L/min, or both")};
  }
  detail::EvacuationSite place;
  if (Status s = detail::read_evacuation_site(form, *site, place); !s) return s.error();
  detail::add_site_inputs(form, place, *site, sheet);
  if (rise) {
    if (Status s = detail::add_rise(form, place, units, sheet); !s) return s.error();
  }
  if (pump) {
    if (Status s = detail::add_pump_down(form, place, units, sheet); !s) return s.error();
  }
  sheet.limits.insert(
      sheet.limits.begin(),
      "A vacuum test never proves tightness: at most one atmosphere pushes inwards, a twentieth of "
      "what the system holds in service, and RD 552/2019 IF-09 forbids it as proof. The nitrogen "
      "test comes first.");
  sheet.limits.push_back(
      "A gauge at the pump reads the hose. Read at the system, far from the pump, with the valve "
      "closed.");
  sheet.cautions = vacuum_cautions();
  sheet.sources = {
      "Conductance of tubes for air at 20 °C: molecular 12.1 D^3/L, viscous 135 D^4 p/L (cm, mbar, "
      "L/s), as vacuum handbooks print them",
      "Hyland and Wexler 1983 by ASHRAE Fundamentals ch. 1: saturation over water and ice",
      "Bands: keeps rising, leak; levels at 1000 to 2000 micron, wet; 500 to 1000, dry "
      "(hvacspecialists.info, deep vacuum)",
      "Spain, RD 552/2019, IF-09; UFGS 15182: targets and holds"};
  return sheet;
}

}  // namespace cw::field
