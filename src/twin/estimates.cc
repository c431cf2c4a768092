#include "twin/detail/estimates.h"

#include <string>

#include "base/text.h"

namespace cw::twin::detail::estimate {
namespace {

/// "7.5 mm outdoors, 6.5 mm indoors".
std::string both(double outdoors, double indoors, const std::string& unit) {
  return number_text(outdoors) + " " + unit + " outdoors, " + number_text(indoors) + " " + unit +
         " indoors";
}
std::string one(double value, const std::string& unit) { return number_text(value) + " " + unit; }

}  // namespace

std::vector<Assumption> list() {
  std::vector<Assumption> out;
  const auto add = [&](const char* key, const std::string& text, const char* reason) {
    out.push_back({"model", key, 0.0, Dimension::ratio, text, reason, "own estimate"});
  };
  add("coil_tubes", both(1e3 * outdoor_bore, 1e3 * indoor_bore, "mm"), "bore");
  add("coil_circuits", both(outdoor_flux, indoor_flux, "kg/(m2 s)"),
      "as many as give this at rating");
  add("coil_film", one(film_enhancement, "times"), "grooved tubes over smooth ones");
  add("coil_metal", both(1e-3 * outdoor_metal, 1e-3 * indoor_metal, "kJ/K"),
      "per kW of rated cooling");
  add("coil_gas_loss", both(1e-3 * outdoor_gas_loss, 1e-3 * indoor_gas_loss, "kPa"),
      "at rated flow");
  add("coil_air_side", both(outdoor_wall_K, indoor_wall_K, "K"),
      "wall against air at rating, 35 degC outdoors in cooling and 20 degC in rooms in heating");
  add("compression_heat", one(100.0 * compression_heat, "%"),
      "of rated cooling, on top of it in the outdoor coil");
  add("valve_opening", both(100.0 * outdoor_opening, 100.0 * indoor_opening, "%"),
      "at rating; it sizes the valves");
  add("rated_cop", number_text(rated_cop), "with the next it sizes the compressor's losses");
  add("compressor_loss", one(100.0 * loss_share, "%"), "of the power, into shell and oil");
  add("shell_superheat", one(shell_superheat, "K"), "shell over suction gas at rating");
  add("shell_to_air", one(100.0 * shell_air_share, "%"), "of the shell's conductance to the gas");
  add("shell_metal", one(1e-3 * shell_metal, "kJ/K"), "per kW of rated cooling");
  add("oil", one(oil, "kg"), "per kW of rated cooling");
  add("fan_power", both(100.0 * outdoor_fan, 100.0 * indoor_fan, "%"),
      "of rated cooling, at full speed");
  add("discharge_volume", one(1e3 * discharge_volume, "L"),
      "line, oil separator and shell, per kW of rated cooling");
  add("oil_hole", one(100.0 * oil_hole, "%"),
      "liquid in what leaves an accumulator that is half full");
  add("third_line_drain", one(100.0 * drain, "%"),
      "of the rated flow as hot gas, from the third line of heat recovery to the suction");
  add("pipe_insulation", one(pipe_loss, "W/(m K)"), "13 mm of foam");
  add("pipes_outdoors", one(100.0 * pipes_outdoors, "%"),
      "of the pipes' surface; the rest is at the rooms' temperature");
  add("room_air", one(room_air, "times"), "heat capacity of the air with what stands in it");
  add("room_mass", one(1e-3 * room_mass, "kJ/K"),
      "floor and walls that take part in a day, per m2 of floor");
  add("room_film", one(room_film, "W/K"), "air to floor and walls, per m2 of floor");
  add("design_load", one(100.0 * design_load, "%"),
      "of the units' rated heating, what the rooms need at -15 degC");
  return out;
}

}  // namespace cw::twin::detail::estimate
