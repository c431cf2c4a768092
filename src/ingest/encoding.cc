#include "ingest/encoding.h"

#include <iconv.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>

#include "base/text.h"

namespace cw {
namespace {

constexpr std::size_t sample_size = 4U << 20U;
constexpr std::string_view replacement = "\xEF\xBF\xBD";

unsigned char byte_at(std::string_view text, std::size_t i) {
  return static_cast<unsigned char>(text[i]);
}

/// Length of the valid UTF-8 sequence at `i`, 0 when there is none.
std::size_t sequence_length(std::string_view text, std::size_t i) noexcept {
  const unsigned char lead = byte_at(text, i);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || i + length > text.size()) return 0;
  for (std::size_t k = 1; k < length; ++k) {
    if ((byte_at(text, i + k) & 0xC0U) != 0x80) return 0;
  }
  const unsigned char second = byte_at(text, i + 1);
  if ((lead == 0xE0 && second < 0xA0) || (lead == 0xED && second > 0x9F)) return 0;
  if ((lead == 0xF0 && second < 0x90) || (lead == 0xF4 && second > 0x8F)) return 0;
  return length;
}

void append_code_point(std::string& out, std::uint32_t c) {
  const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0U | (c >> 6U));
    put(0x80U | (c & 0x3FU));
  } else if (c < 0x10000) {
    put(0xE0U | (c >> 12U));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  } else {
    put(0xF0U | (c >> 18U));
    put(0x80U | ((c >> 12U) & 0x3FU));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  }
}

std::string from_utf16(std::string_view bytes, bool little) {
  std::string out;
  out.reserve(bytes.size() / 2 + 16);
  const auto unit = [&](std::size_t i) -> std::uint32_t {
    const std::uint32_t a = byte_at(bytes, i);
    const std::uint32_t b = byte_at(bytes, i + 1);
    return little ? a | (b << 8U) : (a << 8U) | b;
  };
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    std::uint32_t c = unit(i);
    if (c >= 0xD800 && c < 0xDC00 && i + 3 < bytes.size()) {
      const std::uint32_t low = unit(i + 2);
      if (low >= 0xDC00 && low < 0xE000) {
        c = 0x10000 + ((c - 0xD800) << 10U) + (low - 0xDC00);
        i += 2;
      }
    }
    if (c >= 0xD800 && c < 0xE000) c = 0xFFFD;
    append_code_point(out, c);
  }
  return out;
}

/// The 32 places where Windows-1252 differs from Latin-1 (Unicode's CP1252.TXT); 0 is undefined.
constexpr std::array<std::uint16_t, 32> windows_upper = {
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

std::string from_windows_1252(std::string_view bytes) {
  std::string out;
  out.reserve(bytes.size() + bytes.size() / 16);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    std::uint32_t c = byte_at(bytes, i);
    if (c >= 0x80 && c < 0xA0) {
      const std::uint32_t mapped = windows_upper[c - 0x80];
      c = mapped == 0 ? 0xFFFD : mapped;
    }
    append_code_point(out, c);
  }
  return out;
}

/// @param code  the encoding as iconv calls it
Result<std::string> from_other(std::string_view bytes, const char* code, Encoding encoding) {
  iconv_t handle = ::iconv_open("UTF-8", code);
  // NOLINTNEXTLINE: iconv_open reports failure as (iconv_t)-1.
  if (reinterpret_cast<std::intptr_t>(handle) == -1) {
    return Error{ErrorCode::unsupported,
                 "this system cannot convert " + std::string(name_of(encoding)), "",
                 "Save the file as UTF-8"};
  }
  std::string out(bytes.size() * 3 + 16, '\0');
  char* in = const_cast<char*>(bytes.data());
  std::size_t in_left = bytes.size();
  char* to = out.data();
  std::size_t out_left = out.size();
  while (in_left > 0) {
    if (::iconv(handle, &in, &in_left, &to, &out_left) != static_cast<std::size_t>(-1)) break;
    if (out_left < replacement.size()) break;
    std::memcpy(to, replacement.data(), replacement.size());
    to += replacement.size();
    out_left -= replacement.size();
    ++in;
    --in_left;
  }
  ::iconv_close(handle);
  out.resize(out.size() - out_left);
  return out;
}

