#include "report/svg_plot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace cw {
namespace {

constexpr double left = 52.0;
constexpr double right = 748.0;
constexpr double top = 26.0;
constexpr double bottom = 172.0;
constexpr double band_top = 178.0;
constexpr double band_height = 10.0;

std::string fixed(double value, int digits = 1) {
  char buffer[32];
  std::snprintf(buffer, sizeof buffer, "%.*f", digits, value);
  return buffer;
}

/// Maps times and values to the drawing.
struct Frame {
  Instant start;
  double span = 1.0;  // s
  double low = 0.0;   // display units
  double high = 1.0;

  double x(Instant t) const { return left + (right - left) * seconds_between(start, t) / span; }
  double y(double shown) const { return bottom - (bottom - top) * (shown - low) / (high - low); }
};

Frame time_frame(const Recording& recording) {
  Frame frame;
  frame.start = recording.time.front();
  frame.span = std::max(1.0, seconds_between(recording.time.front(), recording.time.back()));
  return frame;
}

/// Line styles differ in dash as well as in colour: they print in grey, too.
constexpr std::array line_classes = {"l0", "l1", "l2", "l3"};

/// Writes a path in half units of the drawing, each step from the last, which is half of what a
/// screen shows of it: absolute coordinates with decimals would make a report of a day a megabyte.
class PathWriter {
 public:
  void move(double x, double y) {
    settle();
    x_ = halves(x);
    y_ = halves(y);
    path_ += "M" + number(x_);
    add(y_);
  }
  void line(double x, double y) {
    const long to_x = halves(x);
    const long to_y = halves(y);
    // A level stretch is one step, however many columns it has.
    if (to_y != y_ + dy_ || dy_ != 0) settle();
    dx_ = to_x - x_;
    dy_ = to_y - y_;
  }
  std::string take() {
    settle();
    return std::move(path_);
  }

 private:
  static long halves(double v) { return std::lround(2.0 * v); }
  static std::string number(long half) {
    const std::string whole = std::to_string(std::abs(half) / 2);
    const bool odd = half % 2 != 0;
    return (half < 0 ? "-" : "") + (odd && whole == "0" ? "" : whole) + (odd ? ".5" : "");
  }
  void add(long half) { path_ += (half < 0 ? "" : " ") + number(half); }
  void settle() {
    if (dx_ == 0 && dy_ == 0) return;
    if (dy_ == 0) {
      path_ += "h" + number(dx_);
    } else if (dx_ == 0) {
      path_ += "v" + number(dy_);
    } else {
      path_ += "l" + number(dx_);
      add(dy_);
    }
    x_ += dx_;
    y_ += dy_;
    dx_ = dy_ = 0;
  }

  std::string path_;
  long x_ = 0;
  long y_ = 0;
  long dx_ = 0;  ///< the step that is not written yet
  long dy_ = 0;
};

/// The lowest and highest reading of each drawn column, in display units, with gaps kept open.
class LinePath {
 public:
  LinePath(const Recording& recording, const Channel& channel, const Unit& unit, const Frame& frame)
      : recording_(recording), channel_(channel), unit_(unit), frame_(frame) {}

  std::string draw() {
    for (std::size_t i = 0; i < recording_.size(); ++i) {
      const float reading = channel_.values[i];
      if (is_missing(reading)) continue;
      add(recording_.time[i], unit_.from_si(static_cast<double>(reading)));
    }
    flush();
    return path_.take();
  }

 private:
  /// Width of a column: about what a pen draws.
  static constexpr double column_width = 1.5;

  void add(Instant t, double shown) {
    const int column = static_cast<int>(frame_.x(t) / column_width);
    const bool gap = any_ && seconds_between(last_, t) > longest_step(channel_);
    if (any_ && (gap || column != column_)) flush();
    if (gap) pen_up_ = true;
    if (!in_column_) {
      low_ = high_ = shown;
      x_ = frame_.x(t);
      in_column_ = true;
      rises_ = false;
    }
    if (shown < low_) {
      low_ = shown;
      rises_ = false;
    }
    if (shown > high_) {
      high_ = shown;
      rises_ = true;
    }
    column_ = column;
    last_ = t;
    any_ = true;
  }

  /// Both extremes in the order in which they came; one point where the pen would cover both.
  void flush() {
    if (!in_column_) return;
    in_column_ = false;
    constexpr double pen = 0.8;
    if (frame_.y(low_) - frame_.y(high_) <= pen) {
      point((low_ + high_) / 2.0);
    } else {
      point(rises_ ? low_ : high_);
      point(rises_ ? high_ : low_);
    }
  }

  void point(double shown) {
    if (pen_up_) {
      path_.move(x_, frame_.y(shown));
    } else {
      path_.line(x_, frame_.y(shown));
    }
    pen_up_ = false;
  }

