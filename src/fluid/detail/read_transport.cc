#include <initializer_list>

#include "fluid/detail/transport.h"

namespace cw::fluid::detail {
namespace {

/// Collects the first error over a series of reads, so that the lists below stay lists.
class Reader {
 public:
  Reader(const DataFile& file, std::string_view section) : file_(file), section_(section) {}

  void number(const char* key, double& to) {
    const auto read = file_.number(section_, key);
    if (read) {
      to = *read;
    } else {
      note(read.error());
    }
  }
  struct Number {
    const char* key;
    double* to;
  };
  void numbers(std::initializer_list<Number> list) {
    for (const Number& item : list) number(item.key, *item.to);
  }
  void optional_numbers(std::initializer_list<Number> list) {
    for (const Number& item : list) {
      if (file_.has(section_, item.key)) number(item.key, *item.to);
    }
  }
  void powers(const char* key, std::vector<PowerItem>& to) {
    const auto rows = file_.rows(section_, key, 2);
    if (!rows) return note(rows.error());
    for (const auto& row : *rows) to.push_back({row[0], row[1]});
  }
  void optional_powers(const char* key, std::vector<PowerItem>& to) {
    if (file_.has(section_, key)) powers(key, to);
  }
  void densities(const char* key, std::vector<DensityItem>& to) {
    const auto rows = file_.rows(section_, key, 5);
    if (!rows) return note(rows.error());
    for (const auto& row : *rows) to.push_back({row[0], row[1], row[2], row[3], row[4]});
  }
  std::string text(const char* key) {
    const auto read = file_.text(section_, key);
    if (read) return *read;
    note(read.error());
    return {};
  }
  Status status() const {
    if (error_) return *error_;
    return Done{};
  }

 private:
  void note(const Error& error) {
    if (!error_) error_ = error;
  }
  const DataFile& file_;
  std::string_view section_;
  std::optional<Error> error_;
};

Status read_viscosity(const DataFile& file, ViscosityModel& v) {
  Reader read(file, "viscosity");
  read.number("uncertainty", v.uncertainty);
  if (read.text("form") == "entropy-scaling") {
    v.form = ViscosityModel::Form::entropy_scaling;
    read.numbers({{"scale", &v.scale},
                  {"crossover", &v.crossover},
                  {"critical_entropy_density", &v.critical_entropy_density}});
    v.liquid = file.numbers_or_empty("viscosity", "liquid");
    v.vapour = file.numbers_or_empty("viscosity", "vapour");
    return read.status();
  }
  read.optional_powers("dilute", v.dilute);
  if (v.dilute.empty()) {
    read.numbers({{"sigma", &v.sigma},
                  {"epsilon_over_k", &v.epsilon_over_k},
                  {"prefactor", &v.prefactor},
                  {"dilute_molar_mass", &v.dilute_molar_mass}});
    read.optional_powers("collision", v.collision);
  }
  read.optional_powers("rainwater_friend", v.rainwater_friend);
  read.numbers({{"reducing_temperature", &v.reducing_temperature},
                {"reducing_density", &v.reducing_density}});
  read.densities("residual", v.residual);
  if (file.has("viscosity", "free_volume")) {
    v.free_volume = file.numbers_or_empty("viscosity", "free_volume");
    read.powers("close_packed_over", v.close_packed_over);
    read.powers("close_packed_under", v.close_packed_under);
    if (v.free_volume.size() != 3) {
      return Error{ErrorCode::parse, "free_volume takes three numbers", file.file_name(), ""};
    }
  }
  return read.status();
}

Status read_reference_fluid(const DataFile& file, ConductivityModel::ReferenceFluid& out) {
  Reader equation(file, "equation");
  equation.numbers({{"molar_mass", &out.molar_mass},
                    {"reducing_temperature", &out.temperature},
                    {"reducing_density", &out.density}});
  Reader conductivity(file, "conductivity");
  conductivity.numbers({{"reducing_temperature", &out.conductivity_temperature},
                        {"reducing_density", &out.conductivity_density}});
  conductivity.densities("residual", out.conductivity);
  auto residual = read_residual(file);
  if (!residual) return residual.error();
  out.helmholtz = std::move(*residual);
  const Status first = equation.status();
  return first ? conductivity.status() : first;
}

Status read_conductivity(const DataFile& file, std::span<const EmbeddedFile> files,
                         ConductivityModel& c) {
  Reader read(file, "conductivity");
  read.number("uncertainty", c.uncertainty);
  read.optional_numbers({{"critical_cutoff", &c.cutoff},
                         {"critical_amplitude", &c.amplitude},
                         {"critical_gamma", &c.gamma_amplitude},
                         {"critical_exponent", &c.exponent},
                         {"critical_R", &c.R0},
                         {"critical_reference_temperature", &c.reference_temperature}});
  if (read.text("form") == "corresponding-states") {
    c.form = ConductivityModel::Form::corresponding_states;
    read.numbers({{"sigma", &c.sigma}, {"epsilon_over_k", &c.epsilon_over_k}});
    read.powers("internal", c.internal);
    read.powers("shape", c.shape);
    read.number("shape_density", c.shape_density);
    const auto reference = open_data_file(files, read.text("reference"));
    if (!reference) return reference.error();
    const Status status = read_reference_fluid(*reference, c.reference);
    return status ? read.status() : status;
  }
  read.optional_numbers({{"dilute_viscosity", &c.dilute_viscosity}});
  read.number("dilute_temperature", c.dilute_temperature);
  read.powers("dilute", c.dilute);
  read.numbers({{"reducing_temperature", &c.reducing_temperature},
                {"reducing_density", &c.reducing_density}});
  read.densities("residual", c.residual);
  return read.status();
}

}  // namespace

Result<DataFile> open_data_file(std::span<const EmbeddedFile> files, std::string_view name) {
  for (const EmbeddedFile& file : files) {
    if (file.name == name) return DataFile::parse(file.name, file.text);
  }
  return Error{ErrorCode::not_found, "data file not embedded", std::string(name), ""};
}

Status read_transport(const DataFile& file, std::span<const EmbeddedFile> files,
                      TransportModels& out) {
  if (file.has("viscosity", "form")) {
    const Status read = read_viscosity(file, out.viscosity.emplace());
    if (!read) return read.error();
  }
  if (file.has("conductivity", "form")) {
    const Status read = read_conductivity(file, files, out.conductivity.emplace());
    if (!read) return read.error();
  }
  if (file.has("surface_tension", "terms")) {
    auto& tension = out.surface_tension.emplace();
    Reader read(file, "surface_tension");
    read.numbers({{"uncertainty", &tension.uncertainty}, {"temperature", &tension.temperature}});
    read.powers("terms", tension.terms);
    return read.status();
  }
  return Done{};
}

}  // namespace cw::fluid::detail