struct PairCount {
  bool valid = true;
  std::size_t pairs = 0;       ///< two-byte characters with a lead of 81..9F
  std::size_t other_high = 0;  ///< all other bytes from 80 on, counted once a character
};

PairCount count_shift_jis(std::string_view text) {
  PairCount out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const unsigned char c = byte_at(text, i);
    if (c < 0x80) continue;
    if (c >= 0xA1 && c <= 0xDF) {
      ++out.other_high;
      continue;
    }
    if (i + 1 >= text.size()) break;
    const unsigned char d = byte_at(text, i + 1);
    const bool lead = (c >= 0x81 && c <= 0x9F) || (c >= 0xE0 && c <= 0xFC);
    const bool trail = d >= 0x40 && d <= 0xFC && d != 0x7F;
    if (!lead || !trail) {
      out.valid = false;
      return out;
    }
    ++(c <= 0x9F ? out.pairs : out.other_high);
    ++i;
  }
  return out;
}

/// Bytes above 127 as they follow each other. Western words have one or two among plain letters;
/// Chinese, Korean and Cyrillic words have nothing else.
struct HighRuns {
  std::size_t bytes = 0;
  std::size_t in_long_runs = 0;  ///< in runs of three and more
  std::size_t in_even_runs = 0;  ///< in runs of two, four and so on
  bool pairs = true;             ///< every run is made of lead and trail bytes of pairs
  std::size_t common = 0;        ///< pairs whose lead is B0..F7, where characters of words stand
  std::size_t late = 0;          ///< of these C9..F7
};

HighRuns count_runs(std::string_view text) {
  HighRuns out;
  std::size_t run = 0;
  const auto end_run = [&] {
    if (run >= 3) out.in_long_runs += run;
    if (run % 2 == 0) out.in_even_runs += run;
    run = 0;
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const unsigned char c = byte_at(text, i);
    if (c < 0x80) {
      end_run();
      continue;
    }
    ++out.bytes;
    ++run;
  }
  end_run();
  for (std::size_t i = 0; i + 1 < text.size() && out.pairs; ++i) {
    const unsigned char c = byte_at(text, i);
    if (c < 0x80) continue;
    const unsigned char d = byte_at(text, ++i);
    // A character of four bytes has a digit as its second and fourth.
    const bool four = d >= '0' && d <= '9' && i + 2 < text.size() && byte_at(text, i + 1) > 0x80 &&
                      byte_at(text, i + 2) >= '0' && byte_at(text, i + 2) <= '9';
    out.pairs = c > 0x80 && c < 0xFF && (four || (d >= 0x40 && d != 0x7F && d < 0xFF));
    if (four) i += 2;
    if (c >= 0xB0 && c <= 0xF7) ++out.common;
    if (c >= 0xC9 && c <= 0xF7) ++out.late;
  }
  return out;
}

/// Chinese, Korean or Russian; empty where the text has western words.
std::optional<EncodingGuess> guess_by_runs(std::string_view head) {
  const HighRuns runs = count_runs(head);
  // A year, month and day among digits are pairs alone; accents of western words are single.
  const bool paired = runs.pairs && runs.in_even_runs * 10 >= runs.bytes * 9;
  const bool in_words = runs.in_long_runs * 10 >= runs.bytes * 6;
  if (runs.in_long_runs < 6 || (!paired && !in_words)) return std::nullopt;
  EncodingGuess out;
  if (runs.pairs) {
    // Syllables of Korean words have leads up to C8; a third of the common characters of Chinese,
    // which stand in the order of their sounds, have later ones (GB/T 2312, KS X 1001).
    const bool chinese = runs.late * 10 >= runs.common;
    out.encoding = chinese ? Encoding::gb18030 : Encoding::euc_kr;
    out.confidence = 0.75;
    out.reason = std::string("not UTF-8; words are byte pairs, as common in ") +
                 (chinese ? "Chinese" : "Korean");
    return out;
  }
  out.encoding = Encoding::windows_1251;
  out.confidence = 0.7;
  out.reason = "not UTF-8; whole words of bytes above 127, as in Cyrillic";
  return out;
}

