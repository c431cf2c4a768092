#include "twin/transport_table.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "base/units.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "twin/hermite.h"

namespace cw::twin {
namespace {

constexpr std::size_t cell_count = 96;
constexpr double lowest_share = 0.02, highest_share = 0.95;  // of the critical pressure

/// Order of the properties in a cell.
enum : std::size_t { rho_l, rho_g, mu_l, mu_g, k_l, k_g, cp_l, cp_g, h_lg, sigma, T_bubble, T_dew };
using Node = std::array<double, 12>;

struct Component {
  const fluid::Refrigerant* refrigerant;
  double mass_share;
};

/// mu, k and sigma of saturated liquid or vapour.
struct LineTransport {
  double mu = 0.0, k = 0.0, sigma = 0.0;
};

/// The parts of blends that have no transport correlation of their own; shares by mass as in
/// data/fluids. A further blend is one more entry.
struct Blend {
  std::string_view name;
  std::array<std::pair<std::string_view, double>, 2> parts;
};
constexpr Blend blends[] = {{"R-454B", {{{"R-32", 0.689}, {"R-1234yf", 0.311}}}}};

/// What was not taken from a published correlation in its range.
struct Estimates {
  bool from_parts = false;
  double continued_below = 0.0;  ///< [K]; 0: nothing
};

Error no_transport(const fluid::Refrigerant& refrigerant) {
  return {ErrorCode::unsupported,
          std::string(refrigerant.name()) + " has no transport properties on its saturation lines",
          "",
          "Choose a refrigerant with viscosity and conductivity: docs/design/fluid.md lists them"};
}

/// Empty for a refrigerant with correlations of its own.
Result<std::vector<Component>> components_of(const fluid::Refrigerant& refrigerant) {
  std::vector<Component> list;
  for (const Blend& blend : blends) {
    if (blend.name != refrigerant.name()) continue;
    for (const auto& [name, share] : blend.parts) {
      const auto found = fluid::find_refrigerant(name);
      if (!found) return found.error();
      list.push_back({*found, share});
    }
  }
  return list;
}

/// A refrigerant's own correlations on a saturation line. Where one does not reach down to T, its
/// logarithm goes on linearly from the lowest temperatures that it covers. False without
/// correlations.
bool own_transport(const fluid::Refrigerant& refrigerant, double T, double q, LineTransport& out,
                   Estimates& estimates) {
  constexpr double step = 2.0;  // [K]
  constexpr int most_steps = 40;
  const auto at = [&](double temperature) -> std::optional<LineTransport> {
    const auto state = fluid::state_from(refrigerant, fluid::InputPair::T_q, temperature, q);
    if (!state || !state->mu || !state->k || !state->sigma) return std::nullopt;
    return LineTransport{state->mu->value, state->k->value, state->sigma->value};
  };
  for (int i = 0; i <= most_steps; ++i) {
    const double covered = T + step * i;
    const auto low = at(covered);
    if (!low) continue;
    out = *low;
    if (i == 0) return true;
    const auto high = at(covered + step);
    if (!high) return false;
    const auto continued = [&](double LineTransport::*of) {
      out.*of = (*low).*of * std::pow((*low).*of / ((*high).*of), static_cast<double>(i));
    };
    continued(&LineTransport::mu);
    continued(&LineTransport::k);
    continued(&LineTransport::sigma);
    estimates.continued_below = std::fmax(estimates.continued_below, covered);
    return true;
  }
  return false;
}

/// Log-mean of viscosity, mean of conductivity and surface tension by mass, at the blend's
/// temperature: an estimate.
Result<LineTransport> mixed(const std::vector<Component>& parts, double T, double q,
                            Estimates& estimates) {
  LineTransport sum;
  double log_mu = 0.0;
  for (const Component& part : parts) {
    // A part may be above its own highest saturated state where the blend is not.
    const double highest = 0.985 * part.refrigerant->critical_temperature().value;
    LineTransport line;
    if (!own_transport(*part.refrigerant, std::fmin(T, highest), q, line, estimates)) {
      return no_transport(*part.refrigerant);
    }
    log_mu += part.mass_share * std::log(line.mu);
    sum.k += part.mass_share * line.k;
    sum.sigma += part.mass_share * line.sigma;
  }
  sum.mu = std::exp(log_mu);
  estimates.from_parts = true;
  return sum;
}

Result<Node> node_at(const fluid::Refrigerant& refrigerant, const std::vector<Component>& parts,
                     double p, Estimates& estimates) {
  Node node{};
  for (const bool vapour : {false, true}) {
    const double q = vapour ? 1.0 : 0.0;
    const auto at = fluid::state_from(refrigerant, fluid::InputPair::p_q, p, q);
    if (!at) return at.error();
    if (!at->cp) return no_transport(refrigerant);
    LineTransport line;
    if (!parts.empty()) {
      const auto blend = mixed(parts, at->T, q, estimates);
      if (!blend) return blend.error();
      line = *blend;
    } else if (!own_transport(refrigerant, at->T, q, line, estimates)) {
      return no_transport(refrigerant);
    }
    node[vapour ? rho_g : rho_l] = at->rho;
    node[vapour ? mu_g : mu_l] = line.mu;
    node[vapour ? k_g : k_l] = line.k;
    node[vapour ? cp_g : cp_l] = *at->cp;
    node[vapour ? T_dew : T_bubble] = at->T;
    node[h_lg] += vapour ? at->h : -at->h;
    node[sigma] += 0.5 * line.sigma;  // of blends the two lines differ by the glide
  }
  return node;
}

std::string note_of(const fluid::Refrigerant& refrigerant, const Estimates& estimates) {
  std::string note;
  if (estimates.from_parts) {
    note = std::string(refrigerant.name()) +
           ": viscosity, conductivity and surface tension are estimated from its components";
  }
  if (estimates.continued_below > 0.0) {
    note += note.empty() ? std::string(refrigerant.name()) + ": " : "; ";
    note += "transport properties below " +
            number_text(to_celsius({estimates.continued_below}), 3) + " degC are extrapolated";
  }
  return note;
}

}  // namespace

Result<TransportTable> make_transport_table(const fluid::Refrigerant& refrigerant) {
  TransportTable table;
  table.critical_ = refrigerant.critical_pressure().value;
  table.critical_temperature_ = refrigerant.critical_temperature().value;
  table.lowest_ = std::fmax(lowest_share * table.critical_,
                            1.001 * fluid::saturation_range(refrigerant).lowest);
  table.highest_ = highest_share * table.critical_;
  table.log_lowest_ = std::log(table.lowest_);
  const double step = (std::log(table.highest_) - table.log_lowest_) / cell_count;
  table.cells_per_log_ = 1.0 / step;

  const auto parts = components_of(refrigerant);
  if (!parts) return parts.error();
  Estimates estimates;
  std::vector<Node> nodes;
  for (std::size_t i = 0; i <= cell_count; ++i) {
    const double p = i == cell_count ? table.highest_
                                     : std::exp(table.log_lowest_ + step * static_cast<double>(i));
    auto node = node_at(refrigerant, *parts, p, estimates);
    if (!node) return node.error();
    nodes.push_back(*node);
  }
  table.cells_.resize(cell_count);
  for (std::size_t of = 0; of < TransportTable::properties; ++of) {
    std::array<double, cell_count + 1> values{};
    for (std::size_t i = 0; i <= cell_count; ++i) values[i] = nodes[i][of];
    for (std::size_t i = 0; i < cell_count; ++i) {
      const Cubic cubic = hermite_cell<cell_count + 1>(values, i);
      for (std::size_t power = 0; power < 4; ++power) table.cells_[i][power][of] = cubic[power];
    }
  }
  table.note_ = note_of(refrigerant, estimates);
  return table;
}

void TransportTable::at(double p, SaturationTransport& out) const noexcept {
  const double inside = p > lowest_ ? std::fmin(p, highest_) : lowest_;  // nan: the lower end
  const double place = (std::log(inside) - log_lowest_) * cells_per_log_;
  const double cell = std::clamp(std::floor(place), 0.0, static_cast<double>(cell_count - 1));
  const double u = place - cell;
  const Cell& c = cells_[static_cast<std::size_t>(cell)];
  std::array<double, properties> v;
  for (std::size_t i = 0; i < properties; ++i) {
    v[i] = c[0][i] + u * (c[1][i] + u * (c[2][i] + u * c[3][i]));
  }
  const double per_pascal = cells_per_log_ / inside;
  const auto slope = [&](std::size_t i) {
    return (c[1][i] + u * (2.0 * c[2][i] + u * 3.0 * c[3][i])) * per_pascal;
  };
  out = {v[rho_l],    v[rho_g], v[mu_l],         v[mu_g],      v[k_l],
         v[k_g],      v[cp_l],  v[cp_g],         v[h_lg],      v[sigma],
         v[T_bubble], v[T_dew], slope(T_bubble), slope(T_dew), inside / critical_};
}

}  // namespace cw::twin
