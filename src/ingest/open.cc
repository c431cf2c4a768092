#include "ingest/open.h"

#include <algorithm>

namespace cw {
namespace {

/// Refuses what is plainly no text. Looks at the first 64 kB.
Status check_is_text(std::string_view text) {
  const std::string_view head = text.substr(0, 65536);
  const auto control = static_cast<std::size_t>(std::count_if(head.begin(), head.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 && c != '\n' && c != '\r' && c != '\t' && c != '\x1f';
  }));
  if (head.find('\0') != std::string_view::npos || control * 50 > head.size()) {
    return Error{ErrorCode::unreadable, "the file is binary, not text", "",
                 "Export the recording as CSV text"};
  }
  return Done{};
}

Result<OpenedText> open_plain(std::string_view bytes, const std::string& name,
                              const OpenOptions& options) {
  EncodingGuess guess = guess_encoding(bytes);
  if (options.encoding && guess.reason != "byte-order mark") {
    guess.encoding = *options.encoding;
    guess.confidence = 1.0;
    guess.reason = "the map says so";
  }
  Result<Text> text = decode(bytes, guess);
  if (!text) return text.error();
  if (text->view().empty()) {
    return Error{ErrorCode::unreadable, "the file has nothing but zero bytes", "",
                 "Export the recording again"};
  }
  if (Status s = check_is_text(text->view()); !s) return s.error();
  OpenedText out{name, "delimited text", std::move(*text), {}, {}};
  out.findings.push_back({std::string(name_of(guess.encoding)), guess.confidence, guess.reason});
  if (guess.nuls > 0) {
    out.assumptions.push_back(std::to_string(guess.nuls) +
                              " zero bytes stand before the text; they were passed over.");
  }
  return out;
}

}  // namespace

Result<std::vector<OpenedText>> open_texts(std::string_view bytes, const std::string& name,
                                           const OpenOptions& options) {
  Result<OpenedText> text = open_plain(bytes, name, options);
  if (!text) return text.error();
  std::vector<OpenedText> out;
  out.push_back(std::move(*text));
  return out;
}

}  // namespace cw
