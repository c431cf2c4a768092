#include "report/ph_chart.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include "base/text.h"
#include "base/version.h"
#include "report/detail/label_placer.h"
#include "report/detail/ph_lines.h"
#include "report/fluid_report.h"
#include "report/svg_plot.h"

namespace cw {
namespace {

using detail::DrawFrame;
using detail::DrawPoint;
using detail::LabelBox;
using detail::LabelPlacer;
using detail::PhCurve;
using detail::PhKind;
using detail::PhPoint;
using detail::PhRange;
using detail::Polyline;

// Millimetres of an A4 page in landscape.
constexpr double page_width = 297.0;
constexpr double page_height = 210.0;
constexpr DrawFrame frame = {22.0, 23.0, 287.0, 184.0};
constexpr double label_size = 2.3;
constexpr double label_margin = 0.9;  // from the frame, whose ticks carry numbers outside
/// Widest mean advance of a character of the fonts asked for, in em (digits of DejaVu Sans 0.636).
constexpr double em_per_character = 0.6;

std::string fixed(double value, int digits = 2) {
  char buffer[48];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  std::string out = buffer;
  if (out.front() == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

double text_width(const std::string& text, double size) {
  const auto characters = std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  });
  return static_cast<double>(characters) * em_per_character * size;
}

std::string text_at(double x, double y, const char* css, const std::string& text) {
  return "<text class=\"" + std::string(css) + "\" x=\"" + fixed(x) + "\" y=\"" + fixed(y) + "\">" +
         html_text(text) + "</text>\n";
}

std::string line_at(const char* css, double x1, double y1, double x2, double y2) {
  return "<path class=\"" + std::string(css) + "\" d=\"M" + fixed(x1) + " " + fixed(y1) + "L" +
         fixed(x2) + " " + fixed(y2) + "\"/>\n";
}

/// Enthalpy and the logarithm of pressure to millimetres.
struct Axes {
  const PhRange& range;

