#include "fieldwork/tightness_log.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "fieldwork/detail/least_squares.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw::field {
namespace {

constexpr std::size_t least_points = 8;
constexpr std::size_t most_points = 400;   // more are averaged: the fit needs no more
constexpr double swing_that_counts = 0.3;  // K

struct Columns {
  std::size_t time = 0;
  std::optional<Unit> time_unit;  // empty: dates
  std::size_t pressure = 0;
  Unit pressure_unit;
  std::vector<std::size_t> temperatures;
  std::vector<Unit> temperature_units;
};

std::optional<Unit> unit_in_head(std::string_view head) {
  const std::size_t open = head.find('[');
  const std::size_t close = head.rfind(']');
  if (open == std::string_view::npos || close == std::string_view::npos || close < open) return {};
  const Result<Unit> unit = parse_unit(head.substr(open + 1, close - open - 1));
  if (!unit) return {};
  return *unit;
}

Result<Columns> read_head(std::string_view line, std::string_view name) {
  Columns out;
  bool time = false;
  bool pressure = false;
  const auto heads = split(line, ',');
  for (std::size_t i = 0; i < heads.size(); ++i) {
    const std::optional<Unit> unit = unit_in_head(heads[i]);
    if (to_lower(trim(heads[i])).starts_with("time") && !time) {
      out.time = i;
      out.time_unit = unit;
      time = !unit || unit->dimension == Dimension::time;
    } else if (unit && unit->dimension == Dimension::pressure && !pressure) {
      out.pressure = i;
      out.pressure_unit = *unit;
      pressure = true;
    } else if (unit && unit->dimension == Dimension::temperature) {
      out.temperatures.push_back(i);
      out.temperature_units.push_back(*unit);
    }
  }
  const std::string fix =
      "The first line names the columns with their units, for example: time [h], pressure "
      "[MPa(g)], pipe [degC]";
  if (!time || !pressure || out.temperatures.empty()) {
    return Error{ErrorCode::unreadable,
                 "no columns for time, pressure and temperature in the first line",
                 std::string(name) + ":1", fix};
  }
  if (out.pressure_unit.reference == PressureReference::unstated) {
    return Error{ErrorCode::unit, "the pressure column says neither gauge nor absolute",
                 std::string(name) + ":1", fix};
  }
  return out;
}

/// A row as a sample, or why not.
std::string read_row(const std::vector<std::string_view>& cells, const Columns& columns,
                     double barometer, PressureSample& sample) {
  const auto number_at = [&](std::size_t column, double& number) {
    return column < cells.size() && read_number(trim(cells[column]), number);
  };
  double number = 0.0;
  if (columns.time_unit) {
    if (!number_at(columns.time, number)) return "no time";
    sample.seconds = columns.time_unit->to_si(number);
  } else {
    const Result<Instant> instant =
        read_date(columns.time < cells.size() ? cells[columns.time] : "", "time");
    if (!instant) return instant.error().message;
    sample.seconds = static_cast<double>(instant->ms) / 1e3;
  }
  if (!number_at(columns.pressure, number)) return "no pressure";
  sample.pressure = columns.pressure_unit.to_si(number, barometer);
  if (!(sample.pressure > barometer && sample.pressure < 15e6)) {
    return "a pressure that no nitrogen test has";
  }
  double sum = 0.0;
  for (std::size_t k = 0; k < columns.temperatures.size(); ++k) {
    if (!number_at(columns.temperatures[k], number)) return "no temperature";
    const double kelvin = columns.temperature_units[k].to_si(number);
    if (!(kelvin > 220.0 && kelvin < 360.0)) return "a temperature that no pipe has";
    sum += kelvin;
  }
  sample.temperature = sum / static_cast<double>(columns.temperatures.size());
  return {};
}

/// Neighbours averaged so that no more than most_points are left.
std::vector<PressureSample> thinned(const std::vector<PressureSample>& samples) {
  const std::size_t each = (samples.size() + most_points - 1) / most_points;
  if (each <= 1) return samples;
  std::vector<PressureSample> out;
  for (std::size_t i = 0; i + each <= samples.size(); i += each) {
    PressureSample mean;
    for (std::size_t k = i; k < i + each; ++k) {
      mean.seconds += samples[k].seconds / static_cast<double>(each);
      mean.pressure += samples[k].pressure / static_cast<double>(each);
      mean.temperature += samples[k].temperature / static_cast<double>(each);
    }
    out.push_back(mean);
  }
  return out;
}

/// K/s by differences over two neighbours.
std::vector<double> rate_of_temperature(const std::vector<PressureSample>& s) {
  std::vector<double> out(s.size(), 0.0);
  for (std::size_t i = 0; i < s.size(); ++i) {
    const PressureSample& a = s[i == 0 ? 0 : i - 1];
    const PressureSample& b = s[std::min(i + 1, s.size() - 1)];
    out[i] = (b.temperature - a.temperature) / (b.seconds - a.seconds);
  }
  return out;
}

double correlation_of(const std::vector<double>& residuals) {
  double along = 0.0;
  double all = 0.0;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    all += residuals[i] * residuals[i];
    if (i > 0) along += residuals[i] * residuals[i - 1];
  }
  if (!(all > 0.0)) return 0.0;
  // The estimate is low by about (1 + 4 rho)/n with a fitted line (Marriott and Pope 1954).
  const double n = static_cast<double>(residuals.size());
  const double raw = along / all;
  return std::clamp(raw + (1.0 + 4.0 * raw) / n, 0.0, 0.98);
}

