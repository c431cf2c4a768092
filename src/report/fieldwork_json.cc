#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"
#include "report/detail/json_number.h"
#include "report/fieldwork_report.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

/// Seven significant digits, and the same text on every machine: pressures near 4 MPa need the
/// seventh for the tenth of a kilopascal.
Json number(double value) { return detail::json_number(value, 7); }

/// {"key": value} for programs; sources and intervals stand beside it under "details".
Json values_json(const std::vector<field::Figure>& figures) {
  Json out = Json::object();
  for (const field::Figure& figure : figures) {
    out[figure.key] = figure.word.empty() ? number(figure.value) : Json(figure.word);
  }
  return out;
}

Json details_json(const std::vector<field::Figure>& figures) {
  Json out = Json::object();
  for (const field::Figure& figure : figures) {
    Json detail = {{"label", figure.label}};
    if (figure.word.empty()) {
      detail["unit"] =
          figure.si_unit.empty() ? std::string(si_symbol(figure.dimension)) : figure.si_unit;
    }
    if (!figure.source.empty()) detail["source"] = figure.source;
    if (figure.low || figure.high) {
      detail["low"] = figure.low ? number(*figure.low) : Json(nullptr);
      detail["high"] = figure.high ? number(*figure.high) : Json(nullptr);
      detail["confidence"] = 0.95;
    }
    out[figure.key] = std::move(detail);
  }
  return out;
}

Json table_json(const field::Table& table) {
  Json out = Json::array();
  for (const auto& row : table.rows) {
    Json item = Json::object();
    for (std::size_t i = 0; i < table.columns.size() && i < row.size(); ++i) {
      const std::string& key = table.columns[i].key;
      if (const double* value = std::get_if<double>(&row[i])) {
        item[key] = number(*value);
      } else {
        item[key] = std::get<std::string>(row[i]);
      }
    }
    out.push_back(std::move(item));
  }
  return out;
}

Json formulas_json(const std::vector<field::Formula>& formulas) {
  Json out = Json::array();
  for (const field::Formula& f : formulas) {
    out.push_back({{"what", f.what},
                   {"formula", f.symbols},
                   {"with_numbers", f.numbers},
                   {"result", f.result},
                   {"source", f.source}});
  }
  return out;
}

}  // namespace

std::string field_json(const field::FieldSheet& sheet) {
  Json out = {{"schema", "coilwright." + sheet.procedure + "/1"},
              {"version", version()},
              {"title", sheet.title}};
  if (!sheet.date.empty()) out["date"] = sheet.date;
  out["verdict"] = sheet.verdict.empty() ? Json(nullptr) : Json(sheet.verdict);
  out["because"] = sheet.because;
  out["inputs"] = values_json(sheet.inputs);
  out["results"] = values_json(sheet.results);
  for (const field::Table& table : sheet.tables) out["tables"][table.key] = table_json(table);
  out["formulas"] = formulas_json(sheet.formulas);
  out["details"] = {{"inputs", details_json(sheet.inputs)},
                    {"results", details_json(sheet.results)}};
  out["next"] = sheet.next;
  out["cannot_show"] = sheet.limits;
  out["cautions"] = sheet.cautions;
  out["sources"] = sheet.sources;
  out["who_decides"] = field::who_decides();
  return out.dump(2) + "\n";
}

}  // namespace cw
