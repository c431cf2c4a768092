#include "fieldwork/tightness.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/text.h"
#include "fieldwork/detail/defaults.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw::field {
namespace {

constexpr double gas_constant = 8.314462618;        // J/(mol K), exact to the digits (SI 2019)
constexpr double nitrogen_molar_mass = 0.02801348;  // kg/mol [span2000]

double mean_of(const std::vector<Kelvin>& values) {
  double sum = 0.0;
  for (const Kelvin value : values) sum += value.value;
  return sum / static_cast<double>(values.size());
}

/// Standard uncertainty of the mean change that the points' disagreement shows [K].
double spread_of(const std::vector<Kelvin>& start, const std::vector<Kelvin>& end) {
  const std::size_t n = start.size();
  if (n < 2 || end.size() != n) return 0.0;
  const double mean = mean_of(end) - mean_of(start);
  double squares = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double off = end[i].value - start[i].value - mean;
    squares += off * off;
  }
  return std::sqrt(squares / static_cast<double>(n - 1) / static_cast<double>(n));
}

Status check(const TightnessReadings& r) {
  if (r.start_temperatures.empty() || r.end_temperatures.empty()) {
    return Error{ErrorCode::invalid_argument, "a test needs a temperature at start and at end",
                 "--start-temperature", "Clamp a sensor on the pipe, out of the sun"};
  }
  if (r.start_temperatures.size() != r.end_temperatures.size()) {
    return Error{ErrorCode::inconsistent,
                 std::to_string(r.start_temperatures.size()) +
                     " temperature points at the start, " +
                     std::to_string(r.end_temperatures.size()) + " at the end",
                 "--end-temperature", "Give the same points in the same order at both ends"};
  }
  if (!(r.seconds > 0.0)) {
    return Error{ErrorCode::invalid_argument, "the test ends before it starts", "--hours",
                 "Give the time between both readings, for example 24h"};
  }
  if (!(r.volume.value > 0.0)) {
    return Error{ErrorCode::invalid_argument, "the tested part has no volume", "--volume",
                 "Add up pipes, coils and branch boxes, for example 60L"};
  }
  if (r.start_pressure <= r.start_barometer) {
    return Error{ErrorCode::out_of_range, "the start pressure is not above the air outside",
                 "--start", "A tightness test needs gauge pressure; for a vacuum use evacuation"};
  }
  return Done{};
}

std::string verdict_text(const TightnessReadings& r, TightnessResult& out) {
  const double gauge = r.start_pressure.value - r.start_barometer.value;
  if (out.residual < -out.expanded) {
    out.verdict = TightnessVerdict::losing;
    return "The end pressure is lower than temperature explains, by more than the readings may be "
           "wrong.";
  }
  out.verdict = TightnessVerdict::cannot_tell;
  if (out.residual > out.expanded) {
    return "The end pressure is higher than temperature explains. A closed pipe does not gain gas: "
           "a reading is wrong, a valve passes, or the gas was warmer than the sensors.";
  }
  if (r.seconds < detail::default_of("tightness.shortest_test").value) {
    return "The test was shorter than 30 min: the gas has not settled to the pipe's temperature.";
  }
  if (out.expanded > detail::default_of("tightness.largest_useful_uncertainty").value * gauge) {
    return "What the readings may be wrong by is more than 5 % of the test pressure: the test says "
           "too little. Use a finer gauge, more temperature points or a higher permitted pressure.";
  }
  if (r.must_see && out.unseen.refrigerant_high > *r.must_see) {
    return "The test could have passed over a leak larger than the one it was asked to see. Hold "
           "longer, or read pressure and temperature better.";
  }
  out.verdict = TightnessVerdict::tight;
  return "The end pressure agrees with the temperature within what the readings may be wrong by. A "
         "leak smaller than the figure below would not have shown.";
}

}  // namespace

std::string_view words_of(TightnessVerdict verdict) noexcept {
  switch (verdict) {
    case TightnessVerdict::tight:
      return "tight within what this test can see";
    case TightnessVerdict::losing:
      return "losing";
    case TightnessVerdict::cannot_tell:
      break;
  }
  return "cannot tell";
}

Result<Pascal> nitrogen_at(Pascal p1, Kelvin t1, Kelvin t2) {
  const auto nitrogen = fluid::find_refrigerant("nitrogen");
  if (!nitrogen) return nitrogen.error();
  const auto state = fluid::state_at(**nitrogen, t1, p1);
  if (!state) return state.error();
  return Pascal{fluid::equation_at(**nitrogen, t2.value, state->rho).p};
}

Pascal ideal_gas_at(Pascal p1, Kelvin t1, Kelvin t2) noexcept {
  return {p1.value * t2.value / t1.value};
}

