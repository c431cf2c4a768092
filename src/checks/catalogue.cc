#include "checks/catalogue.h"

#include <array>

#include "base/contract.h"
#include "base/toml_file.h"
#include "embedded/check_texts.h"

namespace cw {
namespace {

struct Registration {
  std::string_view id;
  std::vector<Finding> (*run)(const CheckContext&);
};

// A new check: one line here, one file of logic, one text in data/checks/.
constexpr std::array registrations = {
    Registration{"discharge-temperature", check::discharge_temperature},
    Registration{"discharge-superheat", check::discharge_superheat},
    Registration{"shell-superheat", check::shell_superheat},
    Registration{"condensing-target", check::condensing_target},
    Registration{"indoor-coil-heat", check::indoor_coil_heat},
    Registration{"outdoor-coil-frost", check::outdoor_coil_frost},
    Registration{"set-point", check::set_point},
};

Check read_check(const Registration& registration) {
  const std::string name = "checks/" + std::string(registration.id) + ".toml";
  for (const EmbeddedFile& file : embedded::check_texts()) {
    if (file.name != name) continue;
    const Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    const auto text = [&](std::string_view key) {
      const std::string value = (*table)[key].value_or(std::string{});
      CW_REQUIRE(!value.empty());
      return value;
    };
    return {std::string(registration.id),
            text("title"),
            text("asks"),
            text("means"),
            text("why"),
            text("needs"),
            text("cannot_see"),
            registration.run};
  }
  CW_REQUIRE(!"every registered check has a text in data/checks");
  return {};
}

}  // namespace

std::span<const Check> check_catalogue() {
  static const std::vector<Check> checks = [] {
    std::vector<Check> out;
    for (const Registration& registration : registrations) out.push_back(read_check(registration));
    return out;
  }();
  return checks;
}

}  // namespace cw
