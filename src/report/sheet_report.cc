#include <algorithm>
#include <cstdio>

#include "base/text.h"
#include "report/detail/sheet_report_words.h"
#include "system/piping.h"

namespace cw {
namespace {

using detail::shown;
using detail::shown_number;
using D = Dimension;

/// A table whose columns are as wide as their widest cell; the first `left` columns stand left.
class TextTable {
 public:
  explicit TextTable(std::size_t left) : left_(left) {}

  void row(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }

  std::string text() const {
    std::vector<std::size_t> widths;
    for (const auto& row : rows_) {
      widths.resize(std::max(widths.size(), row.size()), 0);
      for (std::size_t i = 0; i < row.size(); ++i) {
        widths[i] = std::max(widths[i], columns_of(row[i]));
      }
    }
    std::string out;
    for (const auto& row : rows_) {
      std::string line = " ";
      for (std::size_t i = 0; i < row.size(); ++i) {
        const std::string pad(widths[i] - columns_of(row[i]), ' ');
        line += " " + (i < left_ ? row[i] + pad : pad + row[i]);
      }
      line.erase(line.find_last_not_of(' ') + 1);
      out += line + "\n";
    }
    return out;
  }

 private:
  static std::size_t columns_of(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
      return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
  }

  std::size_t left_;
  std::vector<std::vector<std::string>> rows_;
};

std::string fixed(double value, int digits) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  return buffer;
}

/// Volumes with the digits that tell a 1 m run from nothing.
int volume_digits(UnitSystem units) { return units == UnitSystem::si ? 2 : 4; }

std::string volume(double m3, UnitSystem units) {
  return shown(m3, D::volume, units, volume_digits(units));
}

std::string head(const SheetReport& report) {
  const System& system = report.system;
  std::string out = (system.name().empty() ? "System" : system.name()) + "\n  " +
                    std::string(system.refrigerant().name()) + ", " + detail::make_up(system);
  if (!system.site().name.empty() && system.site().name != system.name()) {
    out += "\n  " + system.site().name;
  }
  out += "\n  altitude " + shown(system.site().altitude_m, D::length, report.units, 0);
  if (!system.site().zone.empty()) out += ", zone " + system.site().zone;
  return out + "\n";
}

std::string lengths(const SheetReport& report) {
  const System& system = report.system;
  const PipeLengths pipes = pipe_lengths(system);
  const auto metres = [&](double m) { return shown(m, D::length, report.units, 1); };
  TextTable table(2);
  table.row({"all runs", metres(pipes.total_m) + " in " + std::to_string(system.segments().size()) +
                             (system.segments().size() == 1 ? " run" : " runs")});
  table.row({"longest way", metres(pipes.longest_path_m) + " to " +
                                system.indoor()[pipes.longest_unit].id + " (equivalent " +
                                metres(pipes.longest_equivalent_m) + ")"});
  table.row({"highest unit above a module", metres(pipes.highest_lift_m)});
  table.row({"lowest unit below a module", metres(pipes.deepest_drop_m)});
  table.row({"between the units", metres(pipes.between_units_m)});
  return "\nLengths and heights\n" + table.text();
}

std::string volumes(const SheetReport& report) {
  const System& system = report.system;
  const InternalVolume inside = internal_volume(system);
  TextTable table(1);
  const auto row = [&](const std::string& what, double m3) {
    table.row({what, volume(m3, report.units)});
  };
  row("liquid lines", inside.lines.liquid_m3);
  row("gas lines", inside.lines.gas_m3);
  if (system.heat_recovery()) row("third lines", inside.lines.third_m3);
  row("outdoor coils", inside.outdoor_coils_m3);
  row("indoor coils", inside.indoor_coils_m3);
  row("accumulators", inside.accumulators_m3);
  if (system.heat_recovery()) row("branch boxes", inside.branch_boxes_m3);
  row("in all", inside.total_m3());
  return "\nInside volumes (without compressor shells and vessels that the sheet does not name)\n" +
         table.text();
}

std::string charge(const SheetReport& report) {
  const Charge& charge = report.system.charge();
  const auto kilograms = [&](double kg) { return shown(kg, D::mass, report.units, 2); };
  std::string out = "\nRefrigerant\n";
  TextTable table(1);
  table.row({"as shipped", kilograms(charge.factory_kg)});
  for (const ChargeMovement& movement : charge.movements) {
    std::string note = movement.note;
    if (movement.date) {
      char date[16];
      std::snprintf(date, sizeof date, "%04d-%02d-%02d", movement.date->year, movement.date->month,
                    movement.date->day);
      note = std::string(date) + (note.empty() ? "" : ", " + note);
    }
    table.row({(movement.mass_kg < 0.0 ? "recovered" : "added") +
                   (note.empty() ? std::string() : " (" + note + ")"),
               kilograms(movement.mass_kg)});
  }
  table.row({"in all", kilograms(charge.total_kg())});
  out += table.text();
  const Result<LiquidMass> liquid = liquid_mass(report.system, report.liquid_at);
  if (liquid) {
    out += "  Liquid lines full of saturated liquid at " +
           shown(report.liquid_at.value, D::temperature, report.units, 0) + " (" +
           shown(liquid->density_kg_per_m3, D::density, report.units, 1) + ") hold " +
           kilograms(liquid->total_kg) + ".\n";
  } else {
    out += "  Liquid cannot be weighed: " + liquid.error().message + ".\n";
  }
  return out;
}

std::string tubes(const SheetReport& report) {
  const Result<double> density = liquid_density(report.system, report.liquid_at);
  const UnitSystem units = report.units;
  TextTable table(3);
  const std::string l = std::string(display_symbol(D::length, units));
  const std::string v = std::string(display_symbol(D::volume, units));
  const std::string m = std::string(display_symbol(D::mass, units));
  table.row(
      {"line", "size", "standard", "length " + l, "volume " + v, "liquid " + m, "copper " + m});
  for (const TubeUse& use : tube_uses(report.system)) {
    const bool weighed = use.line == Line::liquid && density.has_value();
    table.row({std::string(name_of(use.line)), use.tube->name, use.tube->standard,
               shown_number(use.length_m, D::length, units, 1),
               shown_number(use.volume_m3, D::volume, units, volume_digits(units)),
               weighed ? shown_number(use.volume_m3 * *density, D::mass, units, 2) : "",
               shown_number(use.copper_kg, D::mass, units, 1)});
  }
  return "\nTube\n" + table.text();
}

std::string runs(const SheetReport& report) {
  const System& system = report.system;
  const UnitSystem units = report.units;
  const Result<LiquidMass> liquid = liquid_mass(system, report.liquid_at);
  TextTable table(4);
  const std::string l = std::string(display_symbol(D::length, units));
  const std::string v = std::string(display_symbol(D::volume, units));
  table.row({"run", "from", "to", "sizes", "length " + l, "rise " + l, "liquid " + v, "gas " + v,
             system.heat_recovery() ? "third " + v : "",
             "liquid " + std::string(display_symbol(D::mass, units))});
  for (std::size_t i = 0; i < system.segments().size(); ++i) {
    const Segment& segment = system.segments()[i];
    const LineVolumes each = line_volumes(segment);
    const auto litres = [&](double m3) {
      return shown_number(m3, D::volume, units, volume_digits(units) + 1);
    };
    std::string sizes = segment.liquid->name + " / " + segment.gas->name;
    if (segment.third != nullptr) sizes += " / " + segment.third->name;
    if (segment.sizes_assumed) sizes += " *";
    table.row({segment.id, system.nodes()[segment.from].id, system.nodes()[segment.to].id, sizes,
               shown_number(segment.length_m, D::length, units, 1),
               shown_number(segment.rise_m, D::length, units, 1), litres(each.liquid_m3),
               litres(each.gas_m3), segment.third != nullptr ? litres(each.third_m3) : "",
               liquid ? shown_number(liquid->segment_kg[i], D::mass, units, 3) : ""});
  }
  return "\nRuns (sizes: liquid / gas" + std::string(system.heat_recovery() ? " / third" : "") +
         "; * assumed)\n" + table.text();
}

std::string units_table(const SheetReport& report) {
  const System& system = report.system;
  const UnitSystem units = report.units;
  TextTable table(4);
  const std::string l = std::string(display_symbol(D::length, units));
  const std::string p = std::string(display_symbol(D::power, units));
  table.row({"unit", "name", "room", "controlled by", "cooling " + p, "heating " + p, "way " + l,
             "lift " + l});
  const std::vector<UnitPath> paths = unit_paths(system);
  for (std::size_t i = 0; i < system.indoor().size(); ++i) {
    const IndoorUnit& unit = system.indoor()[i];
    const Room& room = system.rooms()[unit.room];
    const bool si = units == UnitSystem::si;
    const double cubic =
        si ? room.volume_m3 : display_unit(D::volume, units).from_si(room.volume_m3);
    table.row({unit.id, unit.name,
               fixed(cubic, cubic < 100.0 ? 1 : 0) + (si ? " m3" : " ft3") +
                   (room.volume_assumed ? " *" : ""),
               std::string(name_of(unit.controlled_by)),
               shown_number(unit.cooling_W, D::power, units, si ? 1 : 0),
               shown_number(unit.heating_W, D::power, units, si ? 1 : 0),
               shown_number(paths[i].length_m, D::length, units, 1),
               shown_number(paths[i].lift_m, D::length, units, 1)});
  }
  return "\nIndoor units\n" + table.text();
}

std::string notes(const SheetReport& report) {
  const System& system = report.system;
  std::string out = "\nAssumed (the sheet leaves it open)\n";
  if (system.assumptions().empty()) out += "  nothing\n";
  for (const detail::AssumptionGroup& group : detail::grouped(system.assumptions())) {
    out += "  " + detail::places_in_short(group.places) + ": " + group.first.key + " = " +
           detail::value_text(group.first, report.units) + "  (" + group.first.reason + "; " +
           group.first.source + ")\n";
  }
  out += "\nWarnings\n";
  if (system.warnings().empty()) out += "  none\n";
  for (const SheetWarning& warning : system.warnings()) {
    out += "  " + warning.where + ": " + warning.message + ". " + warning.fix + "\n";
  }
  return out;
}

}  // namespace

std::string sheet_text(const SheetReport& report) {
  return head(report) + lengths(report) + volumes(report) + charge(report) + tubes(report) +
         runs(report) + units_table(report) + notes(report);
}

}  // namespace cw
