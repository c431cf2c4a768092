#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/text.h"
#include "scenario/detail/sections.h"

namespace cw::scenario::detail {
namespace {

/// How figures of a logger are called, and as what they are read.
struct FigureName {
  std::string_view key;
  Dimension dimension;  ///< of the channels it is for
  Dimension read_as;
  double most;
};
constexpr std::array figure_names = {
    FigureName{"temperature", Dimension::temperature, Dimension::temperature_difference, 20.0},
    FigureName{"pressure", Dimension::pressure, Dimension::pressure_difference, 1e6},
    FigureName{"frequency", Dimension::frequency, Dimension::frequency, 50.0},
    FigureName{"ratio", Dimension::ratio, Dimension::ratio, 0.5},
    FigureName{"power", Dimension::power, Dimension::power, 20e3},
};

void read_figures(const Table& logger, std::string_view key, ByDimension& figures) {
  const toml::table* inside = logger.inside(key);
  if (inside == nullptr) return;
  const Table table(*inside, "logger." + std::string(key),
                    {"temperature", "pressure", "frequency", "ratio", "power"}, logger.mistakes());
  for (const FigureName& name : figure_names) {
    if (const auto value = table.quantity(name.key, name.read_as, 0.0, name.most)) {
      figures[name.dimension] = *value;
    }
  }
}

bool is_file_name(const std::string& name) {
  const bool plain = std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' ||
           c == '_' || c == '.';
  });
  return plain && name.size() <= 80 && name.size() > 4 && name.ends_with(".csv") &&
         name.front() != '.';
}

void read_gaps(const Table& table, const Context& context, LoggerSheet& out) {
  for (const toml::table* row : table.tables("gap")) {
    const Table gap(*row, "logger.gap", {"from", "until"}, table.mistakes());
    const auto from = gap.moment("from", context.base);
    const auto until = gap.moment("until", context.base);
    if (from && until && *until > *from) {
      out.gaps.push_back({*from, *until});
    } else if (!gap.has("from") || !gap.has("until") || (from && until)) {
      gap.fail("until", "a gap needs from and until, in this order",
               "Write { from = \"3 h\", until = \"3.5 h\" }", ErrorCode::inconsistent);
    }
  }
  if (const toml::table* inside = table.inside("random_gaps")) {
    const Table chance(*inside, "logger.random_gaps", {"per_day", "longest"}, table.mistakes());
    out.random_gaps.per_day = chance.quantity_or("per_day", Dimension::count, 0.0, 1000.0, 1.0);
    out.random_gaps.longest_s =
        chance.quantity_or("longest", Dimension::time, 1.0, 7.0 * 86400.0, 600.0);
  }
  out.lost_share = table.quantity_or("lost_cells", Dimension::ratio, 0.0, 0.9, 0.0);
}

void read_form(const Table& table, LoggerSheet& out) {
  if (const auto units = table.word("units", {"si", "ip"})) {
    out.units = *units == 0 ? UnitSystem::si : UnitSystem::ip;
  }
  out.gauge = table.flag("gauge").value_or(false);
  if (const auto stamps =
          table.word("stamps", {"iso", "local", "day.month.year", "month/day/year", "epoch"})) {
    out.stamps = static_cast<StampForm>(*stamps);
  }
  if (const auto decimal = table.word("decimal", {".", ","})) out.decimal_comma = *decimal == 1;
}

LoggerSheet read_logger(const Table& table, std::size_t number, const Context& context,
                        const std::vector<ChannelSource>& channels) {
  LoggerSheet out;
  if (number > 0) out.file = "recording-" + std::to_string(number + 1) + ".csv";
  if (const auto file = table.text("file")) {
    out.file = *file;
    if (!is_file_name(*file)) {
      table.fail("file", "\"" + *file + "\" is no name for a recording",
                 "Letters, digits, - and _, ending in .csv, without folders");
    }
  }
  out.interval_s = table.quantity_or("interval", Dimension::time, 1.0, 86400.0, out.interval_s);
  if (table.has("channels")) out.channels = table.texts("channels");
  out.without = table.texts("without");
  for (const auto* patterns : {&out.channels, &out.without}) {
    for (const std::string& pattern : *patterns) {
      const bool known =
          std::any_of(channels.begin(), channels.end(),
                      [&](const ChannelSource& channel) { return matches(pattern, channel.name); });
      if (known) continue;
      const bool wanted = patterns == &out.channels;
      table.fail(wanted ? "channels" : "without", "no channel is called \"" + pattern + "\"",
                 "Channels are <place>.<quantity>, for example " + channels.back().name +
                     "; * stands for any text",
                 ErrorCode::not_found);
    }
  }
  read_form(table, out);
  out.resolution = usual_resolution(out.units);
  out.noise = usual_noise();
  read_figures(table, "noise", out.noise);
  read_figures(table, "accuracy", out.accuracy);
  read_figures(table, "resolution", out.resolution);
  read_gaps(table, context, out);
  return out;
}

}  // namespace

std::vector<LoggerSheet> read_loggers(const Table& top, const Context& context,
                                      const System& system) {
  const std::vector<ChannelSource> channels = channels_of(system);
  std::vector<LoggerSheet> out;
  std::set<std::string> files;
  double cells = 0.0;
  for (const toml::table* row : top.tables("logger")) {
    const Table table(*row, "logger",
                      {"file", "interval", "channels", "without", "noise", "accuracy", "resolution",
                       "gap", "random_gaps", "lost_cells", "units", "gauge", "stamps", "decimal"},
                      top.mistakes());
    out.push_back(read_logger(table, out.size(), context, channels));
    if (!files.insert(out.back().file).second) {
      table.fail("file", "two loggers write " + out.back().file, "Give each its own file",
                 ErrorCode::inconsistent);
    }
    cells += context.duration_s / out.back().interval_s * static_cast<double>(channels.size());
  }
  if (!top.has("logger")) {
    LoggerSheet usual;
    usual.resolution = usual_resolution(usual.units);
    usual.noise = usual_noise();
    cells = context.duration_s / usual.interval_s * static_cast<double>(channels.size());
    out.push_back(std::move(usual));
  }
  constexpr double most_cells = 3e8;  // some 2 GB of text
  if (cells > most_cells) {
    top.fail("duration", "the recording would have " + number_text(cells, 2) + " cells",
             "Shorten duration, or record fewer channels or less often", ErrorCode::out_of_range);
  }
  return out;
}

}  // namespace cw::scenario::detail
