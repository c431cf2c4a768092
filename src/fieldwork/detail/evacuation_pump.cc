#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "fieldwork/detail/defaults.h"
#include "fieldwork/detail/evacuation_parts.h"
#include "fieldwork/pump_down.h"

namespace cw::field::detail {
namespace {

using D = Dimension;
constexpr Shown microns{"micron", "micron", 0};
constexpr Shown litres_a_second{"L/s", "cfm", 3};
constexpr Shown minutes{"min", "min", 1};

const Range bores{5e-4, 0.1, "a hose has a bore between half a millimetre and 100 mm",
                  "Write bore x length, for example 8mm x 1.5m or 3/8in as 9.5mm x 1.5m"};
const Range lengths{0.01, 100.0, "a hose has a length", bores.fix};

/// "8mm x 1.5m" or "2 x 9.5mm x 1.5m".
Result<FlowElement> read_hose(std::string_view text) {
  std::vector<std::string_view> parts;
  for (const std::string_view part : split(text, 'x')) parts.push_back(trim(part));
  FlowElement out{"hose " + std::string(trim(text)), 0.0, 0.0, 1};
  if (parts.size() == 3) {
    double count = 0.0;
    if (!read_number(parts[0], count) || count < 1.0 || count > 10.0 ||
        count != std::floor(count)) {
      return Error{ErrorCode::parse, "\"" + std::string(parts[0]) + "\" is no count of hoses",
                   "--hose", std::string(bores.fix)};
    }
    out.parallel = static_cast<int>(count);
    parts.erase(parts.begin());
  }
  if (parts.size() != 2) {
    return Error{ErrorCode::parse, "\"" + std::string(text) + "\" is no hose", "--hose",
                 std::string(bores.fix)};
  }
  const Result<double> bore = read_quantity(parts[0], D::length, bores, "--hose");
  if (!bore) return bore.error();
  const Result<double> length = read_quantity(parts[1], D::length, lengths, "--hose");
  if (!length) return length.error();
  out.bore = *bore;
  out.length = *length;
  return out;
}

Status add_port(const Form& form, PumpLine& line, FieldSheet& sheet) {
  constexpr std::string_view words[] = {"in", "out"};
  const Result<std::string> cores = form.word("--cores", words, "in");
  if (!cores) return cores.error();
  const Default bore_default =
      default_of(*cores == "in" ? "evacuation.core_bore" : "evacuation.port_bore");
  const auto bore = form.quantity_or("--core-bore", D::length, bore_default.value, bores);
  if (!bore) return bore.error();
  const auto ports = form.quantity_or("--ports", D::count, 1.0,
                                      {1.0, 8.0, "a system has one to a few access ports",
                                       "Give the number of ports used at once, for example 2"});
  if (!ports) return ports.error();
  line.elements.push_back({*cores == "in" ? "valve core in place" : "port, core taken out", *bore,
                           default_of("evacuation.core_length").value, static_cast<int>(*ports)});
  sheet.inputs.push_back(figure_of(
      "core_bore", line.elements.back().name + ", free bore", *bore, D::length,
      form.has("--core-bore") ? "as entered" : bore_default.source, Shown{"mm", "in", 2}));
  return Done{};
}

Result<PumpLine> read_line(const Form& form, FieldSheet& sheet) {
  PumpLine line;
  const auto speed =
      form.need("--pump-speed", D::volume_flow,
                {1e-5, 0.1, "a service pump moves some 40 to 600 L/min",
                 "Give the pump's free air displacement, for example 142L/min or 5cfm"});
  if (!speed) return speed.error();
  line.speed = *speed;
  const Default ultimate = default_of("evacuation.pump_ultimate");
  const auto lowest =
      form.quantity_or("--pump-ultimate", D::pressure, ultimate.value,
                       {0.0, 2e3, "a service pump ends between 0 and some hundred microns",
                        "Give for example 15um"});
  if (!lowest) return lowest.error();
  line.ultimate = *lowest;
  sheet.inputs.push_back(figure_of("pump_speed", "Pump speed, free air displacement", line.speed,
                                   D::volume_flow, "as entered", litres_a_second));
  sheet.inputs.push_back(
      figure_of("pump_ultimate", "Pressure that the pump reaches alone", line.ultimate, D::pressure,
                form.has("--pump-ultimate") ? "as entered" : ultimate.source, microns));
  if (Status s = add_port(form, line, sheet); !s) return s.error();
  for (const std::string& text : form.all("--hose")) {
    for (const std::string_view part : split(text, ',')) {
      const Result<FlowElement> hose = read_hose(part);
      if (!hose) return hose.error();
      line.elements.push_back(*hose);
      sheet.inputs.push_back(word_of("hose_" + std::to_string(line.elements.size() - 1), "Hose",
                                     std::string(trim(part)), "as entered"));
    }
  }
  return line;
}

std::string throttle_name(const PumpLine& line, const LineState& state) {
  return state.throttle < line.elements.size() ? line.elements[state.throttle].name
                                               : std::string("the pump itself");
}

Table speeds_table(const PumpLine& line, double start, double target) {
  Table table{"line",
              "The line on the way down",
              {{"pressure", "Pressure", D::pressure, microns},
               {"effective_speed", "Speed at the system", D::volume_flow, litres_a_second},
               {"inlet", "At the pump", D::pressure, microns},
               {"regime", "Flow in the narrowest part", D::ratio, {}},
               {"throttle", "What throttles", D::ratio, {}}},
              {}};
  double narrowest = line.elements.front().bore;
  for (const FlowElement& e : line.elements) narrowest = std::min(narrowest, e.bore);
  for (const double p :
       {start, 1e4, 1e3, 5000.0 * 0.133322387415, 1000.0 * 0.133322387415, target, 0.5 * target}) {
    if (p > start || p <= line.ultimate) continue;
    const LineState state = line_at(line, p);
    table.rows.push_back({p, state.effective_speed, state.inlet,
                          std::string(regime_of(0.5 * (p + state.inlet), narrowest)),
                          throttle_name(line, state)});
  }
  return table;
}

void add_figures(const PumpLine& line, const PumpDown& down, double load, FieldSheet& sheet) {
  sheet.results.push_back(figure_of("pump_down_time", "Time to the target", down.seconds, D::time,
                                    "integral of V dp/(Q - load); water is not in it", minutes));
  sheet.results.push_back(figure_of("pump_down_time_lower", "Lower bound, (V/S) ln(p0/p1)",
                                    down.ideal, D::time, "the pump's own speed, no hose, no water",
                                    minutes));
  sheet.results.push_back(figure_of("effective_speed", "Speed at the system, at the target",
                                    down.target.effective_speed, D::volume_flow,
                                    "1/S_eff = 1/S + sum 1/C", litres_a_second));
  sheet.results.push_back(figure_of(
      "ultimate_pressure", "Pressure that pump, line and load end at", down.ultimate, D::pressure,
      load > 0.0 ? "where throughput equals the gas load" : "no gas load entered", microns));
  sheet.results.push_back(word_of("throttle", "What throttles at the target",
                                  throttle_name(line, down.target), "the largest pressure drop"));
}

void add_pump_formulas(const PumpLine& line, const PumpDown& down, double volume, double start,
                       double target, const Writer& w, FieldSheet& sheet) {
  const double mean = 0.5 * (down.target.pressure + down.target.inlet);
  for (const FlowElement& e : line.elements) {
    const Conductance c = conductance_of(e);
    sheet.formulas.push_back(
        {"Conductance of " + e.name,
         "C = n (12.1 D^3/L + 135 D^4 p/L), D and L in cm, p mean pressure in mbar, C in L/s",
         std::to_string(e.parallel) + " x (12.1 x " + fixed(e.bore * 100, 3) + "^3/" +
             fixed(e.length * 100, 1) + " + 135 x " + fixed(e.bore * 100, 3) + "^4 x " +
             fixed(mean / 100, 3) + "/" + fixed(e.length * 100, 1) + ")",
         number_text(c.at(mean) * 1e3, 3) + " L/s (" + std::string(regime_of(mean, e.bore)) + ")",
         "air, 20 °C, at the target"});
  }
  sheet.formulas.push_back({"Lower bound of the time", "t = (V/S) ln(p0/p1)",
                            w.volume(volume) + " / " + fixed(line.speed * 1e3, 3) + " L/s x ln(" +
                                w.micron(start) + " / " + w.micron(target) + ")",
                            fixed(down.ideal, 0) + " s", ""});
}

}  // namespace

Status read_evacuation_site(const Form& form, const Site& site, EvacuationSite& out) {
  const Range temperatures{zero_celsius - 50.0, zero_celsius + 80.0,
                           "no part of a system under vacuum has that temperature",
                           "Give for example 25C or 77F"};
  out.barometer = Pascal{site.barometer};
  const auto volume =
      form.need("--volume", D::volume,
                {1e-5, 20.0, "the evacuated part has a volume, and no VRF system holds 20 m3",
                 "Give the inner volume, for example 60L"});
  if (!volume) return volume.error();
  out.volume = CubicMetre{*volume};
  out.coldest_known = form.has("--coldest");
  const auto coldest = form.quantity_or("--coldest", D::temperature, 293.15, temperatures);
  if (!coldest) return coldest.error();
  out.coldest = Kelvin{*coldest};
  const auto gas = form.quantity_or("--temperature", D::temperature, *coldest, temperatures);
  if (!gas) return gas.error();
  out.temperature = Kelvin{*gas};
  if (out.temperature < out.coldest) {
    return Error{ErrorCode::inconsistent, "the gas is colder than the coldest part",
                 "--temperature", "Exchange the two, or correct one"};
  }
  return Done{};
}

void add_site_inputs(const Form& form, const EvacuationSite& place, const Site& site,
                     FieldSheet& sheet) {
  sheet.inputs = {figure_of("volume", "Inner volume", place.volume.value, D::volume, "as entered",
                            Shown{"L", "ft3", 2}),
                  figure_of("temperature", "Temperature of most of the gas",
                            place.temperature.value, D::temperature,
                            form.has("--temperature") ? "as entered"
                            : place.coldest_known     ? "as the coldest part"
                                                      : "assumed",
                            Shown{"degC", "degF", 1}),
                  figure_of("barometer", "Barometer", site.barometer, D::pressure, site.source,
                            Shown{"kPa(a)", "psi(a)", 2})};
  if (place.coldest_known) {
    sheet.inputs.push_back(figure_of("coldest", "Coldest part", place.coldest.value, D::temperature,
                                     "as entered", Shown{"degC", "degF", 1}));
  }
}

Status add_pump_down(const Form& form, const EvacuationSite& place, UnitSystem units,
                     FieldSheet& sheet) {
  const Result<PumpLine> line = read_line(form, sheet);
  if (!line) return line.error();
  const Range pressures{0.1, 115e3, "a pump-down runs from the barometer to some microns",
                        "Give for example 500um"};
  const auto target = form.quantity_or("--target", D::pressure, 500.0 * 0.133322387415, pressures);
  if (!target) return target.error();
  const auto start = form.quantity_or("--start", D::pressure, place.barometer.value, pressures);
  if (!start) return start.error();
  const auto load = form.quantity_or(
      "--gas-load", D::leak_flow, 0.0,
      {0.0, 10.0, "a gas load is not negative", "Give for example 0.001 Pa m3/s, or leave it out"});
  if (!load) return load.error();
  const Result<PumpDown> down = pump_down(*line, place.volume.value, *start, *target, *load);
  if (!down) return down.error();
  sheet.inputs.push_back(figure_of("target", "Target", *target, D::pressure,
                                   form.has("--target") ? "as entered" : "default", microns));
  sheet.inputs.push_back(figure_of("gas_load", "Leak and outgassing while pumping", *load,
                                   D::leak_flow,
                                   form.has("--gas-load") ? "as entered" : "none assumed"));
  add_figures(*line, *down, *load, sheet);
  sheet.tables.push_back(speeds_table(*line, *start, *target));
  add_pump_formulas(*line, *down, place.volume.value, *start, *target,
                    Writer(units, sheet.barometer), sheet);
  if (std::isinf(down->seconds)) {
    sheet.because.push_back(
        "The target lies below the pressure that pump, line and gas load end at: "
        "it is never reached.");
  }
  if (down->target.throttle < line->elements.size()) {
    sheet.next.push_back(
        "The pump waits for " + throttle_name(*line, down->target) +
        ": wider and shorter, a second one beside it, or the core taken out, saves "
        "more than a larger pump.");
  }
  sheet.limits.push_back(
      "The time is for dry air. Water boils off at its own pace and often takes "
      "ten times as long; at 500 micron one gram fills 2 m3.");
  return Done{};
}

}  // namespace cw::field::detail
