#include "ingest/delimited/delimited.h"

#include <algorithm>

#include "base/text.h"
#include "ingest/clock/title_clock.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/column_plan.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/scan.h"
#include "ingest/delimited/shapes.h"
#include "ingest/map_writer.h"

namespace cw {
namespace {

Error with_file(Error error, const std::string& file) {
  if (error.where.empty()) error.where = file;
  return error;
}

/// A line between the rows that holds a date, where the rows have times only; empty where there is
/// none.
std::string date_between_rows(const Layout& layout, const ClockPlan& plan) {
  if (plan.form != ClockForm::stamps || plan.order != DateOrder::none) return {};
  for (const std::vector<std::string>& row : layout.rows) {
    std::string whole;
    std::size_t filled = 0;
    for (const std::string& cell : row) {
      if (cell.empty()) continue;
      ++filled;
      whole += (whole.empty() ? "" : " ") + cell;
    }
    if (filled == 0 || filled > 2) continue;
    StampFields f;
    const std::size_t digit = whole.find_first_of("0123456789");
    const bool date = digit != std::string::npos && parse_stamp(whole.substr(digit), f) &&
                      f.parts == 3 && !f.has_time;
    if (date) return whole;
  }
  return {};
}

/// Dates without a time in whose column most rows have the date of the row above: one of them a day
/// would be kept, and the times that tell them apart stand elsewhere, in a form that is not read.
std::string date_of_many_rows(const Layout& layout, const ClockPlan& plan,
                              const ReadContext& context) {
  const bool mapped = context.map != nullptr && !context.map->clock.columns.empty();
  if (plan.form != ClockForm::stamps || plan.columns.size() != 1 || mapped) return {};
  if (plan.order > DateOrder::month_day) return {};
  const std::size_t column = plan.columns.front();
  std::size_t again = 0;
  std::size_t dates = 0;
  std::string last;
  for (const std::vector<std::string>& row : layout.rows) {
    StampFields f;
    if (column >= row.size() || !parse_stamp(row[column], f)) continue;
    if (f.has_time) return {};
    ++dates;
    again += row[column] == last ? 1U : 0U;
    last = row[column];
  }
  return dates > 4 && again * 2 > dates ? last : std::string();
}

Result<ClockPlan> clock_of(std::string_view text, const Layout& layout,
                           const ReadContext& context) {
  ClockQuestion question;
  question.headers = layout.headers;
  question.units = layout.units;
  question.rows = layout.rows;
  question.map = context.map;
  question.dialect = &layout.dialect;
  question.has_header = layout.has_header;
  question.is_channel = [&](std::size_t i) {
    return is_channel_header(layout.headers[i], context.map);
  };
  question.walk = [&](std::size_t cells, const RowVisitor& visit) {
    walk_rows(text, layout, cells,
              [&](std::span<const std::string> row, std::size_t) { return visit(row); });
  };
  Result<ClockPlan> plan = plan_clock(question);
  if (!plan) return plan;
  if (const auto heading = date_between_rows(layout, *plan); !heading.empty()) {
    return Error{
        ErrorCode::inconsistent,
        "the rows have times without a date, and dates stand in lines of their own between "
        "them (\"" +
            heading + "\"), which are not read",
        "", "Write the date in front of each row, or give each day as a file of its own"};
  }
  if (const std::string date = date_of_many_rows(layout, *plan, context); !date.empty()) {
    // A long table has a row for each of its signals, whose names come again.
    const auto shape = find_long(layout, *plan, context.map);
    if (shape && (shape->own_form || shape->signals * 3 <= layout.rows.size())) return plan;
    return Error{ErrorCode::inconsistent,
                 "column \"" + layout.headers[plan->columns.front()] +
                     "\" has a date without a time, and the same in most rows (\"" + date + "\")",
                 "",
                 "If another column holds the times, name both in a map, [clock] column = "
                 "[\"Date\", \"Time\"]; if times are lost, ask for an export with them"};
  }
  return plan;
}

/// The error of a missing clock, with what else was understood. A file without any known channel
/// hears of that first.
Error clock_error(const Layout& layout, const Error& error, const ReadContext& context) {
  ImportLog ignored;
  ReadContext quiet = context;
  quiet.log = &ignored;
  const Result<TablePlan> plan = plan_table(layout, {}, quiet);
  if (!plan) return plan.error();
  Error out = error;
  out.where = context.file;
  if (error.code == ErrorCode::not_found) {
    out.code = ErrorCode::unreadable;
    out.message += ". " + understood_text(*plan);
    out.fix = "Name the time column in a map, [clock] column = \"...\" (docs/user/maps.md)";
    if (const auto said = clock_in_titles(layout.titles)) {
      out.message += ". A title says \"" + said->interval_title + "\"";
      out.fix = "If each row is one interval, say it in a map:\n\n[clock]\n" + toml_of(*said) +
                (said->start ? "" : "\nstart = \"2026-01-14 06:00\"   # of the first row");
    }
  }
  return out;
}

/// Hours from 1 to 12 only that step back at noon: the halves of the day are lost.
/// @returns  the row behind such a step; nothing where the clock is another one
std::optional<std::size_t> half_day_lost(const ClockPlan& plan, const SourceTable& table) {
  if (plan.form != ClockForm::stamps || table.clock.kind != Clock::Kind::unstated) {
    return std::nullopt;
  }
  constexpr std::int64_t hour = 3600000;
  std::optional<std::size_t> step;
  for (std::size_t i = 0; i < table.time.size(); ++i) {
    const std::int64_t of_day = (table.time[i].ms % (24 * hour) + 24 * hour) % (24 * hour);
    if (of_day < hour || of_day >= 13 * hour) return std::nullopt;
    if (i == 0 || step) continue;
    const std::int64_t back = table.time[i - 1].ms - table.time[i].ms;
    const bool noon = of_day < 3 * hour && back > 9 * hour && back < 12 * hour;
    if (noon) step = i;
  }
  return step;
}

Error half_day_error(const SourceTable& table, std::size_t row) {
  const auto text = [&](std::size_t i) { return "\"" + iso_text(table.time[i], {}) + "\""; };
  return Error{ErrorCode::inconsistent,
               "the hours go from 1 to 12 only and step back at noon (" + text(row) + " follows " +
                   text(row - 1) + "): a 12-hour clock without AM and PM",
               table.file, "Export it with AM and PM or with a 24-hour clock"};
}

/// The provisional clock of a survey whose file has none that can be decided.
ClockPlan row_numbers() {
  ClockPlan plan;
  plan.form = ClockForm::elapsed;
  plan.finding = {"none", 0.0, "times are row numbers"};
  return plan;
}

/// What a column of qualities says of the readings.
std::string quality_words(const Layout& layout, const LongShape& shape) {
  if (!shape.quality) return {};
  return ", and \"" + layout.headers[*shape.quality] + "\" says which are " + shape.good.front();
}

/// The section of a map that reads a long table.
std::string shape_toml(const Layout& layout, const LongShape& shape) {
  const auto list = [](const std::vector<std::string>& texts) {
    std::string out;
    for (const std::string& text : texts) out += (out.empty() ? "" : ", ") + toml_text(text);
    return "[" + out + "]";
  };
  std::vector<std::string> names;
  for (const std::size_t name : shape.names) names.push_back(layout.headers[name]);
  std::string out =
      "[shape]\nname = " + list(names) + "\nvalue = " + toml_text(layout.headers[shape.value]);
  if (shape.quality) {
    out += "\nquality = " + toml_text(layout.headers[*shape.quality]) +
           "\ngood = " + list(shape.good) + "   # other readings are missing";
  }
  return out;
}

void survey_long(const Layout& layout, const LongShape& shape, FileSurvey& survey) {
  survey.shape = "long";
  if (shape.own_form) return;
  std::string names;
  for (const std::size_t name : shape.names) {
    names += (names.empty() ? "\"" : ", \"") + layout.headers[name] + "\"";
  }
  survey.proposals.push_back({"shape", "",
                              "each row is one reading: names in " + names + ", values in \"" +
                                  layout.headers[shape.value] + "\"" + quality_words(layout, shape),
                              0.8, "the same stamp comes again with another name",
                              shape_toml(layout, shape)});
}

}  // namespace

std::vector<std::string> cells_of(std::string_view line, char delimiter) {
  std::vector<std::string> out;
  std::string scratch;
  CellCutter cells(line, delimiter, scratch);
  std::string_view cell;
  while (cells.next(cell)) out.emplace_back(trim(cell));
  return out;
}

char delimiter_of(std::string_view header_line) {
  char best = ',';
  std::size_t most = 0;
  for (const char delimiter : {',', ';', '\t', '|', '\x1f'}) {
    const std::size_t cells = cells_of(header_line, delimiter).size();
    if (cells > most) {
      most = cells;
      best = delimiter;
    }
  }
  return best;
}

Result<std::vector<SourceTable>> read_delimited(std::string_view text, const ReadContext& context) {
  Result<Layout> layout = context.layout != nullptr && context.map == nullptr
                              ? Result<Layout>(*context.layout)
                              : find_layout(text, context.map);
  if (!layout) return with_file(layout.error(), context.file);
  Result<ClockPlan> clock = clock_of(text, *layout, context);
  if (!clock && context.survey == nullptr) return clock_error(*layout, clock.error(), context);
  const ClockPlan plan = clock ? std::move(*clock) : row_numbers();
  if (context.survey != nullptr) {
    FileSurvey& survey = *context.survey;
    survey.findings.insert(survey.findings.end(), layout->findings.begin(), layout->findings.end());
    survey.titles = layout->titles;
    survey.clock = plan;
    if (!clock) survey.clock_error = with_file(clock.error(), context.file);
    for (const std::size_t column : plan.columns) {
      ColumnSurvey seen;
      seen.index = column;
      seen.header = layout->headers[column];
      seen.role = "time";
      survey.columns.push_back(std::move(seen));
    }
  }
  Result<std::vector<SourceTable>> tables = std::vector<SourceTable>{};
  const std::vector<std::size_t> matrix = find_matrix(*layout);
  const auto shape = find_long(*layout, plan, context.map);
  if (!matrix.empty() && !plan.columns.empty()) {
    tables = read_matrix(text, *layout, plan, matrix, context);
    if (context.survey != nullptr) context.survey->shape = "matrix";
  } else if (shape && (shape->own_form || context.survey != nullptr)) {
    tables = read_long(text, *layout, plan, *shape, context);
    if (context.survey != nullptr) survey_long(*layout, *shape, *context.survey);
  } else {
    const Result<TablePlan> columns = plan_table(*layout, plan.columns, context);
    if (!columns) return columns.error();
    tables->push_back(scan_rows(text, *layout, plan, *columns, context));
    if (const auto lost = half_day_lost(plan, tables->front())) {
      const Error error = half_day_error(tables->front(), *lost);
      if (context.survey == nullptr) return error;
      context.survey->clock_error = error;
    }
    if (context.stop && context.stop()) {
      return Error{ErrorCode::invalid_argument, "the reading was stopped", context.file, ""};
    }
  }
  if (!tables) return tables.error();
  for (SourceTable& table : *tables) {
    table.assumptions.insert(table.assumptions.begin(), layout->assumptions.begin(),
                             layout->assumptions.end());
    table.assumptions.insert(table.assumptions.begin(), plan.assumptions.begin(),
                             plan.assumptions.end());
    if (context.map == nullptr) continue;
    for (Instant& time : table.time) time.ms += context.map->clock.shift_ms;
    if (context.map->shape.hold) fill_unchanged(table, *context.map->shape.hold);
  }
  return tables;
}

}  // namespace cw
