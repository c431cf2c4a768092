#include <array>
#include <cmath>
#include <cstring>

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

// Half widths of pressure cells by the distance from their middle to the critical pressure and to
// zero, where the properties have their singularities; set by trial for the accuracy that
// docs/design/fluid.md states.
constexpr double near_critical = 1.0 / 17.0;
constexpr double near_zero = 1.0 / 12.0;

/// Octaves across a phase, more of them the closer the pressure is to the critical one.
int octaves_at(double reduced_pressure) {
  constexpr double more_from[] = {0.1, 0.3, 0.6, 0.8};
  int octaves = 3;
  for (const double from : more_from) octaves += reduced_pressure > from ? 1 : 0;
  return octaves;
}

double pressure_at(const PressureCell& cell, double t) {
  return 0.5 * ((1.0 - t) * cell.left + (1.0 + t) * cell.right);
}

/// Parts of octaves into cells as wide as allowed.
void divide(double critical_pressure, TableData& data) {
  data.first_part = pressure_part(data.lowest_pressure);
  const std::int64_t last = pressure_part(data.highest_pressure);
  const auto fits = [&](double left, double right) {
    const double middle = 0.5 * (left + right);
    const double half = 0.5 * (right - left);
    return half <= near_critical * (critical_pressure - middle) && half <= near_zero * middle;
  };
  std::size_t liquid = 0;
  std::size_t vapour = 0;
  for (std::int64_t part = data.first_part; part <= last;) {
    PressureCell cell;
    cell.left = part == data.first_part ? data.lowest_pressure : pressure_edge(part);
    do {
      data.parts.push_back({0.0, 0.0, static_cast<std::int64_t>(data.cells.size())});
      ++part;
    } while (part <= last && fits(cell.left, pressure_edge(part + 1)));
    cell.right = part > last ? data.highest_pressure : pressure_edge(part);
    const int octaves = octaves_at(cell.right / critical_pressure);
    cell.liquid = CrossGrid::with(octaves, liquid);
    cell.vapour = CrossGrid::with(octaves, vapour);
    cell.liquid_patches = cell.vapour_patches = static_cast<std::size_t>(octaves) << cross_bits;
    liquid += cell.liquid_patches;
    vapour += cell.vapour_patches;
    data.cells.push_back(cell);
  }
  for (PressurePart& part : data.parts) {
    const PressureCell& cell = data.cells[static_cast<std::size_t>(part.cell)];
    part.middle = 0.5 * (cell.left + cell.right);
    part.inverse_half = 2.0 / (cell.right - cell.left);
  }
}

/// Polynomials through four values at each of the cell's nodes.
QuadLine line_through(const std::array<std::array<double, 4>, line_order>& values) {
  QuadLine out{};
  for (std::size_t lane = 0; lane < 4; ++lane) {
    double y[line_order];
    double c[line_order];
    for (std::size_t i = 0; i < line_order; ++i) y[i] = values[i][lane];
    interpolate(line_nodes.data(), y, line_order, c);
    for (std::size_t i = 0; i < line_order; ++i) out.c[i][static_cast<int>(lane)] = c[i];
  }
  return out;
}

using PatchValues = std::array<std::array<std::array<double, 4>, patch_order>, patch_order>;

/// Takes the term t^i y^j away by subtracting its multiple of the product of Chebyshev polynomials
/// that begins with it: of all ways to drop it the one with the smallest largest error.
void drop_term(double (&c)[patch_order][patch_order], std::size_t i, std::size_t j) {
  // Chebyshev polynomials over their leading coefficient.
  static constexpr double monic[patch_order][patch_order] = {
      {1.0}, {0.0, 1.0}, {-0.5, 0.0, 1.0}, {0.0, -0.75, 0.0, 1.0}, {0.125, 0.0, -1.0, 0.0, 1.0}};
  const double leading = c[i][j];
  for (std::size_t k = 0; k <= i; ++k) {
    for (std::size_t l = 0; l <= j; ++l) c[k][l] -= leading * (monic[i][k] * monic[j][l]);
  }
}