  double x(double h) const {
    return frame.left +
           (frame.right - frame.left) * (h - range.h_low) / (range.h_high - range.h_low);
  }
  double y(double p) const {
    return frame.bottom - (frame.bottom - frame.top) * std::log(p / range.p_low) /
                              std::log(range.p_high / range.p_low);
  }
  DrawPoint operator()(const PhPoint& at) const { return {x(at.h), y(at.p)}; }
};

/// How a kind of line looks and where its labels would like to be along it.
struct Style {
  const char* css;
  double weight;     // cost of a label that covers it
  double preferred;  // 0..1 along the line
};
/// Every other isotherm of a single phase is drawn fine and without a label.
bool is_between(const PhCurve& curve, UnitSystem units) {
  const double step = units == UnitSystem::si ? 20.0 : 40.0;
  const double shown = display_unit(Dimension::temperature, units).from_si(curve.value);
  return std::fabs(std::remainder(shown, step)) > 1.0;
}

Style style_of(const PhCurve& curve, const fluid::Refrigerant& refrigerant, UnitSystem units) {
  switch (curve.kind) {
    case PhKind::bubble:
    case PhKind::dew:
      return {"dome", 30.0, 0.5};
    case PhKind::quality:
      return {"quality", 0.7, 0.04};
    case PhKind::isentrope:
      return {"isentrope", 1.0, 0.9};
    case PhKind::isochore:
      return {"isochore", 0.8, 0.85};
    case PhKind::limit:
      return {"limit", 10.0, 0.5};
    case PhKind::isotherm:
      break;
  }
  if (curve.two_phase) return {"isotherm thin", 0.7, 0.03};
  if (is_between(curve, units)) return {"isotherm fine", 0.5, 0.5};
  const bool liquid = curve.value < refrigerant.critical_temperature().value &&
                      curve.points.front().p > refrigerant.critical_pressure().value * 1e-3 &&
                      curve.points.back().p > refrigerant.critical_pressure().value;
  return {"isotherm", 1.0, liquid ? 0.5 : 0.12};
}

std::string label_of(const PhCurve& curve, UnitSystem units) {
  const bool si = units == UnitSystem::si;
  switch (curve.kind) {
    case PhKind::bubble:
    case PhKind::dew:
    case PhKind::limit:
      return {};
    case PhKind::quality:
      return "x = " + fixed(curve.value, 1);
    case PhKind::isotherm:
      return fixed(display_unit(Dimension::temperature, units).from_si(curve.value), 0) +
             (si ? " °C" : " °F");
    case PhKind::isentrope:
      return "s = " +
             fixed(display_unit(Dimension::specific_entropy, units).from_si(curve.value), 2);
    case PhKind::isochore:
      break;
  }
  return number_text(display_unit(Dimension::density, units).from_si(curve.value), 3) +
         (si ? " kg/m³" : " lb/ft³");
}

/// Leaves out points that lie within `tolerance` of the line through their neighbours kept.
void simplify(const Polyline& line, std::size_t from, std::size_t to, double tolerance,
              Polyline& out) {
  const DrawPoint a = line[from];
  const DrawPoint b = line[to];
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  double worst = tolerance;
  std::size_t at = from;
  for (std::size_t i = from + 1; i < to; ++i) {
    const double cross =
        std::fabs((b.x - a.x) * (line[i].y - a.y) - (b.y - a.y) * (line[i].x - a.x));
    const double off =
        length > 1e-9 ? cross / length : std::hypot(line[i].x - a.x, line[i].y - a.y);
    if (off > worst) {
      worst = off;
      at = i;
    }
  }
  if (at == from) {
    out.push_back(b);
    return;
  }
  simplify(line, from, at, tolerance, out);
  simplify(line, at, to, tolerance, out);
}

std::string path_data(const Polyline& line) {
  Polyline kept = {line.front()};
  simplify(line, 0, line.size() - 1, 0.015, kept);
  std::string out;
  for (const DrawPoint& p : kept) {
    out += (out.empty() ? "M" : "L") + fixed(p.x) + " " + fixed(p.y);
  }
  return out;
}

/// A line of the chart on the page.
struct DrawnLine {
  const PhCurve* curve = nullptr;
  Style style;
  Polyline points;
  std::size_t number = 0;  // in the label placer
  double length = 0.0;
};

double length_of(const Polyline& line) {
  double out = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    out += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
  }
  return out;
}

class Drawing {
 public:
  Drawing(const fluid::Refrigerant& refrigerant, fluid::ReferenceState reference,
          const PhRange& range, const std::vector<PhCurve>& curves, UnitSystem units)
      : refrigerant_(refrigerant),
        reference_(reference),
        range_(range),
        units_(units),
        axes_{range},
        placer_({frame.left + label_margin, frame.top + label_margin, frame.right - label_margin,
                 frame.bottom - label_margin}) {
    for (const PhCurve& curve : curves) add(curve);
  }

  PhChart draw() {
    place_critical_point();
    place_labels();
    PhChart out;
    out.left = frame.left;
    out.top = frame.top;
    out.right = frame.right;
    out.bottom = frame.bottom;
    out.svg =
        head() + grid() + lines() + labels_svg() + title() + axis_titles() + legend() + "</svg>\n";
    out.labels = std::move(labels_);
    return out;
  }

 private:
  bool si() const { return units_ == UnitSystem::si; }

  void add(const PhCurve& curve) {
    Polyline line;
    for (const PhPoint& point : curve.points) line.push_back(axes_(point));
    const Style style = style_of(curve, refrigerant_, units_);
    for (Polyline& piece : detail::clipped(line, frame)) {
      const double length = length_of(piece);
      if (length < 1.0) continue;
      const std::size_t number = placer_.add_line(piece, style.weight);
      lines_.push_back({&curve, style, std::move(piece), number, length});
    }
  }

  void keep(const LabelBox& box, const std::string& text, const char* css) {
    labels_.push_back({text, box.centre.x, box.centre.y, box.width, box.height, box.angle});
    classes_.push_back(css);
  }

