#include "twin/calibrate.h"
#include "twin/solve_near.h"

#include <algorithm>
#include <cmath>

namespace cw::twin {

namespace {

constexpr std::size_t most_knobs = 10;
using Row = std::array<double, most_knobs>;

/// Knobs in the space of the fit, where a step of 0.01 is about one per cent of each.
double value_of(const Calibration& c, Knob knob) {
  const Parameters& p = c.parameters;
  switch (knob) {
    case Knob::volumetric:
      return std::log(p.volumetric_factor);
    case Knob::work:
      return std::log(p.work_factor);
    // What may go to next to nothing or become many times its default has a coarse scale.
    case Knob::leak:
      return 0.1 * std::log(p.leak_factor);
    case Knob::volume_ratio:
      return std::log(p.volume_ratio_factor);
    case Knob::shell_loss:
      return 0.1 * std::log(p.shell_loss_factor);
    case Knob::suction_heat:
      return 0.1 * std::log(p.suction_heat_factor);
    case Knob::outdoor_coil:
      return std::log(p.outdoor_coil_factor);
    case Knob::indoor_coil:
      return std::log(p.indoor_coil_factor);
    case Knob::charge:
      return std::log(c.charge_kg);
    case Knob::blockage:
      return -std::log(1.0 - c.blockage);
  }
  return 0.0;
}

void set(Calibration& c, Knob knob, double value) {
  Parameters& p = c.parameters;
  const double factor = std::exp(value);
  switch (knob) {
    case Knob::volumetric:
      p.volumetric_factor = factor;
      break;
    case Knob::work:
      p.work_factor = factor;
      break;
    case Knob::leak:
      p.leak_factor = std::clamp(std::exp(10.0 * value), 0.01, 5.0);
      break;
    case Knob::volume_ratio:
      p.volume_ratio_factor = std::clamp(factor, 0.5, 2.0);
      break;
    case Knob::shell_loss:
      p.shell_loss_factor = std::clamp(std::exp(10.0 * value), 0.05, 20.0);
      break;
    case Knob::suction_heat:
      p.suction_heat_factor = std::clamp(std::exp(10.0 * value), 0.05, 200.0);
      break;
    case Knob::outdoor_coil:
      p.outdoor_coil_factor = std::clamp(factor, 0.2, 5.0);
      break;
    case Knob::indoor_coil:
      p.indoor_coil_factor = std::clamp(factor, 0.2, 5.0);
      break;
    case Knob::charge:
      c.charge_kg = factor;
      break;
    case Knob::blockage:
      c.blockage = std::clamp(1.0 - 1.0 / factor, 0.0, 0.95);
      break;
  }
}

Measured figures_of(const Model& model, const State& state, const Faults& faults) {
  Readings r;
  Insight inside;
  read(model, state, faults, r);
  look_inside(model, state, inside);
  Measured m;
  m.suction_pressure = r.modules[0].suction_pressure;
  m.discharge_pressure = r.modules[0].discharge_pressure;
  m.discharge_temperature = r.modules[0].discharge_temperature;
  m.suction_temperature = r.modules[0].suction_temperature;
  double flow = 0.0;
  for (const Insight::Module& module : inside.modules) flow += module.m_dot;
  m.m_dot = flow;
  m.compressor_power = inside.compressors_W;
  double sum = 0.0;
  double count = 0.0;
  const auto add = [&](double subcooling) {
    sum += subcooling;
    count += 1.0;
  };
  bool heating = false;
  for (std::size_t i = 0; i < r.units.size(); ++i) {
    if (!r.units[i].calling || r.units[i].cooling) continue;
    heating = true;
    add(inside.units[i].subcooling_K);
  }
  if (!heating) {
    for (const Insight::Module& module : inside.modules) add(module.subcooling_K);
  }
  m.subcooling = sum / count;
  return m;
}

/// Deviations of one test over their uncertainties, in a fixed order, measured ones only.
void add_deviations(const Measured& seen, const Measured& said, std::vector<double>& out) {
  const auto relative = [&](const std::optional<double>& a, const std::optional<double>& b,
                            double uncertainty) {
    if (a) out.push_back(std::log(*b / *a) / uncertainty);
  };
  const auto absolute = [&](const std::optional<double>& a, const std::optional<double>& b,
                            double uncertainty) {
    if (a) out.push_back((*b - *a) / uncertainty);
  };
  relative(seen.suction_pressure, said.suction_pressure, 0.02);
  relative(seen.discharge_pressure, said.discharge_pressure, 0.02);
  relative(seen.m_dot, said.m_dot, 0.03);
  relative(seen.compressor_power, said.compressor_power, 0.03);
  absolute(seen.discharge_temperature, said.discharge_temperature, 1.5);
  absolute(seen.suction_temperature, said.suction_temperature, 1.5);
  absolute(seen.subcooling, said.subcooling, 0.5);
}

/// The tests with one set of figures; keeps the states for warm starts.
class Bench {
 public:
  Bench(const System& system, std::span<const SteadyTest> tests) : system_(system), tests_(tests) {}

