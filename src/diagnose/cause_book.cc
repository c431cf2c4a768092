#include "diagnose/cause_book.h"

#include "base/contract.h"
#include "base/toml_file.h"
#include "diagnose/cause_kinds.h"
#include "embedded/causes.h"

namespace cw::diagnose {
namespace {

toml::table table_named(std::string_view name) {
  for (const EmbeddedFile& file : embedded::causes()) {
    if (file.name != name) continue;
    Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    return *std::move(table);
  }
  CW_REQUIRE(!"data/causes has its files");
  return {};
}

std::map<std::string, double, std::less<>> numbers_at(const toml::table& table,
                                                      std::string_view key) {
  std::map<std::string, double, std::less<>> out;
  if (const toml::table* part = table[key].as_table()) {
    for (const auto& [name, node] : *part) {
      out.emplace(std::string(name.str()), node.value_or(0.0));
    }
  }
  return out;
}

void read_causes(CauseBook& out) {
  const toml::table file = table_named("causes/causes.toml");
  out.healthy_prior = file["healthy_prior"].value_or(0.0);
  out.unknown_prior = file["unknown_prior"].value_or(0.0);
  out.prior_source = file["source"].value_or(std::string());
  std::map<std::string, CauseText, std::less<>> found;
  if (const toml::array* list = file["cause"].as_array()) {
    for (const toml::node& node : *list) {
      const toml::table& t = *node.as_table();
      CauseText text;
      text.id = t["id"].value_or(std::string());
      text.title = t["title"].value_or(std::string());
      text.owner = t["owner"].value_or(std::string());
      text.look = t["look"].value_or(std::string());
      text.prior = t["prior"].value_or(0.0);
      text.heating = numbers_at(t, "heating");
      text.cooling = numbers_at(t, "cooling");
      text.signs = numbers_at(t, "signs");
      found[text.id] = text;
    }
  }
  for (const CauseKind& kind : cause_kinds()) {
    const auto text = found.find(kind.id);
    CW_REQUIRE(text != found.end());
    out.causes.push_back(text->second);
  }
  CW_REQUIRE(found.size() == out.causes.size());
}

void read_tests(CauseBook& out) {
  const toml::table file = table_named("causes/tests.toml");
  const toml::array* list = file["test"].as_array();
  CW_REQUIRE(list != nullptr);
  for (const toml::node& node : *list) {
    const toml::table& t = *node.as_table();
    TestText test;
    test.id = t["id"].value_or(std::string());
    test.what = t["do"].value_or(std::string());
    test.effort_min = t["effort"].value_or(0.0);
    test.otherwise = t["otherwise"].value_or(0.0);
    test.yes = numbers_at(t, "yes");
    CW_REQUIRE(test.effort_min > 0.0);
    for (const auto& [cause, share] : test.yes) CW_REQUIRE(find_cause_kind(cause) != nullptr);
    out.tests.push_back(std::move(test));
  }
}

}  // namespace

const CauseText& CauseBook::text_of(std::string_view cause) const {
  for (const CauseText& text : causes) {
    if (text.id == cause) return text;
  }
  CW_REQUIRE(!"every cause has a text");
  return causes.front();
}

const CauseBook& cause_book() {
  static const CauseBook book = [] {
    CauseBook out;
    read_causes(out);
    read_tests(out);
    const toml::table calibration = table_named("causes/calibration.toml");
    out.temperature = calibration["temperature"].value_or(1.0);
    out.call_above = calibration["call_above"].value_or(0.5);
    out.call_above_sound = calibration["call_above_sound"].value_or(0.1);
    out.fitted_on = calibration["fitted_on"].value_or(std::string());
    return out;
  }();
  return book;
}

}  // namespace cw::diagnose