  void place_critical_point() {
    const DrawPoint at = axes_(range_.critical);
    const Unit pressure = display_unit(Dimension::pressure, units_);
    const double p = pressure.from_si(refrigerant_.critical_pressure().value);
    const std::string text =
        "critical point " +
        format_si(refrigerant_.critical_temperature().value, Dimension::temperature, units_) +
        ", " + (si() ? fixed(p * 1e-3, 3) + " MPa" : fixed(p, 1) + " psi(a)");
    placer_.block({at, 2.0, 2.0, 0.0});
    std::vector<LabelBox> places;
    const double width = text_width(text, label_size);
    for (const double dx : {0.0, -8.0, 8.0, -16.0, -24.0}) {
      for (const double dy : {-3.2, 3.4, -4.6}) {
        places.push_back({{at.x + dx, at.y + dy}, width, label_size, 0.0});
      }
    }
    if (const auto box = placer_.place_at(places)) keep(*box, text, "label dark");
  }

  void place_labels() {
    // The kinds that a reader looks for first take their places first.
    for (const char* css : {"isotherm", "isotherm thin", "isentrope", "quality", "isochore"}) {
      for (const DrawnLine& line : lines_) {
        if (std::string_view(line.style.css) != css) continue;
        place(line, css);
      }
    }
  }

  void place(const DrawnLine& line, std::string_view css) {
    const std::string text = label_of(*line.curve, units_);
    const double width = text_width(text, label_size);
    if (line.length < 1.5 * width) return;
    place_one(line, css, text, width, line.style.preferred);
    // A long line says its value at its other end, too.
    if (css == "isotherm" && line.length > 90.0) place_one(line, css, text, width, 0.88);
  }

  void place_one(const DrawnLine& line, std::string_view css, const std::string& text, double width,
                 double preferred) {
    const auto box = placer_.place_along(line.number, width, label_size, preferred);
    if (!box) return;
    keep(*box, text,
         css == "isentrope"  ? "label entropy"
         : css == "isochore" ? "label density"
         : css == "quality"  ? "label fraction"
                             : "label warm");
  }

  std::string head() const {
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"297mm\" height=\"210mm\" "
           "viewBox=\"0 0 297 210\" role=\"img\" aria-label=\"Pressure-enthalpy chart of " +
           html_text(refrigerant_.name()) + "\">\n<style>\n" +
           "text{font-family:Arial,'Liberation Sans','DejaVu Sans',sans-serif;fill:#111}\n"
           "path{fill:none;stroke-linejoin:round}\n"
           ".page{fill:#fff}\n"
           ".minor{stroke:#e4e4e4;stroke-width:.1}\n"
           ".major{stroke:#c4c4c4;stroke-width:.14}\n"
           ".frame{stroke:#000;stroke-width:.35}\n"
           ".dome{stroke:#000;stroke-width:.6}\n"
           ".isotherm{stroke:#a01818;stroke-width:.24}\n"
           ".thin{stroke-width:.14}.fine{stroke-width:.1}\n"
           ".limit{stroke:#000;stroke-width:.3;stroke-dasharray:1.4 1}\n"
           ".isentrope{stroke:#174a8c;stroke-width:.2;stroke-dasharray:3.2 1}\n"
           ".isochore{stroke:#1f6b2c;stroke-width:.2;stroke-dasharray:.5 .8}\n"
           ".quality{stroke:#444;stroke-width:.16;stroke-dasharray:2.6 .7 .5 .7}\n"
           ".label{font-size:2.3px;text-anchor:middle;paint-order:stroke;stroke:#fff;"
           "stroke-width:1.3px;stroke-linejoin:round}\n"
           ".dark{fill:#000}.warm{fill:#8a1010}.entropy{fill:#123c73}.density{fill:#175522}"
           ".fraction{fill:#333}\n"
           ".name{font-size:7px;font-weight:bold}\n"
           ".what{font-size:4.2px}\n"
           ".note{font-size:2.7px}\n"
           ".notes{font-size:2.7px;text-anchor:end}\n"
           ".tick{font-size:2.9px;text-anchor:middle}\n"
           ".ptick{font-size:2.9px;text-anchor:end}\n"
           ".axis{font-size:3.4px;text-anchor:middle}\n" +
           "</style>\n<rect class=\"page\" width=\"" + fixed(page_width, 0) + "\" height=\"" +
           fixed(page_height, 0) + "\"/>\n";
  }

