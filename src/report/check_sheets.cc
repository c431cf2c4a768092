#include "base/text.h"
#include "report/check_report.h"
#include "twin/sheet_compressor.h"

/// The sheets that a report stands on: system and limits.
namespace cw {
namespace {

std::string counted(std::size_t n, const std::string& one) {
  return std::to_string(n) + " " + one + (n == 1 ? "" : "s");
}

/// "33.5 kW cooling and 37.5 kW heating".
std::string ratings(double cooling, double heating, UnitSystem units) {
  return format_si(cooling, Dimension::power, units) + " cooling and " +
         format_si(heating, Dimension::power, units) + " heating";
}

std::string compressor_text(const System& system, const OutdoorModule& module, UnitSystem units) {
  std::string out = counted(static_cast<std::size_t>(module.compressors), "compressor");
  if (!module.compressor_map.empty()) return out + " by the map " + module.compressor_map;
  if (twin::compressor_is_assumed(system, module)) {
    return out + ", displacement not stated";
  }
  return out + " of " + number_text(module.displacement_m3 * 1e6, 3) + " mL a revolution, up to " +
         format_si(module.speed_highest_Hz, Dimension::frequency, units);
}

}  // namespace

std::string refrigerant_sentence(const Judgement& judgement) {
  const std::string& source = judgement.refrigerant_source;
  return "Refrigerant " + judgement.refrigerant + (source.empty() ? "" : ", " + source) + ".";
}

std::vector<std::string> system_lines(const CheckReport& report) {
  std::vector<std::string> out;
  if (!report.judgement.system) return out;
  const System& system = *report.judgement.system;
  const UnitSystem units = report.units;
  const std::string refrigerant(system.refrigerant().name());
  std::string first = system.name() + ": " + refrigerant + ", ";
  first += system.is_assumed("site", "altitude")
               ? "altitude not stated"
               : number_text(
                     display_unit(Dimension::length, units).from_si(system.site().altitude_m), 4) +
                     " " + std::string(display_symbol(Dimension::length, units)) + " above the sea";
  out.push_back(first + ".");
  if (report.judgement.refrigerant != refrigerant) {
    out.push_back("Judged as " + report.judgement.refrigerant +
                  ", as the command line says, and not as " + refrigerant + ".");
  }
  double cooling = 0.0;
  double heating = 0.0;
  for (const OutdoorModule& m : system.outdoor()) {
    cooling += m.cooling_W;
    heating += m.heating_W;
  }
  out.push_back(counted(system.outdoor().size(), "outdoor module") + ", rated " +
                ratings(cooling, heating, units) + " together" +
                (system.heat_recovery()
                     ? ", with " + std::to_string(system.branches().size()) +
                           (system.branches().size() == 1 ? " branch box" : " branch boxes")
                     : "") +
                ".");
  for (const OutdoorModule& m : system.outdoor()) {
    const std::string name = m.name.empty() ? "" : " (" + m.name + ")";
    out.push_back(m.id + name + ": " + ratings(m.cooling_W, m.heating_W, units) + "; " +
                  compressor_text(system, m, units) + ".");
  }
  double units_cooling = 0.0;
  double units_heating = 0.0;
  for (const IndoorUnit& u : system.indoor()) {
    units_cooling += u.cooling_W;
    units_heating += u.heating_W;
  }
  out.push_back(counted(system.indoor().size(), "indoor unit") + ", rated " +
                ratings(units_cooling, units_heating, units) +
                " together: " + format_si(units_cooling / cooling, Dimension::ratio, units) +
                " of the modules in cooling.");
  if (!system.assumptions().empty()) {
    out.push_back("The sheet leaves " + counted(system.assumptions().size(), "figure") +
                  " open; coilwright sheet says what was taken for each.");
  }
  return out;
}

std::vector<std::string> limit_changes(const Judgement& judgement) {
  const LimitSheet& limits = judgement.limits;
  std::string chain;
  for (const std::string& name : limits.chain()) {
    chain += (chain.empty() ? "\"" : ", then \"") + name + "\"";
  }
  std::vector<std::string> out = {
      (limits.chain().size() == 1 ? "Sheet: " : "Sheets, each over the one before: ") + chain +
      "."};
  for (const Limit& limit : limits.all()) {
    if (!limit.overridden) continue;
    std::string before;
    for (const std::string& was : limit.replaced)
      before += (before.empty() ? "" : ", which replaced ") + was;
    out.push_back(limit.key + " " + limit.text + " by " + limit.sheet + " (" + limit.source +
                  "), instead of " + before + ".");
  }
  return out;
}

}  // namespace cw