/// Text in UTF-16 without a mark: most of its characters are ASCII, so every second byte is NUL.
std::optional<EncodingGuess> guess_unmarked_utf16(std::string_view head) {
  std::array<std::size_t, 2> nuls{};
  for (std::size_t i = 0; i < head.size(); ++i) nuls[i % 2] += head[i] == '\0' ? 1U : 0U;
  const std::size_t half = head.size() / 2;
  if (half < 8) return std::nullopt;
  for (const std::size_t side : {std::size_t{0}, std::size_t{1}}) {
    if (nuls[side] * 10 > half * 6 && nuls[1 - side] * 20 < half) {
      return EncodingGuess{side == 1 ? Encoding::utf16_le : Encoding::utf16_be, 0, 0, 0.9,
                           "every second byte is zero, as in UTF-16 without a mark"};
    }
  }
  return std::nullopt;
}

}  // namespace

std::string_view name_of(Encoding encoding) noexcept {
  switch (encoding) {
    case Encoding::utf8:
      return "UTF-8";
    case Encoding::utf16_le:
      return "UTF-16 little-endian";
    case Encoding::utf16_be:
      return "UTF-16 big-endian";
    case Encoding::windows_1252:
      return "Windows-1252";
    case Encoding::shift_jis:
      return "Shift-JIS";
    case Encoding::gb18030:
      return "GB18030";
    case Encoding::euc_kr:
      return "EUC-KR";
    case Encoding::windows_1251:
      return "Windows-1251";
  }
  return "UTF-8";
}

std::optional<Encoding> encoding_named(std::string_view name) {
  struct Row {
    const char* name;
    Encoding encoding;
  };
  constexpr std::array rows = {Row{"utf8", Encoding::utf8},
                               Row{"utf16", Encoding::utf16_le},
                               Row{"utf16le", Encoding::utf16_le},
                               Row{"utf16littleendian", Encoding::utf16_le},
                               Row{"utf16be", Encoding::utf16_be},
                               Row{"utf16bigendian", Encoding::utf16_be},
                               Row{"windows1252", Encoding::windows_1252},
                               Row{"latin1", Encoding::windows_1252},
                               Row{"iso88591", Encoding::windows_1252},
                               Row{"shiftjis", Encoding::shift_jis},
                               Row{"gb18030", Encoding::gb18030},
                               Row{"gbk", Encoding::gb18030},
                               Row{"gb2312", Encoding::gb18030},
                               Row{"euckr", Encoding::euc_kr},
                               Row{"cp949", Encoding::euc_kr},
                               Row{"windows1251", Encoding::windows_1251}};
  std::string folded = to_lower(name);
  std::erase_if(folded, [](char c) { return c == '-' || c == ' ' || c == '_'; });
  for (const Row& row : rows) {
    if (folded == row.name) return row.encoding;
  }
  return std::nullopt;
}

bool is_utf8(std::string_view text) noexcept {
  for (std::size_t i = 0; i < text.size();) {
    std::uint64_t word = 0;
    while (i + 8 <= text.size()) {
      std::memcpy(&word, text.data() + i, 8);
      if ((word & 0x8080808080808080ULL) != 0) break;
      i += 8;
    }
    if (i >= text.size()) break;
    const std::size_t length = sequence_length(text, i);
    if (length == 0) return false;
    i += length;
  }
  return true;
}

