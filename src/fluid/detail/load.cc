#include <cmath>

#include "base/text.h"
#include "fluid/detail/data_file.h"
#include "fluid/detail/math.h"
#include "fluid/detail/mixture.h"
#include "fluid/detail/model.h"
#include "fluid/detail/saturation_solver.h"

namespace cw::fluid::detail {
namespace {

Result<Ancillary> read_ancillary(const DataFile& file, std::string_view section) {
  Ancillary out;
  const auto form = file.text(section, "form");
  if (!form) return form.error();
  out.exponential = *form == "exponential";
  const auto rows = file.rows(section, "terms", 2);
  if (!rows) return rows.error();
  for (const auto& row : *rows) out.terms.push_back({row[0], row[1]});
  const auto times_tau = file.number(section, "times_tau");
  if (!times_tau) return times_tau.error();
  out.times_tau = *times_tau != 0.0;
  const auto temperature = file.number(section, "temperature");
  if (!temperature) return temperature.error();
  out.temperature = *temperature;
  const auto value = file.number(section, "value");
  if (!value) return value.error();
  out.value = *value;
  return out;
}

Status read_constants(const DataFile& file, Model& model) {
  struct Item {
    const char* key;
    double* to;
  };
  const Item items[] = {
      {"molar_mass", &model.molar_mass},
      {"gas_constant", &model.gas_constant},
      {"reducing_temperature", &model.reducing_temperature},
      {"reducing_density", &model.reducing_density},
      {"critical_temperature", &model.critical_temperature},
      {"critical_pressure", &model.critical_pressure},
      {"minimum_temperature", &model.minimum_temperature},
      {"maximum_temperature", &model.maximum_temperature},
      {"maximum_pressure", &model.maximum_pressure},
      {"acentric_factor", &model.acentric_factor},
  };
  for (const Item& item : items) {
    const auto number = file.number("equation", item.key);
    if (!number) return number.error();
    *item.to = *number;
  }
  model.published_critical_pressure = model.critical_pressure;
  model.gas_constant /= model.molar_mass;
  model.reducing_density *= model.molar_mass;
  return Done{};
}

Status read_ancillaries(const DataFile& file, Model& model) {
  struct Item {
    const char* section;
    Ancillary* to;
  };
  const bool pure = model.kind == FluidKind::pure;
  const Item items[] = {
      {pure ? "saturation.pressure" : "saturation.bubble_pressure", &model.bubble_pressure},
      {pure ? "saturation.pressure" : "saturation.dew_pressure", &model.dew_pressure},
      {"saturation.liquid_density", &model.liquid_density},
      {"saturation.vapour_density", &model.vapour_density},
  };
  for (const Item& item : items) {
    auto ancillary = read_ancillary(file, item.section);
    if (!ancillary) return ancillary.error();
    *item.to = std::move(*ancillary);
  }
  model.liquid_density.value *= model.molar_mass;
  model.vapour_density.value *= model.molar_mass;
  return Done{};
}

}  // namespace

double CoexistenceGuess::value(const std::vector<double>& ln, double T) const noexcept {
  // Cubic through the four nodes around x.
  const double quotient = 1.0 - T / critical_temperature;
  const double x = (quotient > 0.0 ? std::sqrt(quotient) : 0.0) / step;
  const double last = static_cast<double>(ln.size() - 3);
  const double cell = std::fmin(std::fmax(std::floor(x), 1.0), last);
  const auto i = static_cast<std::size_t>(cell);
  const double t = x - cell;
  const double a = ln[i - 1], b = ln[i], c = ln[i + 1], d = ln[i + 2];
  return exp_of(b + t * ((c - a / 3.0 - b / 2.0 - d / 6.0) +
                         t * ((a + c) / 2.0 - b + t * ((b - c) / 2.0 + (d - a) / 6.0))));
}

double Ancillary::at(double T) const noexcept {
  const double theta = 1.0 - T / temperature;
  double sum = 0.0;
  if (theta > 0.0) {
    const double ln_theta = log_of(theta);
    for (const Term& term : terms) sum += term.n * exp_of(term.t * ln_theta);
  }
  if (times_tau) sum *= temperature / T;
  return exponential ? value * exp_of(sum) : value * (1.0 + sum);
}

double Ancillary::log_slope(double T) const noexcept {
  const double theta = 1.0 - T / temperature;
  if (!(theta > 0.0)) return 0.0;
  const double ln_theta = log_of(theta);
  double sum = 0.0;
  double slope = 0.0;  // d sum/dT
  for (const Term& term : terms) {
    const double power = term.n * exp_of(term.t * ln_theta);
    sum += power;
    slope -= term.t * power / (theta * temperature);
  }
  if (!times_tau) return slope;
  return (slope - sum / T) * temperature / T;
}

namespace {

/// Numbers of one section into their places.
struct NumberItem {
  const char* section;
  const char* key;
  double* to;
};
Status read_numbers(const DataFile& file, std::span<const NumberItem> items) {
  for (const NumberItem& item : items) {
    const auto number = file.number(item.section, item.key);
    if (!number) return number.error();
    *item.to = *number;
  }
  return Done{};
}

Status read_departure(const DataFile& file, BinaryMixture& mixture) {
  const auto rows = file.rows("mixture.departure", "power", 4);
  if (!rows) return rows.error();
  std::vector<Helmholtz::PowerTerm> terms;
  for (const auto& r : *rows) terms.push_back({r[0], r[1], r[2], static_cast<int>(r[3]), 0.0});
  mixture.departure = Helmholtz(std::move(terms), {});
  return Done{};
}

Status load_mixture(std::span<const EmbeddedFile> files, const DataFile& file, Model& model) {
  BinaryMixture& mixture = model.mixture;
  const NumberItem items[] = {
      {"mixture", "first_mole_fraction", &mixture.x1},
      {"mixture", "gas_constant", &mixture.gas_constant},
      {"mixture", "minimum_temperature", &model.minimum_temperature},
      {"mixture", "maximum_temperature", &model.maximum_temperature},
      {"mixture", "maximum_pressure", &model.maximum_pressure},
      {"mixture.reducing", "beta_T", &mixture.beta_T},
      {"mixture.reducing", "gamma_T", &mixture.gamma_T},
      {"mixture.reducing", "beta_v", &mixture.beta_v},
      {"mixture.reducing", "gamma_v", &mixture.gamma_v},
  };
  if (const Status read = read_numbers(file, items); !read) return read.error();
  if (const Status read = read_departure(file, mixture); !read) return read.error();
  std::array<Model, 2> component;
  const char* keys[] = {"first", "second"};
  for (std::size_t i = 0; i < 2; ++i) {
    const auto name = file.text("mixture", keys[i]);
    if (!name) return name.error();
    auto loaded = load_model(files, *name);
    if (!loaded) return loaded.error();
    component[i] = std::move(*loaded);
    mixture.component[i] = component[i].helmholtz;
    mixture.critical_temperature[i] = component[i].reducing_temperature;
    mixture.critical_density[i] = component[i].reducing_density / component[i].molar_mass;
    mixture.molar_mass[i] = component[i].molar_mass;
    mixture.component_gas_constant[i] = component[i].gas_constant * component[i].molar_mass;
  }
  return prepare_mixture(model, component[0], component[1]);
}

Status load_single(const DataFile& file, Model& model) {
  if (const Status read = read_constants(file, model); !read) return read.error();
  if (const Status read = read_ancillaries(file, model); !read) return read.error();
  auto helmholtz = read_helmholtz(file);
  if (!helmholtz) return helmholtz.error();
  model.helmholtz = std::move(*helmholtz);
  return model.kind == FluidKind::pure ? prepare_pure(model) : prepare_pseudo_pure(model);
}

}  // namespace

Result<Model> load_model(std::span<const EmbeddedFile> files, std::string_view file_name) {
  const auto file = open_data_file(files, file_name);
  if (!file) return file.error();
  Model model;
  const auto name = file->text("refrigerant", "name");
  if (!name) return name.error();
  model.name = *name;
  const auto kind = file->text("refrigerant", "kind");
  if (!kind) return kind.error();
  model.kind = *kind == "pure"      ? FluidKind::pure
               : *kind == "mixture" ? FluidKind::mixture
                                    : FluidKind::pseudo_pure;
  if (file->has("refrigerant", "composition")) {
    model.composition = *file->text("refrigerant", "composition");
  }
  const bool mixture = model.kind == FluidKind::mixture;
  const auto source = file->text(mixture ? "mixture" : "equation", "source");
  if (!source) return source.error();
  model.equation_source = *source;
  const Status loaded = mixture ? load_mixture(files, *file, model) : load_single(*file, model);
  if (!loaded) return loaded.error();
  if (const Status read = read_transport(*file, files, model.transport); !read) {
    return read.error();
  }
  return model;
}

}  // namespace cw::fluid::detail
