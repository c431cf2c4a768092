#include <algorithm>
#include <cmath>
#include <cstdio>

#include "base/text.h"
#include "report/detail/sheet_report_layout.h"
#include "report/detail/sheet_report_words.h"
#include "report/detail/wrapped_text.h"
#include "report/svg_plot.h"
#include "system/piping.h"

namespace cw {
namespace {

using detail::shown;
using detail::TreeLayout;
using D = Dimension;

constexpr std::string_view style =
    "<style>text{font-family:\"Liberation Sans\",\"DejaVu Sans\",Arial,sans-serif;fill:#16212b}"
    ".t{font-size:19px;font-weight:700}.h{font-size:12px;fill:#52606d}"
    ".b{fill:#fff;stroke:#16212b;stroke-width:1.1}.x{fill:#e8edf2;stroke:#16212b;stroke-width:1.1}"
    ".p{fill:none;stroke:#123c69;stroke-linejoin:round}.j{fill:#123c69}"
    ".l{fill:#123c69}.n{font-weight:700}.s{fill:#52606d}</style>";

std::string fixed(double value) {
  char buffer[32];
  std::snprintf(buffer, sizeof buffer, "%.1f", value);
  return buffer;
}

enum class Anchor { start, middle, end };

std::string text_at(double x, double y, double size, Anchor anchor, std::string_view look,
                    std::string_view text) {
  const char* name = anchor == Anchor::start ? "start" : anchor == Anchor::end ? "end" : "middle";
  return "<text class=\"" + std::string(look) + "\" x=\"" + fixed(x) + "\" y=\"" + fixed(y) +
         "\" font-size=\"" + fixed(size) + "\" text-anchor=\"" + name + "\">" + html_text(text) +
         "</text>\n";
}

/// Cuts a name to what fits, whole UTF-8 characters only. Letters are half as wide as high.
std::string fitted(std::string text, double width, double size) {
  const auto most = static_cast<std::size_t>(std::max(4.0, width / (0.53 * size)));
  const auto is_tail = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; };
  std::size_t columns = 0;
  std::size_t keep = text.size();
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (is_tail(text[i])) continue;
    if (columns + 1 == most) keep = std::min(keep, i);
    ++columns;
  }
  if (columns <= most) return text;
  return text.substr(0, keep) + "\u2026";
}

class Drawing {
 public:
  Drawing(const SheetReport& report)
      : report_(report), system_(report.system), layout_(detail::lay_out(report.system)) {}

  std::string svg() {
    std::string out = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"297mm\" height=\"" +
                      fixed(297.0 * layout_.height / detail::picture_width) +
                      "mm\" viewBox=\"0 0 " + fixed(detail::picture_width) + " " +
                      fixed(layout_.height) + "\" role=\"img\" aria-label=\"pipe tree\">\n" +
                      std::string(style) +
                      "\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n";
    out += heading();
    for (std::size_t i = 0; i < system_.segments().size(); ++i) out += pipe(i);
    for (std::size_t i = 0; i < system_.nodes().size(); ++i) out += node(i);
    return out + legend() + "</svg>\n";
  }

 private:
  std::string metres(double m) const {
    return shown(m, D::length, report_.units, report_.units == UnitSystem::si && m < 99.95 ? 1 : 0);
  }

  std::string capacity(double watts) const {
    if (report_.units == UnitSystem::si) return shown(watts, D::power, report_.units, 1);
    return detail::shown_number(watts * 1e-3, D::power, report_.units, 1) + " kBtu/h";
  }

  std::string heading() const {
    const PipeLengths lengths = pipe_lengths(system_);
    const LineVolumes volumes = line_volumes(system_);
    const int digits = report_.units == UnitSystem::si ? 1 : 3;
    std::string second =
        std::string(system_.refrigerant().name()) + ", " + detail::make_up(system_);
    second += "; " + metres(lengths.total_m) + " of runs, longest way " +
              metres(lengths.longest_path_m) + " to " + system_.indoor()[lengths.longest_unit].id;
    std::string third = "Inside volume: liquid lines " +
                        shown(volumes.liquid_m3, D::volume, report_.units, digits) +
                        ", gas lines " + shown(volumes.gas_m3, D::volume, report_.units, digits);
    if (system_.heat_recovery()) {
      third += ", third lines " + shown(volumes.third_m3, D::volume, report_.units, digits);
    }
    const auto liquid = liquid_mass(system_, report_.liquid_at);
    if (liquid) {
      third += "; liquid lines hold " + shown(liquid->total_kg, D::mass, report_.units, 2) +
               " at " + shown(report_.liquid_at.value, D::temperature, report_.units, 0);
    }
    third += "; charge " + shown(system_.charge().total_kg(), D::mass, report_.units, 1);
    if (system_.is_assumed("charge", "added")) third += " (partly assumed)";
    return text_at(30, 36, 19, Anchor::start, "t",
                   fitted(system_.name().empty() ? "Pipe tree" : system_.name(), 1060, 19)) +
           text_at(30, 56, 12, Anchor::start, "h", second) +
           text_at(30, 73, 12, Anchor::start, "h", third);
  }

  /// "3/8"; of "9.52x0.8" the diameter alone, each has one wall in the tables.
  static std::string size_of(const Tube& tube) { return tube.name.substr(0, tube.name.find('x')); }