Status check(const std::vector<PressureSample>& samples) {
  if (samples.size() < least_points) {
    return Error{ErrorCode::inconsistent,
                 "only " + std::to_string(samples.size()) + " usable readings in the log", "--log",
                 "A fit needs at least 8 readings, better one every 15 min over two days"};
  }
  for (std::size_t i = 1; i < samples.size(); ++i) {
    if (samples[i].seconds > samples[i - 1].seconds) continue;
    return Error{ErrorCode::inconsistent,
                 "reading " + std::to_string(i + 1) + " is not later than the one before", "--log",
                 "Sort the log by time and take out repeated rows"};
  }
  return Done{};
}

LogFit means_of(const std::vector<PressureSample>& samples) {
  LogFit out;
  out.used = samples.size();
  double warmest = 0.0;
  double coldest = 1e9;
  for (const PressureSample& s : samples) {
    out.mean_temperature += s.temperature / static_cast<double>(samples.size());
    out.mean_pressure += s.pressure / static_cast<double>(samples.size());
    warmest = std::max(warmest, s.temperature);
    coldest = std::min(coldest, s.temperature);
  }
  out.swing = warmest - coldest;
  return out;
}

}  // namespace

Result<PressureLog> read_pressure_log(std::string_view text, std::string_view name,
                                      double barometer) {
  PressureLog out;
  std::optional<Columns> columns;
  std::size_t line_number = 0;
  for (const std::string_view raw : split(text, '\n')) {
    ++line_number;
    const std::string_view line = trim(raw);
    if (line.empty() || line.front() == '#') continue;
    if (!columns) {
      Result<Columns> head = read_head(line, name);
      if (!head) return head.error();
      columns = *head;
      continue;
    }
    PressureSample sample;
    const std::string reason = read_row(split(line, ','), *columns, barometer, sample);
    if (reason.empty()) {
      out.samples.push_back(sample);
    } else if (out.rejected++ == 0) {
      out.first_reject = "line " + std::to_string(line_number) + ": " + reason;
    }
  }
  if (!columns || out.samples.size() < least_points) {
    return Error{ErrorCode::unreadable,
                 std::to_string(out.samples.size()) + " usable rows, " +
                     std::to_string(out.rejected) + " rejected" +
                     (out.first_reject.empty() ? "" : " (" + out.first_reject + ")"),
                 std::string(name), "A fit needs at least 8 readings"};
  }
  const double first = out.samples.front().seconds;
  for (PressureSample& sample : out.samples) sample.seconds -= first;
  out.temperature_points = columns->temperatures.size();
  out.gauge = columns->pressure_unit.reference == PressureReference::gauge;
  return out;
}