EncodingGuess guess_encoding(std::string_view bytes) {
  EncodingGuess out;
  while (out.nuls < bytes.size() && bytes[out.nuls] == '\0') ++out.nuls;
  // One NUL in front may be the first half of UTF-16 text.
  if (out.nuls == 1) out.nuls = 0;
  out.skip = out.nuls;
  const std::string_view rest = bytes.substr(out.skip);
  const auto marked = [&](Encoding encoding, std::size_t mark) {
    out.encoding = encoding;
    out.skip += mark;
    out.reason = "byte-order mark";
    return out;
  };
  if (rest.starts_with("\xEF\xBB\xBF")) return marked(Encoding::utf8, 3);
  if (rest.starts_with("\xFF\xFE")) return marked(Encoding::utf16_le, 2);
  if (rest.starts_with("\xFE\xFF")) return marked(Encoding::utf16_be, 2);
  if (const auto wide = guess_unmarked_utf16(bytes.substr(0, 65536))) return *wide;
  std::string_view head = rest.substr(0, sample_size);
  // The sample may end inside a character.
  for (int i = 0; i < 4 && head.size() < rest.size() && !head.empty(); ++i) {
    if (sequence_length(rest, head.size() - 1) == 1) break;
    head.remove_suffix(1);
  }
  if (is_utf8(head)) {
    const bool plain = std::none_of(head.begin(), head.end(),
                                    [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
    out.reason = plain ? "plain ASCII" : "valid UTF-8";
    return out;
  }
  const PairCount pairs = count_shift_jis(head);
  if (pairs.valid && pairs.pairs >= 2 && pairs.pairs >= pairs.other_high) {
    out.encoding = Encoding::shift_jis;
    out.confidence = 0.85;
    out.reason = "not UTF-8; every byte pair is a Shift-JIS character";
    return out;
  }
  if (std::optional<EncodingGuess> other = guess_by_runs(head)) {
    other->skip = out.skip;
    other->nuls = out.nuls;
    return *other;
  }
  out.encoding = Encoding::windows_1252;
  out.confidence = 0.8;
  out.reason = "not UTF-8; single bytes above 127 as in Windows-1252 and Latin-1";
  return out;
}

Result<Text> decode(std::string_view bytes, const EncodingGuess& guess) {
  const std::string_view rest = bytes.substr(std::min(guess.skip, bytes.size()));
  const auto other = [&](const char* code) -> Result<Text> {
    Result<std::string> text = from_other(rest, code, guess.encoding);
    if (!text) return text.error();
    return Text::owning(std::move(*text));
  };
  switch (guess.encoding) {
    case Encoding::utf8:
      return Text::view_of(rest);
    case Encoding::utf16_le:
      return Text::owning(from_utf16(rest, true));
    case Encoding::utf16_be:
      return Text::owning(from_utf16(rest, false));
    case Encoding::windows_1252:
      return Text::owning(from_windows_1252(rest));
    case Encoding::shift_jis:
      return other("CP932");
    case Encoding::gb18030:
      return other("GB18030");
    case Encoding::euc_kr:
      return other("CP949");
    case Encoding::windows_1251:
      return other("CP1251");
  }
  return Text::view_of(rest);
}

std::string as_utf8(std::string_view text) {
  if (is_utf8(text)) return std::string(text);
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text, i);
    if (length == 0) {
      out += replacement;
      ++i;
    } else {
      out += text.substr(i, length);
      i += length;
    }
  }
  return out;
}

std::string tidy_label(std::string_view text) {
  // Nearly every cell is plain: printable ASCII without two blanks in a row.
  bool plain = true;
  char before = 'x';
  for (const char c : text) {
    plain = plain && c >= ' ' && (c != ' ' || before != ' ');
    before = c;
  }
  if (plain) return std::string(trim(text));
  // no-break blank, figure blank, narrow no-break blank, ideographic blank
  constexpr std::array blanks = {"\xC2\xA0", "\xE2\x80\x87", "\xE2\x80\xAF", "\xE3\x80\x80"};
  // soft hyphen, zero-width blank, zero-width no-break blank
  constexpr std::array nothing = {"\xC2\xAD", "\xE2\x80\x8B", "\xEF\xBB\xBF"};
  std::string out;
  while (!text.empty()) {
    // A degree sign or a no-break blank in UTF-8 that was once taken for Latin-1 and written anew.
    if (text.starts_with("\xC3\x82\xC2\xB0") || text.starts_with("\xC3\x82\xC2\xA0")) {
      text.remove_prefix(2);
    }
    const auto starts = [&](const char* piece) { return text.starts_with(piece); };
    const auto blank = std::find_if(blanks.begin(), blanks.end(), starts);
    const auto gone = std::find_if(nothing.begin(), nothing.end(), starts);
    if (gone != nothing.end()) {
      text.remove_prefix(std::string_view(*gone).size());
      continue;
    }
    char c = text.front();
    if (blank != blanks.end()) {
      text.remove_prefix(std::string_view(*blank).size());
      c = ' ';
    } else {
      text.remove_prefix(1);
      if (c == '\t' || c == '\n' || c == '\r') c = ' ';
    }
    if (c == ' ' && (out.empty() || out.back() == ' ')) continue;
    out += c;
  }
  return std::string(trim(out));
}

}  // namespace cw
