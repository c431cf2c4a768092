#include <array>
#include <cmath>

#include "fluid/detail/flash.h"
#include "fluid/detail/point.h"
#include "fluid/detail/saturation_solver.h"
#include "fluid/detail/table_data.h"

namespace cw::fluid::detail {
namespace {

constexpr double lowest_reduced_pressure = 0.02;
constexpr double highest_reduced_pressure = 0.92;
constexpr double superheat = 100.0;           // K
constexpr double below_lowest_bubble = 15.0;  // K

// Chebyshev points, written out so that no machine's cosine comes in.
constexpr std::array<double, line_order> line_nodes = {
    -0.97492791218182360702, -0.78183148246802980871, -0.43388373911755812048, 0.0,
    0.43388373911755812048,  0.78183148246802980871,  0.97492791218182360702};
constexpr std::array<double, patch_order> patch_nodes = {
    -0.95105651629515357212, -0.58778525229247312917, 0.0, 0.58778525229247312917,
    0.95105651629515357212};

/// A pressure cell as it is sampled: the part of it inside the table's range, in t.
struct Cell {
  double left, right;  ///< edges [Pa]
  double t_from, t_to;
  double pressure(double t) const { return 0.5 * ((1.0 - t) * left + (1.0 + t) * right); }
  double node(double x) const { return 0.5 * (t_from + t_to) + 0.5 * (t_to - t_from) * x; }
};

Cell cell_of(const TableData& data, std::size_t i) {
  // The first and the last part that lead to the cell give its edges.
  std::size_t first = 0;
  while (data.parts[first].cell != static_cast<std::int64_t>(i)) ++first;
  std::size_t last = first;
  while (last + 1 < data.parts.size() && data.parts[last + 1].cell == data.parts[first].cell)
    ++last;
  Cell cell{pressure_edge(data.first_part + static_cast<std::int64_t>(first)),
            pressure_edge(data.first_part + static_cast<std::int64_t>(last) + 1), -1.0, 1.0};
  const auto t_of = [&](double p) {
    return 2.0 * (p - cell.left) / (cell.right - cell.left) - 1.0;
  };
  cell.t_from = std::fmax(-1.0, t_of(data.lowest_pressure));
  cell.t_to = std::fmin(1.0, t_of(data.highest_pressure));
  return cell;
}

/// Parts of an octave into cells: one each in the highest octave, two in the next, four below.
std::size_t divide(TableData& data) {
  data.first_part = pressure_part(data.lowest_pressure);
  const std::int64_t last = pressure_part(data.highest_pressure);
  const std::int64_t octave = std::int64_t{1} << pressure_bits;
  std::int64_t cell = -1;
  for (std::int64_t part = data.first_part; part <= last; ++part) {
    const std::int64_t below = last - part;  // parts below the highest pressure
    const std::int64_t together = below < octave ? 1 : below < 2 * octave ? 2 : 4;
    if (data.parts.empty() || part % together == 0) ++cell;
    data.parts.push_back({0.0, 0.0, cell});
  }
  for (std::size_t i = 0; i < data.parts.size(); ++i) {
    const Cell whole = cell_of(data, static_cast<std::size_t>(data.parts[i].cell));
    data.parts[i].middle = 0.5 * (whole.left + whole.right);
    data.parts[i].inverse_half = 2.0 / (whole.right - whole.left);
  }
  return static_cast<std::size_t>(cell) + 1;
}

/// Polynomials through four values at each of the cell's nodes.
QuadLine line_through(const Cell& cell,
                      const std::array<std::array<double, 4>, line_order>& values) {
  double t[line_order];
  for (std::size_t i = 0; i < line_order; ++i) t[i] = cell.node(line_nodes[i]);
  QuadLine out{};
  for (std::size_t lane = 0; lane < 4; ++lane) {
    double y[line_order];
    double c[line_order];
    for (std::size_t i = 0; i < line_order; ++i) y[i] = values[i][lane];
    interpolate(t, y, line_order, c);
    for (std::size_t i = 0; i < line_order; ++i) out.c[i][static_cast<int>(lane)] = c[i];
  }
  return out;
}

using PatchValues = std::array<std::array<std::array<double, 4>, patch_order>, patch_order>;

QuadPatch patch_through(const Cell& cell, const PatchValues& values) {
  double t[patch_order];
  for (std::size_t i = 0; i < patch_order; ++i) t[i] = cell.node(patch_nodes[i]);
  QuadPatch out{};
  for (std::size_t lane = 0; lane < 4; ++lane) {
    double by_y[patch_order][patch_order];  // [node in t][power of y]
    for (std::size_t i = 0; i < patch_order; ++i) {
      double y[patch_order];
      for (std::size_t j = 0; j < patch_order; ++j) y[j] = values[i][j][lane];
      interpolate(patch_nodes.data(), y, patch_order, by_y[i]);
    }
    for (std::size_t j = 0; j < patch_order; ++j) {
      double column[patch_order];
      double c[patch_order];
      for (std::size_t i = 0; i < patch_order; ++i) column[i] = by_y[i][j];
      interpolate(t, column, patch_order, c);
      for (std::size_t i = 0; i < patch_order; ++i) out.c[i][j][static_cast<int>(lane)] = c[i];
    }
  }
  return out;
}

std::array<double, 4> line_value(const QuadLine& line, double t) {
  std::array<double, 4> out{};
  for (std::size_t lane = 0; lane < 4; ++lane) {
    double sum = 0.0;
    for (std::size_t i = line_order; i-- > 0;) sum = sum * t + line.c[i][static_cast<int>(lane)];
    out[lane] = sum;
  }
  return out;
}

/// Newton for temperature and density at given p and h, from `at` onwards.
bool solve_p_h(const Model& model, double p, double h, Point& at) {
  double T = at.T;
  double rho = at.rho;
  double last = HUGE_VAL;
  for (int i = 0; i < 30; ++i) {
    at = point_at(model, T, rho);
    const double dp = p - at.p;
    const double dh = h - at.h;
    const double h_T = at.h_T();
    const double h_rho = at.h_rho();
    const double det = at.p_rho * h_T - at.p_T * h_rho;
    const double step_rho = (dp * h_T - dh * at.p_T) / det;
    const double step_T = (dh * at.p_rho - dp * h_rho) / det;
    const double change = std::fabs(step_rho) / rho + std::fabs(step_T) / T;
    if (!(change < 0.5)) return false;
    if (change < 1e-14 || (i > 3 && change >= last && change < 1e-10)) return true;
    last = change;
    T += step_T;
    rho += step_rho;
  }
  return last < 1e-10;
}

bool solve_p_T(const Model& model, double p, double T, Point& at) {
  double rho = at.rho - at.p_T / at.p_rho * (T - at.T) + (p - at.p) / at.p_rho;
  double last = HUGE_VAL;
  for (int i = 0; i < 30; ++i) {
    at = point_at(model, T, rho);
    const double step = (p - at.p) / at.p_rho;
    const double change = std::fabs(step) / rho;
    if (!(change < 0.5)) return false;
    if (change < 1e-15 || (i > 3 && change >= last && change < 1e-10)) return true;
    last = change;
    rho += step;
  }
  return last < 1e-10;
}

/// Fills the lines of one pressure cell.
bool fill_lines(const Model& model, double T_low, double h_shift, double s_shift, const Cell& cell,
                TableData& data) {
  std::array<std::array<double, 4>, line_order> h{}, T{}, v{};
  for (std::size_t i = 0; i < line_order; ++i) {
    const double p = cell.pressure(cell.node(line_nodes[i]));
    Saturation at;
    if (!saturation_at_pressure(model, p, at)) return false;
    const Point l = point_at(model, at.T_bubble, at.rho_l);
    const Point d = point_at(model, at.T_dew, at.rho_v);
    const double T_hot = at.T_dew + superheat;
    const double rho_hot = single_phase_root(model, T_hot, p);
    const double rho_cold = liquid_root(model, T_low, p);
    if (!(rho_hot > 0.0 && rho_cold > 0.0)) return false;
    const double h_hot = point_at(model, T_hot, rho_hot).h;
    const double h_cold = point_at(model, T_low, rho_cold).h;
    h[i] = {l.h + h_shift, d.h + h_shift, 1.0 / (l.h - h_cold), 1.0 / (h_hot - d.h)};
    T[i] = {at.T_bubble, at.T_dew, 1.0 / (at.T_bubble - T_low), 1.0 / superheat};
    v[i] = {1.0 / l.rho, 1.0 / d.rho, l.s + s_shift, d.s + s_shift};
  }
  data.enthalpy.push_back(line_through(cell, h));
  data.temperature.push_back(line_through(cell, T));
  data.volume.push_back(line_through(cell, v));
  return true;
}

struct Shifts {
  double h, s;
};

std::array<double, 4> more_of(const Point& at) {
  const double h_T = at.h_T();
  const double h_rho = at.h_rho();
  const double det = at.p_rho * h_T - at.p_T * h_rho;
  return {h_T / det, -at.p_T / det, -h_rho / det, at.w};
}

/// Samples the atlases of one phase in one pressure cell, outwards from the tabulated edge.
bool fill_patches(const Model& model, const Shifts& shift, std::size_t i, bool vapour,
                  TableData& data) {
  const Cell cell = cell_of(data, i);
  Atlas& by_h = vapour ? data.vapour_ph : data.liquid_ph;
  Atlas& more = vapour ? data.vapour_more : data.liquid_more;
  Atlas& by_T = vapour ? data.vapour_pT : data.liquid_pT;
  std::array<Point, patch_order> along_h{}, along_T{};
  std::array<std::array<double, 4>, patch_order> edge_h{}, edge_T{};
  for (std::size_t k = 0; k < patch_order; ++k) {
    const double t = cell.node(patch_nodes[k]);
    edge_h[k] = line_value(data.enthalpy[i], t);
    edge_T[k] = line_value(data.temperature[i], t);
    Saturation at;
    if (!saturation_at_pressure(model, cell.pressure(t), at)) return false;
    along_h[k] = along_T[k] =
        vapour ? point_at(model, at.T_dew, at.rho_v) : point_at(model, at.T_bubble, at.rho_l);
  }
  for (std::size_t j = 0; j < cells_across; ++j) {
    PatchValues ph{}, extra{}, pT{};
    for (std::size_t k = 0; k < patch_order; ++k) {
      const double p = cell.pressure(cell.node(patch_nodes[k]));
      for (std::size_t n = 0; n < patch_order; ++n) {
        const double u = cross_distance(j, patch_nodes[n]);
        const double h = vapour ? edge_h[k][1] + u / edge_h[k][3] : edge_h[k][0] - u / edge_h[k][2];
        const double T = vapour ? edge_T[k][1] + u / edge_T[k][3] : edge_T[k][0] - u / edge_T[k][2];
        if (!solve_p_h(model, p, h - shift.h, along_h[k]) || !solve_p_T(model, p, T, along_T[k])) {
          return false;
        }
        const Point& a = along_h[k];
        const Point& b = along_T[k];
        ph[k][n] = {a.T, a.rho, a.s + shift.s, a.cp};
        extra[k][n] = more_of(a);
        pT[k][n] = {b.h + shift.h, b.rho, b.s + shift.s, b.cp};
      }
    }
    by_h.patches.push_back(patch_through(cell, ph));
    more.patches.push_back(patch_through(cell, extra));
    by_T.patches.push_back(patch_through(cell, pT));
  }
  return true;
}

}  // namespace

Result<std::unique_ptr<const TableData>> make_table(const Model& model) {
  auto data = std::make_unique<TableData>();
  const auto failed = [&](const char* what) {
    return Error{ErrorCode::no_convergence, model.name + ": table not filled: " + what, "", ""};
  };
  data->lowest_pressure = lowest_reduced_pressure * model.critical_pressure;
  data->highest_pressure = highest_reduced_pressure * model.critical_pressure;
  data->highest_temperature = model.maximum_temperature;
  const std::size_t cells = divide(*data);
  Saturation low;
  Saturation high;
  if (!saturation_at_pressure(model, data->lowest_pressure, low) ||
      !saturation_at_pressure(model, data->highest_pressure, high)) {
    return failed("saturation at the ends");
  }
  const double T_low = std::fmax(low.T_bubble - below_lowest_bubble, model.minimum_temperature);
  const Shifts shift{model.iir.available ? model.iir.h : 0.0,
                     model.iir.available ? model.iir.s : 0.0};
  for (std::size_t i = 0; i < cells; ++i) {
    if (!fill_lines(model, T_low, shift.h, shift.s, cell_of(*data, i), *data)) {
      return failed("saturation lines");
    }
  }
  for (std::size_t i = 0; i < cells; ++i) {
    if (!fill_patches(model, shift, i, false, *data)) return failed("liquid");
    if (!fill_patches(model, shift, i, true, *data)) return failed("vapour");
  }
  data->inverse_T_low = 1.0 / low.T_bubble;
  data->ln_p_low = log_of(data->lowest_pressure);
  data->ln_slope = (log_of(data->highest_pressure) - data->ln_p_low) /
                   (1.0 / high.T_bubble - data->inverse_T_low);
  return std::unique_ptr<const TableData>(std::move(data));
}

}  // namespace cw::fluid::detail
