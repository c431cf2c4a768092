#include "ingest/map_writer.h"

#include <cmath>
#include <cstdio>
#include <map>
#include <set>
#include <utility>

#include "base/text.h"
#include "ingest/encoding.h"

namespace cw {
namespace {

std::string comment(std::string_view text) {
  std::string out = "# ";
  for (const char c : text) {
    out += c;
    if (c == '\n') out += "# ";
  }
  return out + "\n";
}

std::string sure(double confidence) {
  return std::to_string(std::lround(100.0 * confidence)) + " %";
}

/// What is proposed for a file as a whole, as comments.
void add_file_proposals(const FileSurvey& survey, std::string& out) {
  for (const Proposal& proposal : survey.proposals) {
    if (proposal.kind != "clock" && proposal.kind != "shape") continue;
    out +=
        comment(sure(proposal.confidence) + ": " + proposal.what + " (" + proposal.evidence + ")");
    if (!proposal.toml.empty()) out += comment(proposal.toml);
  }
}

void add_clock(const FileSurvey& survey, std::string& out) {
  out += "\n[clock]\n" + comment(survey.clock.finding.reason);
  std::vector<std::string> columns;
  for (const ColumnSurvey& column : survey.columns) {
    if (column.role == "time") columns.push_back(toml_text(column.header));
  }
  if (columns.size() == 1) out += "column = " + columns.front() + "\n";
  if (columns.size() > 1) {
    out += "column = [";
    for (std::size_t i = 0; i < columns.size(); ++i) out += (i > 0 ? ", " : "") + columns[i];
    out += "]\n";
  }
  const ClockPlan& clock = survey.clock;
  const bool dated = clock.order != DateOrder::none;
  if (clock.form == ClockForm::stamps && dated && !survey.clock_error && !columns.empty()) {
    out += "order = \"" + std::string(name_of(clock.order)) + "\"\n";
  }
  if (clock.form == ClockForm::rows) {
    out += "form = \"rows\"\ninterval = \"" + number_text(clock.unit_ms * 1e-3, 9) + " s\"\n";
  }
  if ((clock.form != ClockForm::stamps || clock.date_digits == 10) && !columns.empty()) {
    out += "form = \"" + std::string(name_of(clock.form)) + "\"\n";
  }
  if (clock.zone) out += "zone = " + toml_text(*clock.zone) + "\n";
  if (survey.clock_error) {
    out += comment(survey.clock_error->text());
    if (survey.clock_error->code == ErrorCode::inconsistent) {
      out += "# order = \"day-month-year\"\n";
    }
  }
  for (const std::string& ask : clock.asks) out += "# " + ask + "\n";
  if (!clock.zone && survey.shown.kind == Clock::Kind::unstated) {
    out += "# zone = \"America/Chicago\"   # the stamps carry no offset from UTC\n";
  }
  add_file_proposals(survey, out);
}

/// What a map has said so far.
struct Written {
  std::map<std::string, std::size_t> files_with;  ///< files that have a header, clocks left out
  std::set<std::pair<std::string, std::string>> columns;  ///< header and, where it matters, file
  std::set<std::string> channels;                         ///< in force
};

Written headers_of(const Import& import) {
  Written out;
  for (const FileSurvey& survey : import.surveys) {
    for (const ColumnSurvey& column : survey.columns) {
      if (column.role != "time") ++out.files_with[column.header];
    }
  }
  return out;
}

/// The lines of a [[column]] that say which it is.
std::string column_head(const FileSurvey& survey, const ColumnSurvey& column,
                        const Written& written) {
  std::string out = "[[column]]\nheader = " + toml_text(column.header) + "\n";
  const auto files = written.files_with.find(column.header);
  if (files != written.files_with.end() && files->second > 1) {
    out += "file = " + toml_text(survey.file) + "\n";
  }
  return out;
}

/// The proposals of one column: the channel first, then lines that belong below it.
void add_column(const FileSurvey& survey, const ColumnSurvey& column, Written& written,
                std::string& out) {
  const Proposal* channel = nullptr;
  std::string below;
  for (const Proposal& proposal : survey.proposals) {
    if (proposal.column != column.header) continue;
    if (proposal.kind == "channel") {
      if (channel == nullptr || proposal.confidence > channel->confidence) channel = &proposal;
      continue;
    }
    below +=
        comment(sure(proposal.confidence) + ": " + proposal.what + " (" + proposal.evidence + ")");
    if (!proposal.toml.empty()) below += "# " + proposal.toml + "\n";
  }
  out += "\n";
  if (column.numbers > 0 && column.channel.empty()) {
    out += comment("column " + std::to_string(column.index + 1) + ": " +
                   number_text(column.lowest, 5) + " .. " + number_text(column.median, 5) + " .. " +
                   number_text(column.highest, 5));
  }
  if (channel != nullptr) {
    out += comment(sure(channel->confidence) + ": " + channel->evidence);
    // What is likely stands as it is, the rest waits for a person to take the comment signs away;
    // so does a second column of one channel.
    const bool twice = written.channels.count(channel->what) > 0;
    const bool likely = channel->confidence >= 0.75 && !twice;
    if (likely) written.channels.insert(channel->what);
    if (twice) out += comment("another column above is taken for the same channel");
    const std::string text = column_head(survey, column, written) + channel->toml;
    out += likely ? text + "\n" : comment(text);
    out += below;
    return;
  }
  std::string words;
  for (std::size_t i = 0; i < column.words.size() && i < 6; ++i) {
    words += (i > 0 ? ", " : " words: ") + column.words[i].first;
  }
  out += comment("not understood:" + words);
  out += comment(column_head(survey, column, written) +
                 "channel = \"outdoor.1.discharge_temperature\"\nunit = " +
                 toml_text(column.unit_text.empty() ? "degC" : column.unit_text));
  out += below;
}

}  // namespace

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : as_utf8(text)) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (byte < 0x20 || byte == 0x7F) {
      char buffer[8];
      std::snprintf(buffer, sizeof buffer, "\\u%04X", byte);
      out += buffer;
    } else {
      out += c;
    }
  }
  return out + "\"";
}

std::string map_text(const Import& import) {
  std::string out =
      "# Proposed by coilwright inspect. Correct it, then give it with --map FILE.\n"
      "# Lines behind a comment sign are not in force (docs/user/maps.md).\n";
  Written written = headers_of(import);
  bool first = true;
  for (const FileSurvey& survey : import.surveys) {
    out += "\n" + comment("from " + survey.file + ", " + survey.format);
    for (const Observation& finding : survey.findings) {
      out +=
          comment("  " + finding.what + " (" + sure(finding.confidence) + "): " + finding.reason);
    }
    if (first) {
      add_clock(survey, out);
    } else {
      add_file_proposals(survey, out);
    }
    first = false;
    for (const ColumnSurvey& column : survey.columns) {
      if (column.role == "time" || column.role == "channel" || column.role == "empty") continue;
      const bool shared = written.files_with[column.header] > 1;
      if (written.columns.insert({column.header, shared ? survey.file : ""}).second) {
        add_column(survey, column, written, out);
      }
    }
  }
  return out;
}

}  // namespace cw
