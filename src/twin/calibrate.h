#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "twin/twin.h"

/// Fits a few stated figures of a machine to steady readings of it, by least squares
/// (Levenberg and Marquardt [marquardt1963]) on the steady solve.
namespace cw::twin {

/// What was measured in one steady test; what is missing does not count. SI, absolute pressures.
struct Measured {
  std::optional<double> suction_pressure, discharge_pressure;        ///< at the compressor [Pa]
  std::optional<double> discharge_temperature, suction_temperature;  ///< at the compressor [K]
  std::optional<double> m_dot;                                       ///< of all modules [kg/s]
  std::optional<double> compressor_power;                            ///< of all modules [W]
  std::optional<double> subcooling;  ///< mean of the condensing coils [K]
};

struct SteadyTest {
  std::string name;
  Weather weather;
  Orders orders;  ///< with `speed_Hz` where the laboratory held the speed
  Faults faults;
  double room_K = 294.15;
  Measured measured;
};

/// What may move. Factors are those of Parameters.
enum class Knob {
  volumetric,    ///< volumetric_factor
  work,          ///< work_factor
  leak,          ///< leak_factor: how the flow falls with the pressure ratio
  volume_ratio,  ///< volume_ratio_factor: how the work grows with the pressure ratio
  shell_loss,    ///< shell_loss_factor: heat from the compressor to the air round it
  suction_heat,  ///< suction_heat_factor: from the air to accumulator and suction line
  outdoor_coil,  ///< outdoor_coil_factor
  indoor_coil,   ///< indoor_coil_factor
  charge,        ///< [kg]
  blockage,      ///< coil_blocked of every module, 0..0.95, in all tests alike
};

struct Calibration {
  Parameters parameters;
  double charge_kg = 0.0;
  double blockage = 0.0;
  double misfit = 0.0;  ///< root of the mean square of deviations over their uncertainties
  std::vector<Measured> predicted;  ///< test by test, all of it
};

/// Moves `knobs` from where `parameters`, `charge_kg` and `blockage` of `start` are until the tests
/// fit best. Deviations count against 2 % in pressures, 3 % in flow and power, 1.5 K in discharge
/// and suction temperature and 0.5 K in subcooling (own choice: what such sensors and a model of
/// this kind share between them).
/// @error invalid_argument  no knob, no test, or fewer measured figures than knobs
/// @error of make_model, state_at_rest and solve_steady where the start itself has no answer
Result<Calibration> calibrate(const System& system, const Calibration& start,
                              std::span<const SteadyTest> tests, std::span<const Knob> knobs);

/// What the twin says of the tests with these figures; fills `predicted` and `misfit`.
/// @error of make_model, state_at_rest and solve_steady, with the test's name
Result<Calibration> predict(const System& system, const Calibration& figures,
                            std::span<const SteadyTest> tests);

}  // namespace cw::twin
