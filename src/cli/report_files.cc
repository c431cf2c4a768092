#include "cli/report_files.h"

#include <cstdio>

#include "base/file.h"
#include "print/print_pdf.h"

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
    Result<std::string> printed = print::print_pdf(page);
    if (!printed) {
      Error error = printed.error();
      error.fix += "; or write --html and print it from any browser";
      return error;
    }
    if (Status s = write_file(*pdf, *printed); !s) return s.error();
    std::fprintf(stderr, "Report printed to %s\n", pdf->c_str());
  }
  return Done{};
}

}  // namespace cw::cli
