#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace cw {

enum class Encoding {
  utf8,
  utf16_le,
  utf16_be,
  windows_1252,
  shift_jis,
  gb18030,
  euc_kr,  ///< with the extension that Korean systems write (code page 949)
  windows_1251
};

std::string_view name_of(Encoding encoding) noexcept;

/// What a file's bytes are written in, with the evidence.
struct EncodingGuess {
  Encoding encoding = Encoding::utf8;
  std::size_t skip = 0;     ///< leading NUL bytes and byte-order mark, not part of the text
  std::size_t nuls = 0;     ///< of which NUL bytes
  double confidence = 1.0;  ///< 0..1
  std::string reason;
};

/// Guesses the encoding from marks and byte patterns: a byte-order mark, NULs at every second byte,
/// valid UTF-8, byte pairs of Shift-JIS, of GB18030 and of EUC-KR, whole words of Cyrillic; what is
/// left is Windows-1252, which contains Latin-1's printable part. Looks at the first 4 MB.
EncodingGuess guess_encoding(std::string_view bytes);

/// The encoding with this name, as maps spell it ("utf-8", "utf-16", "windows-1252", "latin-1",
/// "shift-jis", "gb18030", "gbk", "euc-kr", "windows-1251"). Empty for an unknown name.
std::optional<Encoding> encoding_named(std::string_view name);

/// Text as UTF-8. Where the file is UTF-8 already the view points into its bytes; nothing is
/// copied. Bytes that are no character become U+FFFD.
class Text {
 public:
  static Text view_of(std::string_view bytes) { return Text(bytes, {}, false); }
  static Text owning(std::string text) { return Text({}, std::move(text), true); }

  std::string_view view() const noexcept { return owns_ ? std::string_view(owned_) : view_; }

 private:
  Text(std::string_view view, std::string owned, bool owns)
      : view_(view), owned_(std::move(owned)), owns_(owns) {}

  std::string_view view_;
  std::string owned_;
  bool owns_ = false;
};

/// @error unsupported  the system's iconv does not know the encoding
Result<Text> decode(std::string_view bytes, const EncodingGuess& guess);

/// Is every byte sequence valid UTF-8?
bool is_utf8(std::string_view text) noexcept;

/// The text with each invalid byte replaced by U+FFFD: what may go into JSON and on a terminal.
std::string as_utf8(std::string_view text);

/// A header or word as it is compared: soft hyphens, zero-width blanks and byte-order marks go,
/// every kind of blank becomes one plain blank, ends are trimmed.
std::string tidy_label(std::string_view text);

}  // namespace cw