  const Recording& recording_;
  const Channel& channel_;
  const Unit& unit_;
  const Frame& frame_;
  PathWriter path_;
  double x_ = 0.0;
  double low_ = 0.0;
  double high_ = 0.0;
  bool rises_ = false;  ///< the highest reading of the column came behind the lowest
  int column_ = 0;
  Instant last_;
  bool any_ = false;
  bool in_column_ = false;
  bool pen_up_ = true;
};

void extend(double& low, double& high, double shown) {
  if (std::isnan(shown)) return;
  low = std::min(low, shown);
  high = std::max(high, shown);
}

void fit_values(const Recording& recording, const Plot& plot, const Unit& unit, Frame& frame) {
  double low = 1e300;
  double high = -1e300;
  for (const PlotLine& line : plot.lines) {
    for (std::size_t i = 0; i < recording.size(); ++i) {
      const float v = line.channel->values[i];
      if (!is_missing(v)) extend(low, high, unit.from_si(static_cast<double>(v)));
    }
  }
  for (const PlotLimit& limit : plot.limits) extend(low, high, unit.from_si(limit.value));
  if (low > high) {
    low = 0.0;
    high = 1.0;
  }
  const double margin = std::max(0.5, 0.06 * (high - low));
  frame.low = low - margin;
  frame.high = high + margin;
}

std::string time_label(Instant t, const Clock& clock, double step) {
  const std::string text = format_instant(t, clock);
  return step >= 86400.0 ? text.substr(5, 5) : text.substr(11, 5);
}

enum class Grid { drawn, none };

std::string time_axis(const Recording& recording, const Frame& frame, double baseline, Grid grid) {
  std::string out;
  const double step = time_tick_step(frame.span);
  const auto step_ms = static_cast<std::int64_t>(step * 1e3);
  // Ticks stand on round local times.
  const std::string local = iso_text(frame.start, recording.clock);
  std::int64_t shift_ms = 0;
  if (local.size() > 19 && (local[19] == '+' || local[19] == '-')) {
    const int hours = std::stoi(local.substr(20, 2));
    const int minutes = std::stoi(local.substr(23, 2));
    shift_ms = (hours * 60 + minutes) * std::int64_t{60000} * (local[19] == '-' ? -1 : 1);
  }
  std::int64_t t = (frame.start.ms + shift_ms) / step_ms * step_ms - shift_ms;
  for (; t <= recording.time.back().ms; t += step_ms) {
    if (t < frame.start.ms) continue;
    const double x = frame.x({t});
    if (grid == Grid::drawn) {
      out +=
          "<path class=\"tick\" d=\"M" + fixed(x) + " " + fixed(top) + "V" + fixed(bottom) + "\"/>";
    }
    out += "<text class=\"at\" x=\"" + fixed(x) + "\" y=\"" + fixed(baseline) + "\">" +
           time_label({t}, recording.clock, step) + "</text>";
  }
  return out;
}

std::string value_axis(const Frame& frame) {
  std::string out;
  const Ticks ticks = round_ticks(frame.low, frame.high, 5);
  const int digits = ticks.step < 1.0 ? 1 : 0;
  for (int k = 0; k < ticks.count; ++k) {
    const double shown = ticks.first + ticks.step * k;
    const double y = frame.y(shown);
    out +=
        "<path class=\"tick\" d=\"M" + fixed(left) + " " + fixed(y) + "H" + fixed(right) + "\"/>";
    out += "<text class=\"av\" x=\"" + fixed(left - 5) + "\" y=\"" + fixed(y + 3.5) + "\">" +
           fixed(std::abs(shown) < 1e-9 ? 0.0 : shown, digits) + "</text>";
  }
  return out;
}

enum class Titles { shown, none };

std::string band(const Recording& recording, const Timeline& timeline, const Frame& frame,
                 double y_top, double height, Titles titles) {
  std::string out;
  for (const Phase& phase : timeline.phases) {
    const double x = frame.x(phase.start);
    const double width = frame.x(phase.end) - x;
    if (width <= 0.0) continue;
    const std::string kind(name_of(phase.kind));
    out += "<rect class=\"p-" + kind + "\" x=\"" + fixed(x) + "\" y=\"" + fixed(y_top) +
           "\" width=\"" + fixed(std::max(width, 0.4)) + "\" height=\"" + fixed(height) + "\"";
    if (titles == Titles::none) {
      out += "/>";
      continue;
    }
    out += "><title>" + kind + ", " + format_instant(phase.start, recording.clock) + " to " +
           format_instant(phase.end, recording.clock) + "</title></rect>";
  }
  return out;
}

std::string legend(const Plot& plot) {
  std::string out;
  double x = left;
  for (std::size_t k = 0; k < plot.lines.size(); ++k) {
    const char* line_class = line_classes[k % line_classes.size()];
    out += "<path class=\"" + std::string(line_class) + "\" d=\"M" + fixed(x) + " 17h20\"/>";
    out += "<text class=\"key\" x=\"" + fixed(x + 24) + "\" y=\"20.5\">" +
           html_text(plot.lines[k].name) + "</text>";
    x += 40.0 + 5.6 * static_cast<double>(plot.lines[k].name.size());
  }
  return out;
}

}  // namespace