Result<LogFit> fit_tightness_log(const std::vector<PressureSample>& all, double u_barometer) {
  if (Status s = check(all); !s) return s.error();
  const std::vector<PressureSample> samples = thinned(all);
  const auto nitrogen = fluid::find_refrigerant("nitrogen");
  if (!nitrogen) return nitrogen.error();
  LogFit out = means_of(samples);
  out.seconds = all.back().seconds - all.front().seconds;

  std::vector<double> y;
  const double mid = 0.5 * (samples.front().seconds + samples.back().seconds);
  std::vector<std::vector<double>> columns(2);
  for (const PressureSample& s : samples) {
    const auto state = fluid::state_at(**nitrogen, Kelvin{s.temperature}, Pascal{s.pressure});
    if (!state) return state.error();
    y.push_back(fluid::equation_at(**nitrogen, out.mean_temperature, state->rho).p -
                out.mean_pressure);
    columns[0].push_back(1.0);
    columns[1].push_back(s.seconds - mid);
  }
  if (out.swing > swing_that_counts && samples.size() >= least_points) {
    columns.emplace_back();
    for (const PressureSample& s : samples) {
      columns[2].push_back(s.temperature - out.mean_temperature);
    }
    columns.push_back(rate_of_temperature(samples));
  }
  detail::LinearFit fit = detail::fit_linear(columns, y);
  if (!fit.solved && columns.size() > 2) {
    columns.resize(2);
    fit = detail::fit_linear(columns, y);
  }
  if (!fit.solved) {
    return Error{ErrorCode::inconsistent, "the readings do not determine a rate", "--log",
                 "Log longer"};
  }
  const double freedom = static_cast<double>(samples.size() - columns.size());
  const double variance = fit.sum_of_squares / freedom;
  out.scatter = std::sqrt(variance);
  out.correlation = correlation_of(fit.residuals);
  const double widening = (1.0 + out.correlation) / (1.0 - out.correlation);
  const double effective = std::max(2.0, freedom / widening);
  const double u_rate = std::sqrt(fit.covariance[1][1] * variance * widening);
  const double u_weather = u_barometer / out.seconds;
  const double half = std::hypot(detail::student_95(effective) * u_rate, 2.0 * u_weather);
  out.loss = -fit.coefficients[1];
  out.loss_low = out.loss - half;
  out.loss_high = out.loss + half;
  const auto slope = nitrogen_slope(Pascal{out.mean_pressure}, Kelvin{out.mean_temperature});
  if (!slope) return slope.error();
  out.swing_removed = *slope * out.swing;
  return out;
}

TightnessVerdict judge_log(const LogFit& fit, std::string& because) {
  constexpr double day = 86400.0;
  if (fit.loss_low > 0.0) {
    because = "Pressure at constant temperature falls, and the whole 95 % interval is a loss.";
    return TightnessVerdict::losing;
  }
  if (fit.loss_high < 0.0) {
    because =
        "Pressure at constant temperature rises. A closed pipe does not gain gas: a sensor drifts, "
        "a valve passes, or the gas was not at the temperature of the sensors.";
    return TightnessVerdict::cannot_tell;
  }
  if (fit.seconds < 0.95 * day && fit.swing > 2.0) {
    because =
        "The log is shorter than a day and the temperature moved by more than 2 K: a slow leak and "
        "the day's swing cannot be told apart. Log at least one whole day.";
    return TightnessVerdict::cannot_tell;
  }
  because =
      "No loss beyond the scatter: the 95 % interval of the rate holds zero. A leak smaller than "
      "the figure below would not have shown.";
  return TightnessVerdict::tight;
}

}  // namespace cw::field
