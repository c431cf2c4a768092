#include "ingest/survey.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "ingest/propose.h"
#include "series/recording.h"

namespace cw {
namespace {

void survey_times(FileSurvey& survey, const std::vector<SourceTable>& tables) {
  std::vector<std::int64_t> steps;
  const SourceTable* longest = nullptr;
  for (const SourceTable& table : tables) {
    survey.rows += table.time.size();
    if (table.time.empty()) continue;
    const bool first = longest == nullptr;
    if (first || table.time.front() < survey.first) survey.first = table.time.front();
    if (first || table.time.back() > survey.last) survey.last = table.time.back();
    if (first || table.time.size() > longest->time.size()) longest = &table;
    survey.shown = table.clock;
  }
  if (longest == nullptr || longest->time.size() < 2) return;
  const std::vector<Instant>& time = longest->time;
  for (std::size_t i = 1; i < time.size(); ++i) steps.push_back(time[i].ms - time[i - 1].ms);
  std::vector<std::int64_t> sorted = steps;
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  survey.interval = static_cast<double>(*middle) * 1e-3;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const double step = static_cast<double>(steps[i]) * 1e-3;
    if (step <= gap_factor * survey.interval) continue;
    ++survey.gaps.count;
    survey.gaps.total += step;
    if (step > survey.gaps.longest) {
      survey.gaps.longest = step;
      survey.gaps.longest_from = time[i];
    }
  }
}

ColumnSurvey survey_column(const SourceColumn& column) {
  ColumnSurvey out;
  out.index = column.index;
  out.header = column.header;
  out.unit_text = column.unit_text;
  out.words = column.words;
  // What all other words are counted under stands behind those that are named.
  const auto rest = std::find_if(out.words.begin(), out.words.end(),
                                 [](const auto& word) { return word.first.empty(); });
  if (rest != out.words.end()) std::rotate(rest, rest + 1, out.words.end());
  for (const auto& [word, times] : column.words) out.texts += times;
  std::vector<float> values;
  for (const float value : column.values) {
    if (!is_missing(value)) values.push_back(value);
  }
  out.numbers = values.size();
  if (column.quantity != nullptr) {
    out.role = "channel";
    out.channel = column.place.text + "." + column.quantity->name;
  }
  if (values.empty()) {
    if (out.role.empty()) out.role = out.texts > 0 ? "words" : "empty";
    return out;
  }
  std::sort(values.begin(), values.end());
  out.lowest = static_cast<double>(values.front());
  out.highest = static_cast<double>(values.back());
  out.median = static_cast<double>(values[values.size() / 2]);
  for (std::size_t i = 0; i < values.size() && out.distinct < 1000; ++i) {
    out.distinct += i == 0 || values[i] != values[i - 1] ? 1U : 0U;
  }
  if (out.role.empty()) {
    out.role = out.texts > out.numbers ? "words" : out.distinct == 1 ? "constant" : "number";
  }
  return out;
}

}  // namespace

void finish_survey(FileSurvey& survey, const std::vector<SourceTable>& tables,
                   const ChannelMap* map, const ImportLog& log) {
  (void)map;
  survey_times(survey, tables);
  for (const SourceTable& table : tables) {
    for (const SourceColumn& column : table.columns) {
      survey.columns.push_back(survey_column(column));
    }
  }
  std::stable_sort(survey.columns.begin(), survey.columns.end(),
                   [](const ColumnSurvey& a, const ColumnSurvey& b) { return a.index < b.index; });
  propose_values(tables, log, survey);
  propose_channels(tables, survey);
}

}  // namespace cw