Ticks round_ticks(double low, double high, int count) {
  const double raw = (high - low) / std::max(1, count);
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  double step = 10.0 * power;
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * power >= raw) {
      step = factor * power;
      break;
    }
  }
  Ticks out;
  out.step = step;
  out.first = std::ceil(low / step) * step;
  out.count = static_cast<int>(std::floor((high - out.first) / step + 1e-9)) + 1;
  return out;
}

double time_tick_step(double span_seconds) {
  constexpr std::array steps = {60.0,    300.0,    600.0,    900.0,     1800.0,
                                3600.0,  7200.0,   10800.0,  21600.0,   43200.0,
                                86400.0, 172800.0, 604800.0, 1209600.0, 2592000.0};
  for (const double step : steps) {
    if (span_seconds / step <= 9.0) return step;
  }
  return steps.back();
}

std::string html_text(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string svg_plot(const Recording& recording, const Plot& plot, UnitSystem units) {
  if (recording.size() == 0 || plot.lines.empty()) return {};
  const Dimension dimension = plot.lines.front().channel->quantity->dimension;
  const Unit unit = display_unit(dimension, units);
  Frame frame = time_frame(recording);
  fit_values(recording, plot, unit, frame);
  std::string out =
      "<svg viewBox=\"0 0 760 206\" role=\"img\" aria-label=\"" + html_text(plot.title) + "\">";
  for (const PlotWindow& w : plot.windows) {
    const double x = frame.x(w.start);
    out += "<rect class=\"win\" x=\"" + fixed(x) + "\" y=\"" + fixed(top) + "\" width=\"" +
           fixed(std::max(1.5, frame.x(w.end) - x)) + "\" height=\"" + fixed(bottom - top) + "\"/>";
  }
  out += value_axis(frame) + time_axis(recording, frame, 202.0, Grid::drawn);
  for (const PlotLimit& limit : plot.limits) {
    const double y = frame.y(unit.from_si(limit.value));
    out += "<path class=\"lim\" d=\"M" + fixed(left) + " " + fixed(y) + "H" + fixed(right) + "\"/>";
    out += "<text class=\"ll\" x=\"" + fixed(right - 2) + "\" y=\"" + fixed(y - 3) + "\">" +
           html_text(limit.name) + "</text>";
  }
  for (std::size_t k = 0; k < plot.lines.size(); ++k) {
    out += "<path class=\"" + std::string(line_classes[k % line_classes.size()]) + "\" d=\"" +
           LinePath(recording, *plot.lines[k].channel, unit, frame).draw() + "\"/>";
  }
  out += "<path class=\"ax\" d=\"M" + fixed(left) + " " + fixed(top) + "V" + fixed(bottom) + "H" +
         fixed(right) + "\"/>";
  out += "<text class=\"av\" x=\"" + fixed(left - 5) + "\" y=\"20.5\">" +
         html_text(display_symbol(dimension, units)) + "</text>";
  out += legend(plot);
  if (plot.timeline != nullptr) {
    out += band(recording, *plot.timeline, frame, band_top, band_height, Titles::none);
  }
  return out + "</svg>";
}

std::string svg_phase_band(const Recording& recording, const Timeline& timeline) {
  if (recording.size() == 0) return {};
  const Frame frame = time_frame(recording);
  std::string out = "<svg viewBox=\"0 0 760 62\" role=\"img\" aria-label=\"phases over time\">";
  out += band(recording, timeline, frame, 4.0, 22.0, Titles::shown);
  out += time_axis(recording, frame, 40.0, Grid::none);
  double x = left;
  for (const PhaseKind kind :
       {PhaseKind::off, PhaseKind::starting, PhaseKind::heating, PhaseKind::cooling,
        PhaseKind::mixed, PhaseKind::defrost, PhaseKind::recovering, PhaseKind::unknown}) {
    const bool present = std::any_of(timeline.phases.begin(), timeline.phases.end(),
                                     [&](const Phase& p) { return p.kind == kind; });
    if (!present) continue;
    out += "<rect class=\"p-" + std::string(name_of(kind)) + "\" x=\"" + fixed(x) +
           "\" y=\"49\" width=\"11\" height=\"9\"/><text class=\"key\" x=\"" + fixed(x + 15) +
           "\" y=\"57\">" + std::string(name_of(kind)) + "</text>";
    x += 32.0 + 6.0 * static_cast<double>(name_of(kind).size());
  }
  return out + "</svg>";
}

}  // namespace cw