Result<double> nitrogen_slope(Pascal p, Kelvin t) {
  constexpr double step = 0.5;
  const auto above = nitrogen_at(p, t, Kelvin{t.value + step});
  if (!above) return above.error();
  const auto below = nitrogen_at(p, t, Kelvin{t.value - step});
  if (!below) return below.error();
  return (above->value - below->value) / (2.0 * step);
}

Result<LeakEquivalent> leak_equivalent(double loss, Pascal p, Kelvin t, CubicMetre volume,
                                       Pascal barometer, std::string_view refrigerant,
                                       Kelvin t_refrigerant) {
  const auto nitrogen = fluid::find_refrigerant("nitrogen");
  if (!nitrogen) return nitrogen.error();
  const auto other = fluid::find_refrigerant(refrigerant);
  if (!other) return other.error();
  const auto gas = fluid::state_at(**nitrogen, t, p);
  if (!gas) return gas.error();
  const auto vapour = fluid::state_from(**other, fluid::InputPair::T_q, t_refrigerant.value, 1.0);
  if (!vapour) return vapour.error();

  LeakEquivalent out;
  out.throughput = loss * volume.value;
  // Mass of ideal gas per p V; Z differs from 1 by less than 1 % in the range of VRF tests.
  out.nitrogen = out.throughput * nitrogen_molar_mass / (gas_constant * t.value);
  out.refrigerant_pressure = vapour->p;
  const double molar_ratio = (*other)->molar_mass() / nitrogen_molar_mass;
  const double temperature_ratio = t.value / t_refrigerant.value;
  const double pa2 = barometer.value * barometer.value;
  const double drive = std::max(0.0, vapour->p * vapour->p - pa2) / (p.value * p.value - pa2);
  const double mu_nitrogen = gas->mu ? gas->mu->value : 17.8e-6;
  const double mu_vapour = vapour->mu ? vapour->mu->value : 13.0e-6;
  const double laminar = molar_ratio * drive * mu_nitrogen / mu_vapour * temperature_ratio;
  const double choked = vapour->p / p.value * std::sqrt(molar_ratio * temperature_ratio);
  out.refrigerant_low = out.nitrogen * std::min(laminar, choked);
  out.refrigerant_high = out.nitrogen * std::max(laminar, choked);
  return out;
}

Result<TightnessResult> judge_tightness(const TightnessReadings& r) {
  if (Status s = check(r); !s) return s.error();
  TightnessResult out;
  out.start_temperature = mean_of(r.start_temperatures);
  out.end_temperature = mean_of(r.end_temperatures);
  const Kelvin t1{out.start_temperature};
  const Kelvin t2{out.end_temperature};

  const auto nitrogen = fluid::find_refrigerant("nitrogen");
  if (!nitrogen) return nitrogen.error();
  const auto state = fluid::state_at(**nitrogen, t1, r.start_pressure);
  if (!state) return state.error();
  const auto predicted = nitrogen_at(r.start_pressure, t1, t2);
  if (!predicted) return predicted.error();
  const auto slope = nitrogen_slope(r.start_pressure, t1);
  if (!slope) return slope.error();
  out.density = state->rho;
  const double r_nitrogen = gas_constant / nitrogen_molar_mass;
  out.z_start = r.start_pressure.value / (out.density * r_nitrogen * t1.value);
  out.z_end = predicted->value / (out.density * r_nitrogen * t2.value);
  out.predicted = predicted->value;
  out.predicted_ideal = ideal_gas_at(r.start_pressure, t1, t2).value;
  out.residual = r.end_pressure.value - out.predicted;
  out.slope = *slope;

  out.u_pressure = std::sqrt(2.0) * r.u_pressure;
  out.u_temperature = out.slope * r.u_temperature;
  out.u_points = out.slope * spread_of(r.start_temperatures, r.end_temperatures);
  out.u_barometer = r.gauge ? r.u_barometer : 0.0;
  out.u_volume = r.start_pressure.value * detail::default_of("tightness.copper_expansion").value *
                 std::abs(t2.value - t1.value);
  const double terms[] = {out.u_pressure, out.u_temperature, out.u_points, out.u_barometer,
                          out.u_volume};
  out.u = std::sqrt(std::inner_product(std::begin(terms), std::end(terms), terms, 0.0));
  out.expanded = 2.0 * out.u;

  const auto equivalent = [&](double drop) {
    return leak_equivalent(drop / r.seconds, r.start_pressure, t1, r.volume, r.start_barometer,
                           r.refrigerant, r.refrigerant_temperature);
  };
  const auto measured = equivalent(std::max(0.0, -out.residual));
  if (!measured) return measured.error();
  const auto unseen = equivalent(out.expanded);
  if (!unseen) return unseen.error();
  out.measured = *measured;
  out.unseen = *unseen;
  out.because = verdict_text(r, out);
  return out;
}

}  // namespace cw::field