QuadPatch patch_through(const PatchValues& values) {
  QuadPatch out{};
  for (std::size_t lane = 0; lane < 4; ++lane) {
    double by_y[patch_order][patch_order];  // [node in t][power of y]
    for (std::size_t i = 0; i < patch_order; ++i) {
      double y[patch_order];
      for (std::size_t j = 0; j < patch_order; ++j) y[j] = values[i][j][lane];
      interpolate(patch_nodes.data(), y, patch_order, by_y[i]);
    }
    double c[patch_order][patch_order];  // [power of t][power of y]
    for (std::size_t j = 0; j < patch_order; ++j) {
      double column[patch_order];
      double powers[patch_order];
      for (std::size_t i = 0; i < patch_order; ++i) column[i] = by_y[i][j];
      interpolate(patch_nodes.data(), column, patch_order, powers);
      for (std::size_t i = 0; i < patch_order; ++i) c[i][j] = powers[i];
    }
    for (std::size_t i = patch_order; i-- > 0;) {
      for (std::size_t j = patch_order; j-- > patch_row[i];) drop_term(c, i, j);
    }
    std::size_t term = 0;
    for (std::size_t i = 0; i < patch_order; ++i) {
      for (std::size_t j = 0; j < patch_row[i]; ++j) {
        out.c[term++][static_cast<int>(lane)] = c[i][j];
      }
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

struct Shifts {
  double h, s;
};

/// Fills the lines of one pressure cell.
bool fill_lines(const Model& model, const Shifts& shift, const PressureCell& cell,
                TableData& data) {
  const double T_low = data.lowest_temperature;
  const double liquid = cell.liquid.scale();
  const double vapour = cell.vapour.scale();
  std::array<std::array<double, 4>, line_order> h{}, T{}, v{};
  for (std::size_t i = 0; i < line_order; ++i) {
    const double p = pressure_at(cell, line_nodes[i]);
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
    h[i] = {l.h + shift.h, d.h + shift.h, liquid / (l.h - h_cold), vapour / (h_hot - d.h)};
    T[i] = {at.T_bubble, at.T_dew, liquid / (at.T_bubble - T_low), vapour / superheat};
    v[i] = {1.0 / l.rho, 1.0 / d.rho, l.s + shift.s, d.s + shift.s};
  }
  data.enthalpy.push_back(line_through(h));
  data.temperature.push_back(line_through(T));
  data.volume.push_back(line_through(v));
  return true;
}

std::array<double, 4> more_of(const Point& at) {
  const double h_T = at.h_T();
  const double h_rho = at.h_rho();
  const double det = at.p_rho * h_T - at.p_T * h_rho;
  return {h_T / det, -at.p_T / det, -h_rho / det, at.w};
}

/// Samples the atlases of one phase in one pressure cell, outwards from the tabulated edge.
bool fill_patches(const Model& model, const Shifts& shift, std::size_t i, bool vapour,
                  TableData& data) {
  const PressureCell& cell = data.cells[i];
  const CrossGrid& grid = vapour ? cell.vapour : cell.liquid;
  const std::size_t patches = vapour ? cell.vapour_patches : cell.liquid_patches;
  Atlas& by_h = vapour ? data.vapour_ph : data.liquid_ph;
  Atlas& more = vapour ? data.vapour_more : data.liquid_more;
  Atlas& density = vapour ? data.vapour_density : data.liquid_density;
  Atlas& by_T = vapour ? data.vapour_pT : data.liquid_pT;
  std::array<Point, patch_order> along_h{}, along_T{};
  std::array<std::array<double, 4>, patch_order> edge_h{}, edge_T{};
  for (std::size_t k = 0; k < patch_order; ++k) {
    const double t = patch_nodes[k];
    edge_h[k] = line_value(data.enthalpy[i], t);
    edge_T[k] = line_value(data.temperature[i], t);
    Saturation at;
    if (!saturation_at_pressure(model, pressure_at(cell, t), at)) return false;
    along_h[k] = along_T[k] =
        vapour ? point_at(model, at.T_dew, at.rho_v) : point_at(model, at.T_bubble, at.rho_l);
  }
  for (std::size_t j = 0; j < patches; ++j) {
    PatchValues ph{}, extra{}, flow{}, pT{};
    for (std::size_t k = 0; k < patch_order; ++k) {
      const double p = pressure_at(cell, patch_nodes[k]);
      for (std::size_t n = 0; n < patch_order; ++n) {
        const double u = grid.distance(by_h.size(), patch_nodes[n]) * grid.scale();
        const double h = vapour ? edge_h[k][1] + u / edge_h[k][3] : edge_h[k][0] - u / edge_h[k][2];
        const double T = vapour ? edge_T[k][1] + u / edge_T[k][3] : edge_T[k][0] - u / edge_T[k][2];
        if (!solve_p_h(model, p, h - shift.h, along_h[k]) || !solve_p_T(model, p, T, along_T[k])) {
          return false;
        }
        const Point& a = along_h[k];
        const Point& b = along_T[k];
        ph[k][n] = {a.T, a.rho, a.s + shift.s, a.cp};
        extra[k][n] = more_of(a);
        flow[k][n] = {a.T, a.rho, extra[k][n][0], extra[k][n][1]};
        pT[k][n] = {b.h + shift.h, b.rho, b.s + shift.s, b.cp};
      }
    }
    by_h.push_back(patch_through(ph));
    more.push_back(patch_through(extra));
    density.push_back(patch_through(flow));
    by_T.push_back(patch_through(pT));
  }
  return true;
}

/// Appends the lines and patches of pressure cell `i`, the next one. @returns what failed, or null
const char* fill_cell(const Model& model, std::size_t i, TableData& data) {
  const Shifts shift{model.iir.available ? model.iir.h : 0.0,
                     model.iir.available ? model.iir.s : 0.0};
  if (!fill_lines(model, shift, data.cells[i], data)) return "saturation lines";
  if (!fill_patches(model, shift, i, false, data)) return "liquid";
  if (!fill_patches(model, shift, i, true, data)) return "vapour";
  return nullptr;
}

Error not_filled(const Model& model, const char* what) {
  return Error{ErrorCode::no_convergence, model.name + ": table not filled: " + what, "", ""};
}

}  // namespace

Result<std::unique_ptr<TableData>> empty_table(const Model& model) {
  auto data = std::make_unique<TableData>();
  data->lowest_pressure = lowest_reduced_pressure * model.critical_pressure;
  data->highest_pressure = highest_reduced_pressure * model.critical_pressure;
  data->highest_temperature = model.maximum_temperature;
  divide(model.critical_pressure, *data);
  Saturation low;
  Saturation high;
  if (!saturation_at_pressure(model, data->lowest_pressure, low) ||
      !saturation_at_pressure(model, data->highest_pressure, high)) {
    return not_filled(model, "saturation at the ends");
  }
  data->lowest_temperature =
      std::fmax(low.T_bubble - below_lowest_bubble, model.minimum_temperature);
  data->inverse_T_low = 1.0 / low.T_bubble;
  data->ln_p_low = log_of(data->lowest_pressure);
  data->ln_slope = (log_of(data->highest_pressure) - data->ln_p_low) /
                   (1.0 / high.T_bubble - data->inverse_T_low);
  return data;
}

Result<std::unique_ptr<TableData>> make_table(const Model& model) {
  auto data = empty_table(model);
  for (std::size_t i = 0; data && i < (*data)->cells.size(); ++i) {
    if (const char* failed = fill_cell(model, i, **data)) return not_filled(model, failed);
  }
  return data;
}

bool begins_like(const Model& model, const TableData& data) {
  auto fresh = empty_table(model);
  if (!fresh || fill_cell(model, 0, **fresh) != nullptr) return false;
  std::vector<const void*> blocks;
  data.each_block([&](const void* block, std::size_t) { blocks.push_back(block); });
  bool same = true;
  std::size_t next = 0;
  (*fresh)->each_block([&](const void* block, std::size_t size) {
    same = same && std::memcmp(block, blocks[next++], size) == 0;
  });
  return same;
}

}  // namespace cw::fluid::detail
