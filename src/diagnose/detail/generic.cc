#include "diagnose/detail/generic.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "system/sheet.h"

namespace cw::diagnose::detail {
namespace {

/// Rated cooling of one unit where nothing tells it [W]; own choice, a usual room.
constexpr double unit_W = 5600.0;

std::string kilowatts(double watts) { return "\"" + number_text(watts / 1000.0, 4) + " kW\""; }

}  // namespace

Result<System> generic_system(const Judgement& judgement) {
  std::vector<Place> modules = judgement.recording.places(PlaceKind::outdoor);
  const std::vector<Place> units = judgement.recording.places(PlaceKind::indoor);
  if (modules.empty() || units.empty()) {
    return Error{
        ErrorCode::not_found,
        "without a system sheet the recording must name outdoor modules and indoor units",
        {},
        "Give the system sheet of the machine, or a map that names outdoor.1 and indoor.1"};
  }
  const double whole = unit_W * static_cast<double>(units.size());
  std::string text = "refrigerant = \"" + judgement.refrigerant + "\"\n";
  for (const Place& m : modules) {
    text += "[[outdoor]]\nid = \"" + m.text +
            "\"\ncooling = " + kilowatts(whole / static_cast<double>(modules.size())) + "\n";
  }
  for (const Place& u : units) {
    text += "[[indoor]]\nid = \"" + u.text + "\"\ncooling = " + kilowatts(unit_W) + "\n";
  }
  text += units.size() == 1 ? "[piping]\nmain = \"5 m\"\nbranch = \"3 m\"\n"
                            : "[piping]\nmain = \"30 m\"\nbranch = \"8 m\"\n";
  return parse_system(text, "generic machine");
}

}  // namespace cw::diagnose::detail
