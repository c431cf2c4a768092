#include "cli/field_command.h"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <iostream>

#include "base/file.h"
#include "base/text.h"
#include "report/fieldwork_report.h"

namespace cw::cli {
namespace {

Result<field::Form> form_of(const Arguments& arguments, const FieldProcedure& procedure) {
  field::Form form;
  if (const auto file = arguments.value("--input")) {
    const Result<std::string> text = read_file(*file);
    if (!text) return text.error();
    Result<field::Form> read = field::read_form(*text, *file, procedure.questions);
    if (!read) return read.error();
    form = std::move(*read);
  }
  for (const field::Question& question : procedure.questions) {
    if (!arguments.has(question.flag)) continue;
    const std::vector<std::string> values = arguments.all(question.flag);
    // What is typed rules over the file.
    form.replace(question.flag, values.empty() ? std::string() : values.front());
    for (std::size_t i = 1; i < values.size(); ++i) form.add(question.flag, values[i]);
  }
  for (const std::string& text : arguments.positional) form.add(procedure.positional, text);
  return form;
}

/// Asks one question on stderr; false at the end of the input.
bool ask(const field::Question& question, field::Form& form) {
  std::fprintf(
      stderr, "%s\n  %s: ", std::string(question.help).c_str(),
      std::string(question.flag.starts_with("--") ? question.flag.substr(2) : question.flag)
          .c_str());
  std::string line;
  if (!std::getline(std::cin, line)) return false;
  const std::string answer(trim(line));
  if (!answer.empty()) form.replace(question.flag, answer);
  return true;
}

/// Questions one by one, then the procedure; what it refuses is asked again.
Result<field::FieldSheet> interview(const FieldProcedure& procedure, UnitSystem units) {
  field::Form form;
  std::fprintf(stderr, "Values with units, please; an empty line leaves a question out.\n");
  for (const field::Question& question : procedure.questions) {
    if (question.asked && !ask(question, form)) break;
  }
  for (;;) {
    Result<field::FieldSheet> sheet = procedure.run(form, units);
    if (sheet) return sheet;
    const auto again = std::find_if(
        procedure.questions.begin(), procedure.questions.end(),
        [&](const field::Question& question) { return question.flag == sheet.error().where; });
    if (again == procedure.questions.end()) return sheet;
    std::fprintf(stderr, "%s\n", sheet.error().text().c_str());
    if (!ask(*again, form)) return sheet;
  }
}

}  // namespace

std::vector<Flag> field_flags(std::span<const field::Question> questions) {
  std::vector<Flag> out;
  for (const field::Question& question : questions) {
    // The positional argument is a question of TOML files and of the workbench only.
    if (!question.flag.starts_with("--")) continue;
    out.push_back({question.flag, question.value_name, question.help, question.repeatable});
  }
  out.push_back(
      {"--input", "FILE", "TOML file with the same names (start-temperature = \"25 C\")"});
  out.push_back({"--units", "si|ip", "units in sentences and sheets (default si)"});
  out.push_back({"--json", "", "print JSON (SI: Pa absolute, K, kg, m3, fractions)"});
  out.push_back({"--html", "FILE", "write a sheet to print and sign, too"});
  return out;
}

int run_field(const Arguments& arguments, const FieldProcedure& procedure) {
  const Result<UnitSystem> units = arguments.units();
  if (!units) return report_error(units.error());
  const Result<field::Form> form = form_of(arguments, procedure);
  if (!form) return report_error(form.error());
  const bool asks = form->empty() && ::isatty(STDIN_FILENO) != 0;
  const Result<field::FieldSheet> sheet =
      asks ? interview(procedure, *units) : procedure.run(*form, *units);
  if (!sheet) return report_error(sheet.error());
  if (const auto file = arguments.value("--html")) {
    if (Status s = write_file(*file, field_html(*sheet, *units, local_day())); !s) {
      return report_error(s.error());
    }
    std::fprintf(stderr, "Sheet written to %s\n", file->c_str());
  }
  print(arguments.has("--json")
            ? field_json(*sheet)
            : field_text(*sheet, *units, terminal_width(), stdout_has_colour()));
  return ExitCode::ran;
}

}  // namespace cw::cli
