#pragma once

#include <string>
#include <vector>

#include "base/unit_text.h"
#include "phases/phases.h"
#include "series/recording.h"

namespace cw {

/// One line of a plot.
struct PlotLine {
  const Channel* channel = nullptr;  ///< never null
  std::string name;                  ///< for the legend
};

/// A horizontal limit.
struct PlotLimit {
  double value = 0.0;  ///< SI
  std::string name;
};

/// A time that is shaded.
struct PlotWindow {
  Instant start;
  Instant end;
};

struct Plot {
  std::string title;
  std::vector<PlotLine> lines;  ///< all of one dimension
  std::vector<PlotLimit> limits;
  std::vector<PlotWindow> windows;     ///< evidence
  const Timeline* timeline = nullptr;  ///< drawn as a band under the plot; may be null
};

/// A plot as an SVG element, 760 x 230 units, scaling with its container. Lines are drawn as the
/// lowest and highest reading of each of some 460 columns, so that a season draws like a day; gaps
/// stay open.
std::string svg_plot(const Recording& recording, const Plot& plot, UnitSystem units);

/// A phase band alone, with its legend.
std::string svg_phase_band(const Recording& recording, const Timeline& timeline);

/// Text made safe for HTML and SVG.
std::string html_text(std::string_view text);

/// Ends of the axis: about `count` round steps that cover [low, high].
struct Ticks {
  double first = 0.0;
  double step = 1.0;
  int count = 0;
};
Ticks round_ticks(double low, double high, int count);

/// Seconds between time ticks that a person would choose for a span: 1 min .. 30 d.
double time_tick_step(double span_seconds);

}  // namespace cw
