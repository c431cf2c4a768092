#include "fieldwork/vacuum_rise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>

#include "base/text.h"
#include "base/unit_text.h"
#include "fieldwork/detail/least_squares.h"
#include "fieldwork/form.h"

namespace cw::field {
namespace {

/// Sums over the readings for one shape, all about their means: with them the sum of squares is a
/// closed expression of leak and level.
struct Sums {
  bool levelling = true;  // else outgassing
  double constant = 0.0;  // tau or t0 [s]
  double yy = 0.0, yt = 0.0, tt = 0.0, sy = 0.0, st = 0.0, ss = 0.0;
  double mean_y = 0.0, mean_t = 0.0, mean_s = 0.0;

  /// Least squares at a given leak, over p0 and level >= 0.
  double at_leak(double q) const noexcept {
    const double a = yy - 2.0 * q * yt + q * q * tt;
    const double b = std::max(0.0, sy - q * st);
    return a - (ss > 0.0 ? b * b / ss : 0.0);
  }
  /// Least squares at a given level, over p0 and leak >= 0.
  double at_level(double level) const noexcept {
    const double a = yy - 2.0 * level * sy + level * level * ss;
    const double b = std::max(0.0, yt - level * st);
    return a - b * b / tt;
  }
  /// The best leak and level, neither negative.
  void best(double& q, double& level) const noexcept {
    const double determinant = tt * ss - st * st;
    q = level = -1.0;
    if (determinant > 1e-9 * tt * ss) {
      q = (yt * ss - sy * st) / determinant;
      level = (sy * tt - yt * st) / determinant;
    }
    if (q >= 0.0 && level >= 0.0) return;
    const double only_leak = std::max(0.0, yt / tt);
    const double only_level = ss > 0.0 ? std::max(0.0, sy / ss) : 0.0;
    const bool line = at_leak_without_level(only_leak) <= at_level_without_leak(only_level);
    q = line ? only_leak : 0.0;
    level = line ? 0.0 : only_level;
  }

 private:
  double at_leak_without_level(double q) const noexcept { return yy - 2.0 * q * yt + q * q * tt; }
  double at_level_without_leak(double d) const noexcept { return yy - 2.0 * d * sy + d * d * ss; }
};

Sums sums_of(const std::vector<RisePoint>& points, bool levelling, double constant) {
  Sums out;
  out.levelling = levelling;
  out.constant = constant;
  const auto shape = [&](double t) {
    return levelling ? -std::expm1(-t / constant) : std::log1p(t / constant);
  };
  const double n = static_cast<double>(points.size());
  const double first = points.front().seconds;
  for (const RisePoint& p : points) {
    out.mean_y += p.pressure / n;
    out.mean_t += (p.seconds - first) / n;
    out.mean_s += shape(p.seconds - first) / n;
  }
  for (const RisePoint& p : points) {
    const double y = p.pressure - out.mean_y;
    const double t = p.seconds - first - out.mean_t;
    const double s = shape(p.seconds - first) - out.mean_s;
    out.yy += y * y;
    out.yt += y * t;
    out.tt += t * t;
    out.sy += s * y;
    out.st += s * t;
    out.ss += s * s;
  }
  return out;
}

constexpr std::size_t taus = 49;  // levelling shapes, evenly in ln(tau); outgassing ones follow
constexpr double tau_ratio = 60.0;

std::vector<Sums> all_shapes(const std::vector<RisePoint>& points) {
  const double length = points.back().seconds - points.front().seconds;
  std::vector<Sums> out;
  for (std::size_t i = 0; i < taus; ++i) {
    const double part = static_cast<double>(i) / (taus - 1) - 1.0;
    out.push_back(sums_of(points, true, length * std::pow(tau_ratio, part)));
  }
  for (double part = 0.002; part < 0.2; part *= 1.25) {
    out.push_back(sums_of(points, false, length * part));
  }
  return out;
}

/// The least of values that were taken at even steps, by the parabola through the lowest three.
double valley(const std::array<double, taus>& values) noexcept {
  const auto lowest = std::min_element(values.begin(), values.end());
  const auto i = static_cast<std::size_t>(lowest - values.begin());
  if (i == 0 || i + 1 == taus) return *lowest;
  const double bend = values[i - 1] - 2.0 * values[i] + values[i + 1];
  if (!(bend > 0.0) || !std::isfinite(bend)) return *lowest;
  const double slope = 0.5 * (values[i + 1] - values[i - 1]);
  return std::max(0.0, *lowest - 0.5 * slope * slope / bend);
}

/// Sum of squares of the best leak and level for a shape.
double squares_at_best(const Sums& sums) noexcept {
  double q = 0.0;
  double level = 0.0;
  sums.best(q, level);
  return std::max(0.0, sums.yy - 2.0 * q * sums.yt - 2.0 * level * sums.sy + q * q * sums.tt +
                           2.0 * q * level * sums.st + level * level * sums.ss);
}

/// The best levelling shape between the grid's, by golden section in ln(tau).
Sums refined(const std::vector<RisePoint>& points, const std::vector<Sums>& shapes) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < taus; ++i) {
    if (squares_at_best(shapes[i]) < squares_at_best(shapes[best])) best = i;
  }
  double low = std::log(shapes[best == 0 ? 0 : best - 1].constant);
  double high = std::log(shapes[std::min(best + 1, taus - 1)].constant);
  constexpr double golden = 0.6180339887498949;
  for (int i = 0; i < 40; ++i) {
    const double a = high - golden * (high - low);
    const double b = low + golden * (high - low);
    const bool left = squares_at_best(sums_of(points, true, std::exp(a))) <
                      squares_at_best(sums_of(points, true, std::exp(b)));
    (left ? high : low) = left ? b : a;
  }
  return sums_of(points, true, std::exp(0.5 * (low + high)));
}

