#pragma once

#include <gtest/gtest.h>

#include <initializer_list>
#include <string>
#include <utility>
#include <vector>

#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::field {

using Answers = std::vector<std::pair<std::string, std::string>>;

/// A form of good answers with some replaced; "-" takes an answer out.
inline Form form_with(const Answers& good, const Answers& changed = {}) {
  Form form;
  Answers all = good;
  for (const auto& change : changed) {
    std::erase_if(all, [&](const auto& answer) { return answer.first == change.first; });
    if (change.second != "-") all.push_back(change);
  }
  for (const auto& [flag, text] : all) form.add(flag, text);
  return form;
}

/// One impossible input: what is changed, the option to blame, a word of the reason.
struct Impossible {
  Answers changed;
  std::string where;
  std::string reason;
};

/// Every row is refused with option, reason and a way to mend it; the good form itself passes.
inline void expect_all_refused(Result<FieldSheet> (*procedure)(const Form&, UnitSystem),
                               const Answers& good, const std::vector<Impossible>& rows) {
  EXPECT_GE(rows.size(), 20U);
  const Result<FieldSheet> passes = procedure(form_with(good), UnitSystem::si);
  EXPECT_TRUE(passes.has_value()) << (passes ? "" : passes.error().text());
  for (const Impossible& row : rows) {
    SCOPED_TRACE(row.changed.empty() ? "" : row.changed[0].first + " = " + row.changed[0].second);
    const Result<FieldSheet> result = procedure(form_with(good, row.changed), UnitSystem::si);
    EXPECT_FALSE(result.has_value());
    if (result) continue;
    // "*": the place is a line of a file.
    if (row.where != "*") {
      EXPECT_EQ(result.error().where, row.where) << result.error().text();
    }
    EXPECT_NE(result.error().message.find(row.reason), std::string::npos) << result.error().text();
    EXPECT_GE(result.error().fix.size(), 10U) << result.error().text();
  }
}

/// No sheet calls anything by the word that only an authority may use, and each closes with who
/// decides, has cautions and sources.
inline void expect_honest(const FieldSheet& sheet) {
  std::string all = sheet.title + sheet.verdict;
  for (const auto* list :
       {&sheet.because, &sheet.next, &sheet.limits, &sheet.cautions, &sheet.sources}) {
    for (const std::string& text : *list) all += " " + text;
  }
  EXPECT_EQ(all.find("complian"), std::string::npos);
  EXPECT_FALSE(sheet.cautions.empty());
  EXPECT_FALSE(sheet.sources.empty());
  EXPECT_FALSE(sheet.signed_by.empty());
  for (const Table& table : sheet.tables) {
    for (const auto& row : table.rows) EXPECT_EQ(row.size(), table.columns.size()) << table.key;
  }
}

}  // namespace cw::field