  /// Deviations; `c.predicted` is filled.
  Result<std::vector<double>> run(Calibration& c) {
    auto model = make_model(system_, c.parameters);
    if (!model) return model.error();
    std::vector<double> out;
    c.predicted.clear();
    for (std::size_t t = 0; t < tests_.size(); ++t) {
      const SteadyTest& test = tests_[t];
      Faults faults = test.faults;
      faults.modules.resize(system_.outdoor().size());
      for (ModuleFaults& m : faults.modules) {
        m.coil_blocked = std::max(m.coil_blocked, c.blockage);
      }
      if (states_.size() <= t) {
        auto state = state_at_rest(*model, test.weather, test.room_K, c.charge_kg);
        if (!state) return named(test, state.error());
        states_.push_back(std::move(*state));
      }
      State state = states_[t];
      const auto solved =
          solve_walking(*model, state, test.weather, test.orders, faults, test.room_K, c.charge_kg);
      if (!solved) return named(test, solved.error());
      states_[t] = state;
      c.predicted.push_back(figures_of(*model, state, faults));
      add_deviations(test.measured, c.predicted.back(), out);
    }
    double sum = 0.0;
    for (const double d : out) sum += d * d;
    c.misfit = std::sqrt(sum / static_cast<double>(std::max<std::size_t>(out.size(), 1)));
    return out;
  }

 private:
  static Error named(const SteadyTest& test, Error error) {
    error.where = "test " + test.name;
    return error;
  }

  const System& system_;
  std::span<const SteadyTest> tests_;
  std::vector<State> states_;
};

/// Solves (J'J + damping diag) step = -J'd by Gauss elimination; J'J is positive definite then.
Row step_of(const std::vector<Row>& jacobian, const std::vector<double>& d, std::size_t n,
            double damping) {
  std::array<Row, most_knobs> a{};
  Row b{};
  for (std::size_t r = 0; r < d.size(); ++r) {
    for (std::size_t i = 0; i < n; ++i) {
      b[i] -= jacobian[r][i] * d[r];
      for (std::size_t k = 0; k < n; ++k) a[i][k] += jacobian[r][i] * jacobian[r][k];
    }
  }
  for (std::size_t i = 0; i < n; ++i) a[i][i] += damping * a[i][i] + 1e-6;
  for (std::size_t c = 0; c < n; ++c) {
    for (std::size_t i = c + 1; i < n; ++i) {
      const double f = a[i][c] / a[c][c];
      for (std::size_t k = c; k < n; ++k) a[i][k] -= f * a[c][k];
      b[i] -= f * b[c];
    }
  }
  Row x{};
  for (std::size_t c = n; c-- > 0;) {
    double sum = b[c];
    for (std::size_t k = c + 1; k < n; ++k) sum -= a[c][k] * x[k];
    x[c] = std::clamp(sum / a[c][c], -0.3, 0.3);
  }
  return x;
}

double square(const std::vector<double>& d) {
  double sum = 0.0;
  for (const double v : d) sum += v * v;
  return sum;
}

}  // namespace

Result<Calibration> predict(const System& system, const Calibration& figures,
                            std::span<const SteadyTest> tests) {
  Calibration c = figures;
  auto done = Bench(system, tests).run(c);
  if (!done) return done.error();
  return c;
}

Result<Calibration> calibrate(const System& system, const Calibration& start,
                              std::span<const SteadyTest> tests, std::span<const Knob> knobs) {
  Bench bench(system, tests);
  Calibration best = start;
  auto first = bench.run(best);
  if (!first) return first.error();
  std::vector<double> d = *std::move(first);
  const std::size_t n = knobs.size();
  if (n == 0 || n > most_knobs || d.size() < n) {
    return Error{ErrorCode::invalid_argument,
                 std::to_string(d.size()) + " measured figures do not determine " +
                     std::to_string(n) + " knobs",
                 {},
                 "give more steady tests, or let fewer figures move"};
  }
  double damping = 0.01;
  constexpr int most_rounds = 25;
  constexpr double probe = 0.01;
  for (int round = 0; round < most_rounds; ++round) {
    std::vector<Row> jacobian(d.size());
    for (std::size_t i = 0; i < n; ++i) {
      Calibration moved = best;
      set(moved, knobs[i], value_of(best, knobs[i]) + probe);
      const auto there = bench.run(moved);
      if (!there) return there.error();
      for (std::size_t r = 0; r < d.size(); ++r) jacobian[r][i] = ((*there)[r] - d[r]) / probe;
    }
    bool better = false;
    double gained = 0.0;
    for (int attempt = 0; attempt < 6 && !better; ++attempt) {
      const Row step = step_of(jacobian, d, n, damping);
      Calibration trial = best;
      for (std::size_t i = 0; i < n; ++i) {
        set(trial, knobs[i], value_of(best, knobs[i]) + step[i]);
      }
      const auto there = bench.run(trial);
      better = there && square(*there) < square(d);
      damping = better ? std::max(0.2 * damping, 1e-6) : 5.0 * damping;
      if (!better) continue;
      gained = 1.0 - square(*there) / std::max(square(d), 1e-12);
      best = trial;
      d = *there;
    }
    constexpr double enough = 1e-4;
    if (!better || gained < enough) break;
  }
  return best;
}

}  // namespace cw::twin