using Profile = std::function<double(double)>;

/// The lowest and highest argument from 0 to `most` at which the profile is within the limit:
/// a scan, since the profile over several shapes may have more than one valley, then bisection.
void interval_of(const Profile& profile, double best, double most, double limit, double& low,
                 double& high) {
  constexpr int scan = 160;
  low = high = best;
  for (int i = 0; i <= scan; ++i) {
    const double x = most * i / scan;
    if (profile(x) > limit) continue;
    low = std::min(low, x);
    high = std::max(high, x);
  }
  const double step = most / scan;
  const auto edge = [&](double inside, double outside) {
    for (int i = 0; i < 30; ++i) {
      const double middle = 0.5 * (inside + outside);
      (profile(middle) <= limit ? inside : outside) = middle;
    }
    return inside;
  };
  low = low - step <= 0.0 && profile(0.0) <= limit ? 0.0 : edge(low, std::max(0.0, low - step));
  high = edge(high, high + step);
}

Status check(const std::vector<RisePoint>& points) {
  if (points.size() < 3) {
    return Error{ErrorCode::inconsistent,
                 "a rise of " + std::to_string(points.size()) + " readings", "--rise",
                 "Give at least 3 readings, better one every 5 min over an hour: "
                 "0min:500um,10min:700um,20min:900um"};
  }
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (points[i].seconds > points[i - 1].seconds) continue;
    return Error{ErrorCode::inconsistent,
                 "reading " + std::to_string(i + 1) + " is not later than the one before", "--rise",
                 "Write the readings in the order of their times"};
  }
  return Done{};
}

/// Least sums of squares of the shapes.
struct Squares {
  double levelling = std::numeric_limits<double>::infinity();
  double outgassing = std::numeric_limits<double>::infinity();
  double line = 0.0;         ///< a leak alone
  double significant = 0.0;  ///< a difference that 95 % of scatter stays below
  double best() const { return std::min(levelling, outgassing); }
};

RiseShape shape_of(const RiseFit& fit, const Squares& squares, std::size_t readings) {
  const bool leaks = fit.leak_low > 0.0;
  const bool bends = squares.line - squares.best() > squares.significant;
  const bool rises = fit.level + fit.leak * fit.seconds > 3.0 * fit.scatter;
  if (readings < 4 && (leaks || rises)) return RiseShape::too_few;
  if (leaks) return bends ? RiseShape::leak_and_levelling : RiseShape::leak;
  if (!bends) return rises ? RiseShape::rising : RiseShape::flat;
  if (squares.outgassing - squares.levelling > squares.significant) return RiseShape::levelling;
  if (squares.levelling - squares.outgassing > squares.significant) return RiseShape::outgassing;
  return RiseShape::undecided;
}

void add_intervals(const std::vector<RisePoint>& points, const std::vector<Sums>& shapes,
                   const Squares& squares, RiseFit& fit) {
  const auto least = [&shapes](double (Sums::*at)(double) const, bool with_outgassing, double x) {
    std::array<double, taus> levelling{};
    for (std::size_t i = 0; i < taus; ++i) levelling[i] = (shapes[i].*at)(x);
    double out = valley(levelling);
    for (std::size_t i = taus; with_outgassing && i < shapes.size(); ++i) {
      out = std::min(out, (shapes[i].*at)(x));
    }
    return out;
  };
  const auto [lowest, highest] = std::minmax_element(
      points.begin(), points.end(),
      [](const RisePoint& a, const RisePoint& b) { return a.pressure < b.pressure; });
  const double span = highest->pressure - lowest->pressure + 8.0 * fit.scatter;
  interval_of([&](double q) { return least(&Sums::at_leak, true, q); }, fit.leak,
              2.0 * span / fit.seconds, squares.best() + squares.significant, fit.leak_low,
              fit.leak_high);
  // The level is that of a plateau: compared with the best plateau, not with outgassing.
  interval_of([&](double level) { return least(&Sums::at_level, false, level); }, fit.level,
              3.0 * span, squares.levelling + squares.significant, fit.level_low, fit.level_high);
}

}  // namespace

