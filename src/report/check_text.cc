#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/check_report.h"
#include "report/detail/titles.h"
#include "report/detail/wrapped_text.h"

namespace cw {
namespace {

class TextWriter {
 public:
  TextWriter(std::size_t width, bool colour)
      : width_(std::max<std::size_t>(width, 40)), colour_(colour) {}

  void line(std::string_view text = {}) { out_ += std::string(text) + "\n"; }

  /// Text behind `lead`, wrapped under itself.
  void wrapped(const std::string& lead, std::string_view text) {
    detail::append_wrapped(out_, lead, text, width_);
  }

  std::string verdict(Verdict verdict, std::size_t pad = 0) const {
    std::string word(name_of(verdict));
    const std::size_t missing_columns = pad > word.size() ? pad - word.size() : 0;
    if (colour_) {
      const char* code = verdict == Verdict::fault   ? "\x1b[1;31m"
                         : verdict == Verdict::watch ? "\x1b[1;33m"
                         : verdict == Verdict::ok    ? "\x1b[1;36m"
                                                     : "\x1b[1m";
      word = code + word + "\x1b[0m";
    }
    return word + std::string(missing_columns, ' ');
  }

  std::string take() { return std::move(out_); }

 private:
  std::size_t width_;
  bool colour_;
  std::string out_;
};

/// A fixed label column in front of wrapped text; colour codes take no columns.
void labelled(TextWriter& out, const std::string& label, std::string_view text) {
  out.wrapped("  " + label + std::string(label.size() < 10 ? 10 - label.size() : 1, ' '), text);
}

void write_answers(TextWriter& out, const CheckReport& report) {
  const Answers answers = answer(report);
  out.line("Is it healthy?");
  out.wrapped("  ", answers.healthy);
  out.line();
  out.line("What is wrong, and where?");
  if (answers.wrong.empty()) out.line("  Nothing that this log shows.");
  for (const Answers::Wrong& wrong : answers.wrong) {
    out.wrapped("  - ", wrong.text);
    for (const std::string& text : wrong.follows) out.wrapped("      > ", text);
  }
  out.line();
  out.line("What could not be judged?");
  if (answers.unjudged.empty()) out.line("  Nothing: every main question had what it needs.");
  constexpr std::size_t shown = 8;
  for (std::size_t i = 0; i < answers.unjudged.size() && i < shown; ++i) {
    out.wrapped("  - ", answers.unjudged[i]);
  }
  if (answers.unjudged.size() > shown) {
    out.line("  - and " + std::to_string(answers.unjudged.size() - shown) +
             " more (--json or --html lists them)");
  }
}

void write_checks(TextWriter& out, const Judgement& judgement) {
  out.line("Checks");
  for (const Check* asked : judgement.asked) {
    const Check& check = *asked;
    const Verdict worst = verdict_of(judgement.findings, check.id);
    if (worst == Verdict::unproven && !check.main) continue;  // told in one line below
    out.line("  " + out.verdict(worst, 10) + check.title);
    for (const Verdict verdict : {Verdict::fault, Verdict::watch, Verdict::unproven, Verdict::ok}) {
      std::vector<const Finding*> rows;
      std::vector<std::string> labels;
      for (const Finding& finding : judgement.findings) {
        if (finding.check != check.id || finding.verdict != verdict) continue;
        rows.push_back(&finding);
        labels.push_back(finding.place.label());
      }
      if (rows.empty()) continue;
      const std::string lead = "            " + std::string(name_of(verdict)) + " ";
      if (rows.size() > 3) {
        out.wrapped(lead, places_text(labels));
      } else {
        for (const Finding* row : rows) {
          out.wrapped(lead, row->place.label() + ": " + row->because);
        }
      }
    }
  }
}

void write_unlooked(TextWriter& out, const CheckReport& report) {
  const std::string text = further_open_text(report.judgement);
  if (text.empty()) return;
  out.wrapped("  ", text + " --json and --html say what each of them needs.");
}

void write_phases(TextWriter& out, const Judgement& judgement) {
  out.line("What the machine was doing");
  std::vector<std::pair<PhaseKind, double>> share;
  double total = 0.0;
  std::size_t count[8] = {};
  for (const Phase& phase : judgement.phases.system.phases) {
    const double seconds = seconds_between(phase.start, phase.end);
    total += seconds;
    ++count[static_cast<std::size_t>(phase.kind)];
    const auto at = std::find_if(share.begin(), share.end(),
                                 [&](const auto& row) { return row.first == phase.kind; });
    if (at == share.end()) {
      share.emplace_back(phase.kind, seconds);
    } else {
      at->second += seconds;
    }
  }
  for (const auto& [kind, seconds] : share) {
    char percent[16];
    std::snprintf(percent, sizeof percent, "%3.0f %%", total > 0.0 ? 100.0 * seconds / total : 0.0);
    const std::size_t times = count[static_cast<std::size_t>(kind)];
    labelled(out, std::string(name_of(kind)),
             std::string(percent) + "  " + format_duration(seconds) + " in " +
                 std::to_string(times) + (times == 1 ? " stretch" : " stretches"));
  }
  for (const std::string& note : judgement.phases.notes) out.wrapped("  ", note);
}

std::string or_dash(double si, Dimension dimension, UnitSystem units) {
  return std::isnan(si) ? "-" : format_si_number(si, dimension, units);
}

void write_defrosts(TextWriter& out, const CheckReport& report) {
  const auto& defrosts = report.judgement.phases.defrosts;
  if (defrosts.empty()) return;
  const UnitSystem units = report.units;
  out.line();
  out.line("Defrosts (coil temperature in " +
           std::string(display_symbol(Dimension::temperature, units)) + ")");
  out.line("  start             length     since the last  outdoor  coil before   peak  after");
  for (const Defrost& d : defrosts) {
    char row[200];
    std::snprintf(
        row, sizeof row, "  %-17s %-10s %-15s %7s %12s %6s %6s  %s",
        format_instant(d.start, report.judgement.recording.clock).substr(0, 16).c_str(),
        format_duration(std::round(seconds_between(d.start, d.end) / 30.0) * 30.0).c_str(),
        d.since_last ? format_duration(std::round(*d.since_last / 60.0) * 60.0).c_str() : "-",
        or_dash(d.outdoor_before, Dimension::temperature, units).c_str(),
        or_dash(d.coil_before, Dimension::temperature, units).c_str(),
        or_dash(d.coil_peak, Dimension::temperature, units).c_str(),
        or_dash(d.coil_after, Dimension::temperature, units).c_str(),
        report.judgement.phases.modules.size() > 1 ? d.place.label().c_str() : "");
    std::string text = row;
    text.erase(text.find_last_not_of(' ') + 1);
    out.line(text);
  }
}

void write_data_quality(TextWriter& out, const CheckReport& report) {
  out.line();
  out.line("Data quality");
  const ImportLog& log = report.import.log;
  bool any = false;
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (log.count_of(counter) == 0) continue;
    any = true;
    const CounterInfo& info = info_of(counter);
    out.wrapped("  ", std::string(info.name) + " " + std::to_string(log.count_of(counter)) + " (" +
                          std::string(name_of(info.severity)) + "): " + std::string(info.meaning));
  }
  if (!any) out.line("  Nothing was set aside.");
  constexpr std::size_t shown = 6;
  std::size_t told = 0;
  for (const Reject& reject : log.rejects()) {
    if (info_of(reject.counter).severity == Severity::info) continue;
    if (++told > shown) break;
    std::string text = reject.file;
    if (reject.line > 0) text += ":" + std::to_string(reject.line);
    if (!reject.column.empty()) text += " \"" + reject.column + "\"";
    if (!reject.text.empty()) text += " \"" + reject.text + "\"";
    out.wrapped("    ", text + ": " + reject.reason);
  }
  if (told > shown) out.line("    ... (--json lists more)");
  if (!report.import.not_understood.empty()) {
    out.wrapped("  ", "Columns not understood: " + not_understood_text(report.import) + ".");
  }
  out.line();
  out.line("Assumptions");
  out.wrapped("  - ", refrigerant_sentence(report.judgement));
  for (const std::string& text : report.import.assumptions) out.wrapped("  - ", text);
  for (const std::string& text : report.judgement.derived.notes) out.wrapped("  - ", text);
  const std::vector<std::string> system = system_lines(report);
  if (system.empty()) return;
  out.line();
  out.line("System sheet");
  for (const std::string& text : system) out.wrapped("  - ", text);
}

void write_limits(TextWriter& out, const Judgement& judgement) {
  out.line();
  out.line("Limits in force");
  const std::vector<std::string> changes = limit_changes(judgement);
  for (const std::string& text : changes) out.wrapped(&text == &changes[0] ? "  " : "  - ", text);
  std::string section;
  std::string row;
  const auto flush = [&] {
    if (!row.empty()) out.wrapped("  " + section + "  ", row);
    row.clear();
  };
  for (const Limit& limit : judgement.limits.all()) {
    const std::size_t dot = limit.key.find('.');
    const std::string here = limit.key.substr(0, dot);
    const Check* check = find_check(here);
    const bool asked =
        std::find(judgement.asked.begin(), judgement.asked.end(), check) != judgement.asked.end();
    if (check != nullptr && !asked) continue;
    if (here != section) {
      flush();
      section = here;
    }
    if (!row.empty()) row += ", ";
    row += limit.key.substr(dot + 1) + " " + limit.text;
    if (limit.overridden) row += " (changed)";
  }
  flush();
}

}  // namespace

std::string check_text(const CheckReport& report, std::size_t width, bool colour) {
  TextWriter out(width, colour);
  out.wrapped("", recording_line(report));
  out.line();
  out.line("Verdict: " + out.verdict(report.judgement.verdict));
  out.line();
  write_answers(out, report);
  out.line();
  write_checks(out, report.judgement);
  write_unlooked(out, report);
  out.line();
  write_phases(out, report.judgement);
  write_defrosts(out, report);
  write_data_quality(out, report);
  write_limits(out, report.judgement);
  out.line();
  for (const std::string& caution : check_cautions()) out.wrapped("", caution);
  return out.take();
}

}  // namespace cw
