#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "server/http.h"

namespace cw::server {

/// The status that an error of the program has: what was understood and refused is 422, what is
/// not there 404.
int status_of(ErrorCode code) noexcept;

/// `{"code": ..., "message": ..., "where": ..., "fix": ...}`.
std::string error_json(const Error& error);

/// The body of every refusal (docs/design/workbench.md).
Response error_response(int status, const Error& error);
Response error_response(const Error& error);

/// 400 for a body that is not the JSON object that the route asks for.
Response bad_body();

/// JSON text as it stands.
Response json_response(std::string text, int status = 200);
/// A page of ours for a frame: no script may run in it.
Response page_response(std::string html);
Response text_response(std::string text);
Response nothing_response(int status = 204);

/// A text in JSON's quotes; what is not UTF-8 becomes U+FFFD.
std::string json_text(std::string_view text);

}  // namespace cw::server