  std::string enthalpy_grid() const {
    const Unit unit = display_unit(Dimension::specific_energy, units_);
    const double low = unit.from_si(range_.h_low);
    const double high = unit.from_si(range_.h_high);
    const Ticks ticks = round_ticks(low, high, 12);
    std::string out;
    const double minor = ticks.step / 5.0;
    for (double h = std::ceil(low / minor - 1e-9) * minor; h < high; h += minor) {
      const double x = axes_.x(unit.to_si(h));
      out += line_at("minor", x, frame.top, x, frame.bottom);
    }
    for (int k = 0; k < ticks.count; ++k) {
      const double h = ticks.first + ticks.step * k;
      const double x = axes_.x(unit.to_si(h));
      out += line_at("major", x, frame.top, x, frame.bottom) +
             line_at("frame", x, frame.bottom, x, frame.bottom + 1.2) +
             text_at(x, frame.bottom + 4.4, "tick", fixed(h, 0));
    }
    return out;
  }

  std::string pressure_grid() const {
    const Unit unit = display_unit(Dimension::pressure, units_);
    const double factor = si() ? 1e-3 : 1.0;  // the axis is in MPa, the display unit is kPa
    const double low = unit.from_si(range_.p_low) * factor;
    const double high = unit.from_si(range_.p_high) * factor;
    std::string out;
    for (int decade = -4; decade < 6; ++decade) {
      for (int digit = 1; digit < 10; ++digit) {
        const double p = digit * std::pow(10.0, decade);
        if (p < low * (1.0 - 1e-9) || p > high * (1.0 + 1e-9)) continue;
        const double y = axes_.y(unit.to_si(p / factor));
        const bool labelled = digit != 7 && digit != 9;
        if (digit < 5) {
          for (const double part : {0.2, 0.4, 0.6, 0.8}) {
            const double between = (digit + part) * std::pow(10.0, decade);
            if (between >= high) continue;
            const double y_minor = axes_.y(unit.to_si(between / factor));
            out += line_at("minor", frame.left, y_minor, frame.right, y_minor);
          }
        }
        out += line_at("major", frame.left, y, frame.right, y);
        out += line_at("frame", frame.left - 1.2, y, frame.left, y);
        if (labelled) out += text_at(frame.left - 1.9, y + 1.0, "ptick", number_text(p));
      }
    }
    return out;
  }

  std::string grid() const { return "<g>\n" + enthalpy_grid() + pressure_grid() + "</g>\n"; }

  std::string lines() const {
    std::string out;
    for (const char* css : {"isochore", "quality", "isotherm fine", "isotherm thin", "isentrope",
                            "isotherm", "limit", "dome"}) {
      std::string data;
      for (const DrawnLine& line : lines_) {
        if (std::string_view(line.style.css) == css) data += path_data(line.points) + "\n";
      }
      out += "<path class=\"" + std::string(css) + "\" d=\"" + data + "\"/>\n";
    }
    const DrawPoint critical = axes_(range_.critical);
    out += "<circle cx=\"" + fixed(critical.x) + "\" cy=\"" + fixed(critical.y) + "\" r=\".7\"/>\n";
    out += "<path class=\"frame\" d=\"M" + fixed(frame.left) + " " + fixed(frame.top) + "H" +
           fixed(frame.right) + "V" + fixed(frame.bottom) + "H" + fixed(frame.left) + "Z\"/>\n";
    return out;
  }

