#pragma once

#include <algorithm>
#include <cmath>

#include "twin/detail/linear.h"
#include "twin/detail/network.h"

namespace cw::twin::detail {

inline constexpr double gravity = 9.80665;  ///< m/s2, standard (3rd CGPM, 1901)

/// Pressure lost to m |m|.
inline double friction(double coefficient, double m, double rho) noexcept {
  return coefficient * m * std::abs(m) / rho;
}

/// A coil on its way through the step.
struct CoilLink {
  std::size_t lump = 0, group = 0;
  double offset_change = 0.0;
  /// Flow through the valve: terms 1, dp of the group, dh of the lump, dh and dp of the liquid
  /// line.
  std::array<double, 5> mu{};
  CoilWork work;
};

/// The whole linear system on its way.
class Assembly {
 public:
  Assembly(const ModelData& model, const Topology& topology, const Surroundings& around,
           const StepKind& kind, StateData& state) noexcept
      : model_(model),
        topology_(topology),
        around_(around),
        kind_(kind),
        state_(state),
        lumps_(model.lumps.size()),
        unknowns_(lumps_ + topology.groups + 1) {}

  StepResult run() noexcept;

 private:
  using Row = UnknownRow;
  std::size_t of_h(std::size_t lump) const { return lump; }
  std::size_t of_p(std::size_t lump) const { return lumps_ + topology_.group[lump]; }
  std::size_t of_speed() const { return unknowns_ - 1; }
  std::size_t constant() const { return unknowns_; }

  void follow_segments() noexcept;
  double follow(double offset, double target) const noexcept;
  static double bounded(double loss, double p) noexcept;
  void set_offsets() noexcept;
  void walls() noexcept;
  void heat_coils() noexcept;
  void close_coils() noexcept;
  void begin() noexcept;
  StepResult iterate() noexcept;
  void carry() noexcept;
  template <class Each>
  void each_content(Each each) noexcept;
  void assemble() noexcept;
  bool solve_flows() noexcept;
  bool turned(bool adopt) noexcept;
  void close_valve(const CoilShape& shape, const CoilState& coil, const ExpansionValve& valve,
                   double opening, const Response& response, double liquid_offset,
                   CoilLink& link) noexcept;
  void add_coil(const CoilShape& shape, const CoilState& coil, const CoilLink& link) noexcept;
  void add_port(Row& row, const PortForm& form, const CoilLink& link, double factor) noexcept;
  void add_compressor(std::size_t j) noexcept;
  void add_passage(std::size_t from, std::size_t to, double area, double density) noexcept;
  void add_leak() noexcept;
  void add_oil(std::size_t j) noexcept;
  void add_balances() noexcept;
  void add_speed_row() noexcept;
  double response_of(const CoilShape& shape, const CoilState& coil, const CoilWork& work,
                     const Response& response, double dp) const noexcept;
  void apply() noexcept;
  PortForm port_of(const CoilLink& link) const noexcept;
  double value(const Row& row) const noexcept;

  const ModelData& model_;
  const Topology& topology_;
  const Surroundings& around_;
  const StepKind& kind_;
  StateData& state_;
  std::size_t lumps_, unknowns_;
  std::array<Row, most_lumps> mass_{}, energy_{}, link_{}, link_energy_{};
  std::array<double, most_lumps> offset_change_{}, wall_den_{}, wall_num_{};
  std::array<CoilLink, most_modules> module_links_;
  std::array<CoilLink, most_units> unit_links_;
  std::array<Row, most_modules> flow_{}, power_{};
  std::array<double, most_modules> shell_heat_{}, shell_T_{}, shell_air_{}, oil_before_{};
  bool unsettled_ = false;  ///< a direction of flow is still wrong
  bool wild_ = false;       ///< a flow that no machine has: the step is too long
  /// What a short step leaves of the disagreement between state and booked content, by part.
  struct Carried {
    double M, U;
  };
  static constexpr std::size_t most_parts = most_lumps + most_cells * (most_modules + most_units);
  std::array<Carried, most_parts> carried_;
  bool carries_ = false;
  Account account_;  ///< at the start of the step
  LinearSystem system_{};
  std::array<double, most_unknowns> x_{};
};

}  // namespace cw::twin::detail
