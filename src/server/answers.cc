#include "server/answers.h"

#include <nlohmann/json.hpp>

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* paper_policy =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'self'";

}  // namespace

int status_of(ErrorCode code) noexcept { return code == ErrorCode::not_found ? 404 : 422; }

std::string error_json(const Error& error) {
  const Json out = {{"code", name_of(error.code)},
                    {"message", error.message},
                    {"where", error.where},
                    {"fix", error.fix}};
  return out.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Response error_response(int status, const Error& error) {
  return json_response("{\"error\":" + error_json(error) + "}\n", status);
}

Response error_response(const Error& error) { return error_response(status_of(error.code), error); }

Response bad_body() {
  return error_response(400, {ErrorCode::parse, "the body is no such JSON object as is asked here",
                              "", "docs/design/workbench.md shows it"});
}

Response json_response(std::string text, int status) {
  Response out;
  out.status = status;
  out.content_type = "application/json; charset=utf-8";
  out.body = std::move(text);
  return out;
}

Response page_response(std::string html) {
  Response out;
  out.content_type = "text/html; charset=utf-8";
  out.body = std::move(html);
  out.policy = paper_policy;
  return out;
}

Response text_response(std::string text) {
  Response out;
  out.content_type = "text/plain; charset=utf-8";
  out.body = std::move(text);
  return out;
}

Response nothing_response(int status) {
  Response out;
  out.status = status;
  return out;
}

std::string json_text(std::string_view text) {
  return Json(std::string(text)).dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace cw::server
