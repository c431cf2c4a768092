#include <nlohmann/json.hpp>

#include "print/print_pdf.h"
#include "server/answers.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

constexpr std::uint64_t most_page = std::uint64_t{16} << 20U;  ///< of a page to print [bytes]

/// What a person in a browser can do, who does not sit at this machine perhaps.
Error with_remedy(Error error) {
  if (error.code == ErrorCode::invalid_argument) return error;
  error.fix = "Print from your browser instead: its print saves PDF, too. " + error.fix;
  return error;
}

/// The page that was sent; empty where the recording's own report is to be printed.
Result<std::string> page_of(const std::string& text) {
  const auto body = nlohmann::json::parse(text, nullptr, false);
  if (body.is_object() && body.empty()) return std::string();
  if (body.is_object() && body.size() == 1 && body.contains("page") && body["page"].is_string() &&
      !body["page"].get_ref<const std::string&>().empty()) {
    return body["page"].get<std::string>();
  }
  return Error{ErrorCode::parse, "the body is no page to print", "page",
               R"(Send {"page": "<!doctype html>..."}, or {} for the report as it is)"};
}

Response print(Workbench& workbench, Call& call) {
  const std::string id = call.parts.front();
  Result<std::string> page = page_of(call.request.body);
  if (!page) return error_response(400, page.error());
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const Result<Paper> paper = paper_of(call, *units);
  if (!paper) return error_response(400, paper.error());
  const Result<StoredRecording> recording = workbench.store->recording(id);
  if (!recording) return error_response(recording.error());
  const Result<std::string> browser = print::find_browser();
  if (!browser) return error_response(422, with_remedy(browser.error()));
  return workbench.start([&workbench, id, units = *units, paper = *paper,
                          page = std::move(*page)](Job& job) -> Result<std::string> {
    std::string html = page;
    if (html.empty()) {
      const Library::Found opened = workbench.library.open(id, units, workbench.watch(&job));
      if (!opened) return opened.error();
      CheckReport report = (*opened)->report();
      report.paper = paper;
      html = check_html(report);
    }
    const Result<std::string> made = workbench.prints.make(id, html, workbench.watch(&job));
    if (!made) return with_remedy(made.error());
    return "{\"print\":\"" + *made + "\"}";
  });
}

Response printed(Workbench& workbench, Call& call) {
  std::optional<std::string> pdf =
      workbench.prints.find(call.parts.front(), call.value("print").value_or(""));
  if (!pdf) {
    return error_response({ErrorCode::not_found, "this print is not kept any more", "print",
                           "Print the report again"});
  }
  Response out;
  out.content_type = "application/pdf";
  out.headers.emplace_back("Content-Disposition", "attachment");
  out.body = std::move(*pdf);
  return out;
}

constexpr Route routes[] = {
    {Method::post, "/api/recordings/{}/report.pdf", print, most_page},
    {Method::get, "/api/recordings/{}/report.pdf", printed},
};

}  // namespace

std::span<const Route> print_routes() { return routes; }

}  // namespace cw::server