  std::string labels_svg() const {
    std::string out = "<g>\n";
    for (std::size_t i = 0; i < labels_.size(); ++i) {
      const ChartLabel& label = labels_[i];
      out += "<text class=\"" + std::string(classes_[i]) + "\" transform=\"translate(" +
             fixed(label.x) + " " + fixed(label.y) + ")rotate(" + fixed(label.angle, 1) +
             ")\" y=\"" + fixed(0.36 * label_size) + "\">" + html_text(label.text) + "</text>\n";
    }
    return out + "</g>\n";
  }

  std::string title() const {
    const std::string composition(refrigerant_.composition());
    std::string out = text_at(frame.left, 13.0, "name", std::string(refrigerant_.name()));
    out += text_at(frame.left, 19.5, "what", "Pressure-enthalpy chart");
    if (!composition.empty()) {
      out += text_at(frame.right, 10.0, "notes", composition);
    }
    out += text_at(frame.right, 14.5, "notes",
                   "Reference state " + std::string(name_of(reference_)) + ": " +
                       reference_text(reference_, units_));
    out += text_at(frame.right, 19.0, "notes",
                   "Equation of state: " + paper_text(refrigerant_.equation_source()) +
                       ". Coilwright " + std::string(version()));
    return out;
  }

  std::string axis_titles() const {
    const std::string pressure =
        si() ? "Absolute pressure  p  [MPa]" : "Absolute pressure  p  [psi]";
    const std::string enthalpy =
        si() ? "Specific enthalpy  h  [kJ/kg]" : "Specific enthalpy  h  [Btu/lb]";
    const double y = 0.5 * (frame.top + frame.bottom);
    return text_at(0.5 * (frame.left + frame.right), frame.bottom + 10.0, "axis", enthalpy) +
           "<text class=\"axis\" transform=\"translate(9.5 " + fixed(y) + ")rotate(-90)\">" +
           pressure + "</text>\n";
  }

  std::string legend() const {
    struct Entry {
      const char* css;
      std::string text;
    };
    const bool pure = refrigerant_.kind() == fluid::FluidKind::pure;
    std::vector<Entry> entries = {
        {"dome", pure ? "saturation" : "bubble line, dew line"},
        {"isotherm", si() ? "temperature [°C]" : "temperature [°F]"},
        {"isentrope", si() ? "entropy s [kJ/(kg K)]" : "entropy s [Btu/(lb °F)]"},
        {"isochore", si() ? "density [kg/m³]" : "density [lb/ft³]"},
        {"quality", si() ? "quality x [kg/kg]" : "quality x [lb/lb]"},
    };
    for (const DrawnLine& line : lines_) {
      if (line.curve->kind != PhKind::limit) continue;
      entries.push_back({"limit", "equation ends, " + format_si(line.curve->value,
                                                                Dimension::temperature, units_)});
      break;
    }
    std::string out;
    double x = frame.left;
    const double y = frame.bottom + 17.5;
    for (const Entry& entry : entries) {
      out += line_at(entry.css, x, y - 0.9, x + 9.0, y - 0.9) +
             text_at(x + 10.5, y, "note", entry.text);
      x += 10.5 + text_width(entry.text, 2.7) * 0.9 + 5.0;  // mixed text is narrower than digits
    }
    return out;
  }

  const fluid::Refrigerant& refrigerant_;
  fluid::ReferenceState reference_;
  const PhRange& range_;
  UnitSystem units_;
  Axes axes_;
  LabelPlacer placer_;
  std::vector<DrawnLine> lines_;
  std::vector<ChartLabel> labels_;
  std::vector<const char*> classes_;
};

}  // namespace

Result<PhChart> ph_chart(const fluid::Refrigerant& refrigerant, fluid::ReferenceState reference,
                         UnitSystem units) {
  const Result<PhRange> range = detail::ph_range(refrigerant, reference, units);
  if (!range) return range.error();
  // What `usual` means is the state's answer.
  const auto state = state_from(refrigerant, fluid::InputPair::p_q, range->p_low, 0.0, reference);
  if (!state) return state.error();
  const std::vector<PhCurve> curves = detail::ph_curves(refrigerant, reference, *range);
  return Drawing(refrigerant, state->reference, *range, curves, units).draw();
}

}  // namespace cw