Result<RiseFit> fit_rise(const std::vector<RisePoint>& points, double u) {
  if (Status s = check(points); !s) return s.error();
  const std::vector<Sums> shapes = all_shapes(points);
  const Sums levelling = refined(points, shapes);
  const Sums* best = &levelling;
  Squares squares;
  squares.levelling = squares_at_best(levelling);
  for (std::size_t i = taus; i < shapes.size(); ++i) {
    const double here = squares_at_best(shapes[i]);
    if (here >= squares.outgassing) continue;
    squares.outgassing = here;
    // Outgassing has to fit clearly better to be shown: water is the commoner guest.
    if (here < squares.levelling - 4.0 * u * u) best = &shapes[i];
  }
  RiseFit out;
  out.seconds = points.back().seconds - points.front().seconds;
  best->best(out.leak, out.level);
  out.tau = out.level > 0.0 ? best->constant : std::nan("");
  out.start = best->mean_y - out.leak * best->mean_t - out.level * best->mean_s;
  out.plateau = out.start + out.level;
  const double line_leak = std::max(0.0, levelling.yt / levelling.tt);
  squares.line =
      levelling.yy - 2.0 * line_leak * levelling.yt + line_leak * line_leak * levelling.tt;

  const double n = static_cast<double>(points.size());
  out.misfit = std::sqrt(squares.best() / n);
  const double freedom = std::max(1.0, n - 4.0);
  out.scatter = n > 5.0 ? std::max(u, std::sqrt(squares.best() / freedom)) : u;
  const double quantile = out.scatter > u ? detail::student_95(freedom) : 1.96;
  squares.significant = quantile * quantile * out.scatter * out.scatter;
  add_intervals(points, shapes, squares, out);
  out.shape = shape_of(out, squares, points.size());
  return out;
}

namespace {

const Range rise_pressures{0.0, 20e3, "a vacuum gauge reads from 0 to some thousand microns",
                           "Write for example 500um, 66Pa or 0.67mbar"};

}  // namespace

Result<std::vector<RisePoint>> read_rise(std::string_view text, std::string_view where) {
  std::vector<RisePoint> out;
  for (const std::string_view part : split(text, ',')) {
    const std::size_t colon = part.find(':');
    if (colon == std::string_view::npos) {
      return Error{ErrorCode::parse,
                   "\"" + std::string(trim(part)) +
                       "\" is no reading: time and pressure stand "
                       "around a colon",
                   std::string(where), "Write for example 10min:700um"};
    }
    const Result<double> t = read_quantity(
        part.substr(0, colon), Dimension::time,
        {0.0, 30.0 * 86400.0, "the rise starts at 0", "Write for example 10min:700um"}, where);
    if (!t) return t.error();
    const Result<double> p =
        read_quantity(part.substr(colon + 1), Dimension::pressure, rise_pressures, where);
    if (!p) return p.error();
    out.push_back({*t, *p});
  }
  return out;
}

Result<std::vector<RisePoint>> read_rise_log(std::string_view text, std::string_view name,
                                             std::size_t& rejected) {
  rejected = 0;
  std::vector<RisePoint> out;
  bool headed = false;
  Unit time_unit;
  Unit pressure_unit;
  for (const std::string_view raw : split(text, '\n')) {
    const std::string_view line = trim(raw);
    if (line.empty() || line.front() == '#') continue;
    const auto cells = split(line, ',');
    if (!headed) {
      const auto unit_at = [&](std::size_t i) {
        const std::size_t open = i < cells.size() ? cells[i].find('[') : std::string_view::npos;
        return parse_unit(open == std::string_view::npos ? "" : cells[i].substr(open));
      };
      const Result<Unit> t = unit_at(0);
      const Result<Unit> p = unit_at(1);
      if (!t || !p || t->dimension != Dimension::time || p->dimension != Dimension::pressure) {
        return Error{ErrorCode::unreadable, "the first line does not name time and pressure",
                     std::string(name) + ":1", "Write for example: time [min],pressure [micron]"};
      }
      time_unit = *t;
      pressure_unit = *p;
      headed = true;
      continue;
    }
    double t = 0.0;
    double p = 0.0;
    if (cells.size() < 2 || !read_number(trim(cells[0]), t) || !read_number(trim(cells[1]), p) ||
        pressure_unit.to_si(p) < 0.0 || pressure_unit.to_si(p) > rise_pressures.highest) {
      ++rejected;
      continue;
    }
    out.push_back({time_unit.to_si(t), pressure_unit.to_si(p)});
  }
  return out;
}

}  // namespace cw::field