  /// "3/8 · 7/8, 8.0 m ↓3.6".
  std::string label(const Segment& segment) const {
    std::string out = size_of(*segment.liquid) + " · " + size_of(*segment.gas);
    if (segment.third != nullptr) out += " · " + size_of(*segment.third);
    if (segment.sizes_assumed) out += "*";
    out += ", " + metres(segment.length_m);
    constexpr double flat_m = 0.05;
    if (std::abs(segment.rise_m) > flat_m) {
      out += (segment.rise_m > 0.0 ? " ↑" : " ↓") +
             detail::shown_number(std::abs(segment.rise_m), D::length, report_.units,
                                  report_.units == UnitSystem::si ? 1 : 0);
    }
    return out;
  }

  std::string pipe(std::size_t i) const {
    const Segment& segment = system_.segments()[i];
    const detail::Run& run = layout_.runs[i];
    // The stroke grows with the gas line: 1 for 6 mm, 3.5 for 54 mm outside.
    const double width = 1.0 + 2.5 * (segment.gas->outside_diameter_m - 6e-3) / 48e-3;
    std::string out = "<path class=\"p\" stroke-width=\"" + fixed(std::clamp(width, 1.0, 3.5)) +
                      "\" d=\"M" + fixed(run.x1) + " " + fixed(run.y1) + "V" + fixed(run.y2) + "H" +
                      fixed(run.x2) + "\"/>\n";
    const Anchor anchor = run.label_ends ? Anchor::end : Anchor::start;
    return out + text_at(run.label_x, run.label_y, layout_.label_size, anchor, "l", label(segment));
  }

  std::string height_of(const Node& node) const {
    constexpr double flat_m = 0.05;
    if (std::abs(node.height_m) < flat_m) return "level";
    return (node.height_m > 0.0 ? "↑" : "↓") + metres(std::abs(node.height_m));
  }

  std::string box(const detail::Spot& spot, std::string_view look) const {
    return "<rect class=\"" + std::string(look) + "\" x=\"" + fixed(spot.x) + "\" y=\"" +
           fixed(spot.y - spot.up) + "\" width=\"" + fixed(spot.width) + "\" height=\"" +
           fixed(spot.up + spot.down) + "\" rx=\"2\"/>\n";
  }

  /// One or two lines of text in a box, centred on its height.
  std::string box_text(const detail::Spot& spot, const std::string& id, const std::string& name,
                       const std::string& facts) const {
    const double size = layout_.text_size;
    const double middle = spot.y + 0.5 * (spot.down - spot.up);
    const double left = spot.x + 6.0;
    const double inner = spot.width - 12.0;
    std::string title = id + (name.empty() ? "" : ", " + name);
    if (spot.up + spot.down >= 2.6 * size) {
      return text_at(left, middle - 0.25 * size, size, Anchor::start, "n",
                     fitted(title, inner, 1.06 * size)) +
             text_at(left, middle + 1.0 * size, size, Anchor::start, "s",
                     fitted(facts, inner, size));
    }
    const double facts_width = 0.53 * size * static_cast<double>(detail::columns_of(facts)) + 6.0;
    return text_at(left, middle + 0.35 * size, size, Anchor::start, "n",
                   fitted(title, inner - facts_width, 1.06 * size)) +
           text_at(spot.x + spot.width - 6.0, middle + 0.35 * size, size, Anchor::end, "s", facts);
  }

  std::string node(std::size_t i) const {
    const Node& node = system_.nodes()[i];
    const detail::Spot& spot = layout_.spots[i];
    switch (node.kind) {
      case NodeKind::joint:
        return "<circle class=\"j\" cx=\"" + fixed(spot.x) + "\" cy=\"" + fixed(spot.y) +
               "\" r=\"3\"><title>" + html_text(node.id) + "</title></circle>\n";
      case NodeKind::outdoor: {
        const OutdoorModule& module = system_.outdoor()[node.unit];
        return box(spot, "x") + box_text(spot, node.id, module.name,
                                         "cooling " + capacity(module.cooling_W) +
                                             (i == 0 ? "" : ", " + height_of(node)));
      }
      case NodeKind::branch: {
        const BranchBox& branch = system_.branches()[node.unit];
        return box(spot, "x") +
               text_at(spot.x + spot.width + 6.0, spot.y - 4.0, layout_.label_size, Anchor::start,
                       "n",
                       fitted(node.id + (branch.name.empty() ? "" : ", " + branch.name), 150,
                              layout_.label_size));
      }
      case NodeKind::indoor:
        break;
    }
    const IndoorUnit& unit = system_.indoor()[node.unit];
    return box(spot, "b") +
           box_text(spot, node.id, unit.name, capacity(unit.cooling_W) + ", " + height_of(node));
  }

  std::string legend() const {
    std::string text = "Along the lines: liquid · gas";
    if (system_.heat_recovery()) text += " · third line";
    text +=
        ", length along the pipe, ↑ or ↓ how far the end away from the outdoor modules lies "
        "higher or lower. Thicker line: thicker gas pipe.";
    std::string second = "Boxes: rated cooling, height against " + system_.nodes()[0].id + ".";
    bool metric = false;
    for (const Segment& segment : system_.segments()) {
      metric = metric || segment.liquid->name.find('x') != std::string::npos;
    }
    if (metric) second += " Sizes such as 9.52 are diameters in mm.";
    bool assumed = false;
    for (const Segment& segment : system_.segments()) assumed = assumed || segment.sizes_assumed;
    if (assumed) second += " * size assumed by capacity.";
    second += " Not to scale.";
    return text_at(30, layout_.height - 34, 10.5, Anchor::start, "s", text) +
           text_at(30, layout_.height - 19, 10.5, Anchor::start, "s", second);
  }

  const SheetReport& report_;
  const System& system_;
  TreeLayout layout_;
};

}  // namespace

std::string sheet_svg(const SheetReport& report) { return Drawing(report).svg(); }

}  // namespace cw
