#include "cli/report_files.h"

#include <cstdio>

#include "base/file.h"
#include "cli/print_pdf.h"

namespace cw::cli {

Status check_report_files(const Arguments& arguments) {
  for (const char* flag : {"--html", "--pdf"}) {
    const auto file = arguments.value(flag);
    if (!file) continue;
    for (const std::string& path : arguments.positional) {
      std::error_code error;
      if (std::filesystem::equivalent(*file, path, error) && !error) {
        return Error{ErrorCode::invalid_argument,
                     "the report would overwrite the recording " + path, flag,
                     "Name another file for the report"};
      }
    }
  }
  return Done{};
}

Result<Paper> read_paper(const Arguments& arguments, UnitSystem units) {
  const auto text = arguments.value("--paper");
  if (!text) return units == UnitSystem::ip ? Paper::letter : Paper::a4;
  if (*text == "a4") return Paper::a4;
  if (*text == "letter") return Paper::letter;
  return Error{ErrorCode::invalid_argument, "\"" + *text + "\" is no paper", "--paper",
               "Use a4 or letter"};
}

Status write_reports(const Arguments& arguments, const CheckReport& report) {
  const auto html = arguments.value("--html");
  const auto pdf = arguments.value("--pdf");
  if (!html && !pdf) return Done{};
  const std::string page = check_html(report);
  if (html) {
    if (Status s = write_file(*html, page); !s) return s.error();
    std::fprintf(stderr, "Report written to %s\n", html->c_str());
  }
  if (pdf) {
    if (Status s = print_pdf(page, *pdf); !s) return s.error();
    std::fprintf(stderr, "Report printed to %s\n", pdf->c_str());
  }
  return Done{};
}

}  // namespace cw::cli
