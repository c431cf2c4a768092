#include <algorithm>
#include <cmath>

#include "base/contract.h"
#include "base/text.h"
#include "report/detail/wrapped_text.h"
#include "report/fieldwork_report.h"

namespace cw {
namespace {

using detail::columns_of;
using field::Figure;

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t used = columns_of(text);
  return used >= width ? text : text + std::string(width - used, ' ');
}

/// Words in lines of at most `width` columns, each line behind `indent` blanks.
std::string wrapped(std::string_view text, std::size_t width, std::size_t indent) {
  std::string out;
  detail::append_wrapped(out, std::string(indent, ' '), text, width);
  return out;
}

std::string list_text(const std::string& head, const std::vector<std::string>& items,
                      std::size_t width) {
  if (items.empty()) return {};
  std::string out = "\n" + head + "\n";
  for (const std::string& item : items) {
    std::string text = wrapped(item, width, 4);
    text[2] = '-';
    out += text;
  }
  return out;
}

std::string interval_text(const Figure& figure, UnitSystem units, double barometer) {
  if (!figure.low && !figure.high) return {};
  const auto shown = [&](const std::optional<double>& value) {
    return value ? field::shown_number(*value, figure.dimension, figure.shown, units, barometer)
                 : std::string("no bound");
  };
  return "  [" + shown(figure.low) + " .. " + shown(figure.high) + ", 95 %]";
}

std::string figures_text(const std::string& head, const std::vector<Figure>& figures,
                         UnitSystem units, double barometer, std::size_t width) {
  if (figures.empty()) return {};
  std::size_t label = 0;
  for (const Figure& figure : figures) label = std::max(label, columns_of(figure.label));
  label = std::min<std::size_t>(label, width / 2);
  std::string out = "\n" + head + "\n";
  for (const Figure& figure : figures) {
    std::string line = "  " + padded(figure.label, label) + "  " +
                       field::shown_text(figure, units, barometer) +
                       interval_text(figure, units, barometer);
    const bool fits = columns_of(line) + 4 + columns_of(figure.source) <= width;
    if (!figure.source.empty() && fits) line += "  (" + figure.source + ")";
    out += line + "\n";
    if (!figure.source.empty() && !fits) out += wrapped("(" + figure.source + ")", width, 6);
  }
  return out;
}

std::string table_text(const field::Table& table, UnitSystem units, double barometer) {
  std::vector<std::vector<std::string>> cells(1);
  for (const auto& column : table.columns) {
    const bool number = std::any_of(table.rows.begin(), table.rows.end(), [&](const auto& row) {
      return std::holds_alternative<double>(
          row[static_cast<std::size_t>(&column - table.columns.data())]);
    });
    const std::string unit =
        number ? field::shown_unit(column.dimension, column.shown, units) : std::string();
    cells[0].push_back(column.label + (unit.empty() ? "" : " [" + unit + "]"));
  }
  for (const auto& row : table.rows) {
    CW_REQUIRE(row.size() == table.columns.size());
    cells.emplace_back();
    for (std::size_t i = 0; i < row.size(); ++i) {
      const double* value = std::get_if<double>(&row[i]);
      cells.back().push_back(value == nullptr
                                 ? std::get<std::string>(row[i])
                                 : field::shown_number(*value, table.columns[i].dimension,
                                                       table.columns[i].shown, units, barometer));
    }
  }
  // A terminal is narrow: sources stand in JSON and on paper.
  const bool drop_last = table.columns.size() > 5 && table.columns.back().key == "source";
  const std::size_t shown = table.columns.size() - (drop_last ? 1 : 0);
  std::string out = "\n" + table.title + "\n";
  for (auto& row : cells) {
    std::string line = " ";
    row.resize(shown);
    for (std::size_t i = 0; i < row.size(); ++i) {
      std::size_t width = 0;
      for (const auto& other : cells) width = std::max(width, columns_of(other[i]));
      line += " " + (i + 1 == row.size() ? row[i] : padded(row[i], width + 1));
    }
    out += std::string(line.substr(0, line.find_last_not_of(' ') + 1)) + "\n";
  }
  return out;
}

std::string formulas_text(const std::vector<field::Formula>& formulas, std::size_t width) {
  if (formulas.empty()) return {};
  std::string out = "\nChecked by hand\n";
  for (const field::Formula& f : formulas) {
    out += wrapped(f.what + ": " + f.symbols, width, 2);
    out += wrapped("= " + f.numbers, width, 6);
    if (!f.result.empty()) out += wrapped("= " + f.result, width, 6);
    if (!f.source.empty()) out += wrapped("(" + f.source + ")", width, 6);
  }
  return out;
}

}  // namespace

std::string field_text(const field::FieldSheet& sheet, UnitSystem units, std::size_t width,
                       bool colour) {
  std::string out = sheet.title + "\n";
  if (!sheet.verdict.empty()) {
    const std::string begin = !colour ? "" : sheet.alarm ? "\x1b[1;35m" : "\x1b[1;36m";
    out += "Verdict: " + begin + sheet.verdict + (colour ? "\x1b[0m" : "") + "\n";
  }
  for (const std::string& sentence : sheet.because) out += wrapped(sentence, width, 2);
  out += figures_text("Result", sheet.results, units, sheet.barometer, width);
  for (const field::Table& table : sheet.tables) out += table_text(table, units, sheet.barometer);
  out += figures_text("Entered", sheet.inputs, units, sheet.barometer, width);
  out += formulas_text(sheet.formulas, width);
  out += list_text("What to do next", sheet.next, width);
  out += list_text("What this cannot show", sheet.limits, width);
  out += list_text("Cautions", sheet.cautions, width);
  out += list_text("Sources", sheet.sources, width);
  return out + "\n" + wrapped(field::who_decides(), width, 0);
}

}  // namespace cw
