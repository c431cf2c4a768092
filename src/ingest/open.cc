#include "ingest/open.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/mail_text.h"
#include "ingest/delimited/side_by_side.h"
#include "ingest/delimited/single_quotes.h"
#include "ingest/delimited/times_across.h"
#include "ingest/fixed_width/fixed_width.h"
#include "ingest/haystack/haystack.h"
#include "ingest/json_lines/json_text.h"
#include "ingest/key_value/key_value.h"
#include "ingest/packed/unpack.h"
#include "ingest/workbook/workbook.h"

namespace cw {
namespace {

/// Without the escape sequences with which a terminal colours what it shows (ECMA-48: ESC, a
/// bracket, parameters, a letter). Empty where there are none.
std::optional<std::string> without_escapes(std::string_view text) {
  constexpr char escape = '\x1B';
  if (text.substr(0, 1U << 16U).find(escape) == std::string_view::npos) return std::nullopt;
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != escape || i + 1 >= text.size() || text[i + 1] != '[') {
      out += text[i];
      continue;
    }
    i += 2;
    while (i < text.size() && static_cast<unsigned char>(text[i]) >= 0x20 && text[i] < '@') ++i;
  }
  return out;
}

/// A table's rows as the statements that would put them into a database.
bool is_sql(std::string_view head) {
  LineCutter lines(head.substr(0, 8192));
  std::string_view line;
  int seen = 0;
  while (seen < 40 && lines.next(line)) {
    const std::string low = to_lower(trim(line.substr(0, 80)));
    if (low.empty() || low.starts_with("--") || low.starts_with("/*")) continue;
    ++seen;
    if (low.starts_with("insert into ") || low.starts_with("create table ") ||
        (low.starts_with("copy ") && low.find("from stdin") != low.npos)) {
      return true;
    }
  }
  return false;
}

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
  if (is_mail(head)) {
    return Error{ErrorCode::unsupported, "the file is a mail, which is not read", "",
                 "Open it and save what is attached to it, or the table in it as CSV text"};
  }
  if (is_sql(head)) {
    return Error{ErrorCode::unsupported, "the file is an SQL dump, which is not read", "",
                 "Export the table as CSV text"};
  }
  const std::string begin = to_lower(trim(head.substr(0, 1000)));
  if (begin.starts_with("{\\rtf")) {
    return Error{ErrorCode::unsupported, "the file is a letter (RTF), which is not read", "",
                 "Open it and save the table in it as plain text"};
  }
  for (const char* mark : {"<!doctype html", "<html", "<table", "<head", "<body", "<meta"}) {
    if (!begin.starts_with(mark)) continue;
    return Error{ErrorCode::unsupported, "the file is a web page, which is not read", "",
                 "Open it in a spreadsheet and save the table as CSV or .xlsx"};
  }
  if (begin.starts_with("<")) {
    return Error{ErrorCode::unsupported, "the file is XML, which is not read", "",
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
  const std::size_t whole = bytes.size();
  // A logger that lost its power leaves the rest of its last block empty.
  const bool narrow = guess.encoding != Encoding::utf16_le && guess.encoding != Encoding::utf16_be;
  if (narrow) bytes = bytes.substr(0, bytes.find_last_not_of('\0') + 1);
  const std::size_t behind = whole - bytes.size();
  Result<Text> text = decode(bytes, guess);
  if (!text) return text.error();
  if (text->view().empty()) {
    return Error{ErrorCode::unreadable, "the file has nothing but zero bytes", "",
                 "Export the recording again"};
  }
  std::optional<std::string> plain = without_escapes(text->view());
  if (plain) text = Text::owning(std::move(*plain));
  if (Status s = check_is_text(text->view()); !s) return s.error();
  OpenedText out{name, "delimited text", std::move(*text), {}, {}, {}};
  out.findings.push_back({std::string(name_of(guess.encoding)), guess.confidence, guess.reason});
  if (guess.nuls > 0) {
    out.assumptions.push_back(std::to_string(guess.nuls) +
                              " zero bytes stand before the text; they were passed over.");
  }
  if (behind > 0) {
    out.assumptions.push_back(std::to_string(behind) +
                              " zero bytes stand behind the text; they were passed over.");
  }
  if (plain) {
    out.findings.push_back({"a terminal's colours", 0.9, "escape sequences, which were taken out"});
  }
  return out;
}

/// Formats that are texts of their own kind become delimited text.
Status convert(OpenedText& opened) {
  const std::string_view text = opened.text.view();
  Result<ConvertedText> converted = ConvertedText{};
  bool same_lines = false;
  if (is_zinc(text)) {
    opened.format = "Haystack grid (Zinc)";
    converted = zinc_as_text(text);
  } else if (const std::string kind = json_kind(text); !kind.empty()) {
    opened.format = kind;
    converted = json_as_text(text, kind);
  } else if (std::optional<Result<ConvertedText>> named = key_values_as_text(text)) {
    opened.format = "lines of names and values";
    converted = std::move(*named);
  } else if (std::optional<ConvertedText> bare = without_single_quotes(text)) {
    same_lines = true;
    converted = std::move(*bare);
  } else if (std::optional<Result<ConvertedText>> turned = turned_over(text)) {
    converted = std::move(*turned);
  } else if (std::optional<std::string> columns = fixed_width_as_text(text)) {
    opened.format = "fixed-width text";
    same_lines = true;
    converted = ConvertedText{std::move(*columns), {}, {}, {}};
  } else {
    return Done{};
  }
  if (!converted) return converted.error();
  opened.text = Text::owning(std::move(converted->text));
  opened.source = {same_lines, std::move(converted->line), std::move(converted->column_line)};
  if (!converted->finding.empty()) {
    opened.findings.push_back({converted->finding, 0.9, "most of the first lines are so"});
  }
  return Done{};
}

/// Have the pieces of lines with a lone \r in them about as many delimiters as the lines around? A
/// header cell that goes over several lines has fewer on one side.
bool are_pieces_rows(std::string_view head) {
  constexpr std::string_view delimiters = ",;\t|";
  std::array<std::ptrdiff_t, delimiters.size()> times{};
  for (std::size_t i = 0; i < times.size(); ++i) {
    times[i] = std::count(head.begin(), head.end(), delimiters[i]);
  }
  const char delimiter = delimiters[static_cast<std::size_t>(
      std::max_element(times.begin(), times.end()) - times.begin())];
  const auto cuts = [&](std::string_view line) {
    return std::count(line.begin(), line.end(), delimiter);
  };
  std::ptrdiff_t usual = 0;
  std::vector<std::ptrdiff_t> pieces;
  LineCutter lines(head, '\n');
  std::string_view line;
  while (lines.next(line)) {
    if (trim(line).empty()) continue;
    if (line.find('\r') == std::string_view::npos) {
      usual = std::max(usual, cuts(line));
      continue;
    }
    for (std::size_t at = 0; at <= line.size();) {
      const std::size_t end = std::min(line.find('\r', at), line.size());
      if (end > at) pieces.push_back(cuts(line.substr(at, end - at)));
      at = end + 1;
    }
  }
  return usual > 0 && std::all_of(pieces.begin(), pieces.end(), [&](std::ptrdiff_t n) {
           return n * 10 >= usual * 8 && n * 10 <= usual * 12;
         });
}

/// Line ends of several systems in one text, as of files that were put behind each other: a lone
/// \r among \n ends a line, too. Empty where the head shows none.
std::optional<std::string> with_one_line_end(std::string_view text) {
  const std::string_view head = text.substr(0, 1U << 18U);
  const auto is_lone = [&](std::size_t at) {
    return at + 1 < text.size() && text[at + 1] != '\n' && text[at + 1] != '\r';
  };
  if (head.find('\n') == std::string_view::npos) return std::nullopt;
  std::size_t lone = head.find('\r');
  while (lone != std::string_view::npos && !is_lone(lone)) lone = head.find('\r', lone + 1);
  // Within quotes it is part of a remark.
  if (lone == std::string_view::npos || head.find('"') != std::string_view::npos) {
    return std::nullopt;
  }
  if (!are_pieces_rows(head)) return std::nullopt;
  std::string out(text);
  for (std::size_t at = out.find('\r'); at != std::string::npos; at = out.find('\r', at + 1)) {
    if (is_lone(at)) out[at] = '\n';
  }
  return out;
}

/// The lines of a text as other programs spoil them: put right line for line.
void tidy_lines(OpenedText& opened) {
  if (auto text = with_one_line_end(opened.text.view())) {
    opened.text = Text::owning(std::move(*text));
    opened.findings.push_back({"line ends of several kinds", 0.9, "\\r stands alone among \\n"});
  }
  if (auto text = without_reply_marks(opened.text.view())) {
    opened.text = Text::owning(std::move(*text));
    opened.findings.push_back({"an answer to a mail", 0.9, "most lines begin with \">\""});
  }
}

Result<OpenedText> open_one(std::string_view bytes, const std::string& name,
                            const OpenOptions& options) {
  Result<OpenedText> text = open_plain(bytes, name, options);
  if (!text) return text.error();
  tidy_lines(*text);
  if (Status s = convert(*text); !s) return s.error();
  return text;
}

/// A text that was unpacked must outlive the view that decoding may have made of it.
Result<OpenedText> open_owned(std::string bytes, const std::string& name,
                              const OpenOptions& options) {
  Result<OpenedText> text = open_one(bytes, name, options);
  if (!text) return text.error();
  const std::string_view view = text->text.view();
  const bool inside = view.data() >= bytes.data() && view.data() <= bytes.data() + bytes.size();
  if (inside) {
    bytes.erase(0, static_cast<std::size_t>(view.data() - bytes.data()));
    text->text = Text::owning(std::move(bytes));
  }
  return text;
}

Result<OpenedText> open_sheet(ZipArchive& archive, const std::string& name,
                              const std::string& wanted) {
  Result<SheetText> sheet = read_workbook(archive, wanted);
  if (!sheet) return sheet.error();
  if (sheet->text.empty()) {
    return Error{ErrorCode::unreadable, "the sheet \"" + sheet->name + "\" is empty", "",
                 "Say another sheet in a map, [file] sheet = \"...\""};
  }
  OpenedText out{
      name, "workbook, sheet \"" + sheet->name + "\"", Text::owning(std::move(sheet->text)), {}, {},
      {}};
  out.findings.push_back({"sheet \"" + sheet->name + "\"", wanted.empty() ? 0.8 : 1.0,
                          wanted.empty() ? "it has most numbers" : "the map says so"});
  if (!sheet->others.empty() && wanted.empty()) {
    out.assumptions.push_back("The sheet \"" + sheet->name +
                              "\" was read; there are also: " + list_of(sheet->others) +
                              ". Say another in a map, [file] sheet = \"...\", or several, sheet = "
                              "[\"...\", \"...\"].");
  }
  return out;
}

Result<std::vector<OpenedText>> open_workbook(ZipArchive& archive, const std::string& name,
                                              const OpenOptions& options) {
  std::vector<std::string> wanted = options.sheets;
  if (wanted.empty()) wanted.emplace_back();
  std::vector<OpenedText> texts;
  for (const std::string& sheet : wanted) {
    Result<OpenedText> text = open_sheet(archive, name, sheet);
    if (!text) return text.error();
    if (wanted.size() > 1) text->name += " " + sheet;
    texts.push_back(std::move(*text));
  }
  return texts;
}

struct Known {
  std::string_view mark;
  const char* what;
  const char* fix;
};

/// Formats that are known by their first bytes and not read.
constexpr std::array known_formats = {
    Known{"\xD0\xCF\x11\xE0", "an old binary spreadsheet (.xls)", "Save it as .xlsx or CSV"},
    Known{"%PDF", "a PDF", "Ask for the numbers as CSV"},
    Known{"SQLite format 3", "an SQLite database", "Export its table as CSV"},
    Known{"PAR1", "a Parquet file", "Export it as CSV"},
    Known{"Rar!", "a RAR archive", "Unpack it and give the text files"},
    Known{"7z\xBC\xAF", "a 7z archive", "Unpack it and give the text files"},
    Known{"BZh", "bzip2 data", "Unpack it and give the text file"},
    Known{"\xFD"
          "7zXZ",
          "xz data", "Unpack it and give the text file"},
    Known{"\x89PNG", "a picture", "Give the recording itself"}};

/// A member's name without its folders, unless another one is called the same.
std::string name_in_archive(const std::string& member, const std::vector<std::string>& members) {
  const auto bare = [](const std::string& path) {
    const std::size_t slash = path.rfind('/');
    return slash == std::string::npos ? path : path.substr(slash + 1);
  };
  const std::string name = bare(member);
  const auto same = std::count_if(members.begin(), members.end(), [&](const std::string& other) {
    return bare(other) == name && !other.starts_with("__MACOSX");
  });
  return same > 1 ? member : name;
}

/// A file of an archive, which may be packed itself.
Result<OpenedText> open_member(std::string bytes, const std::string& name,
                               const OpenOptions& options) {
  if (is_zip(bytes)) {
    return Error{ErrorCode::unsupported, "an archive or workbook within the archive", name,
                 "Unpack the archive and give the files in it"};
  }
  for (const Known& known : known_formats) {
    if (bytes.starts_with(known.mark)) {
      return Error{ErrorCode::unsupported,
                   std::string("the file is ") + known.what + ", which is not read", name,
                   known.fix};
    }
  }
  if (!is_gzip(bytes) && !is_zstd(bytes)) return open_owned(std::move(bytes), name, options);
  Result<std::string> unpacked = is_gzip(bytes) ? unpack_gzip(bytes) : unpack_zstd(bytes);
  if (!unpacked) return unpacked.error();
  return open_owned(std::move(*unpacked), name, options);
}

Result<std::vector<OpenedText>> open_archive(std::string_view bytes, const std::string& name,
                                             const OpenOptions& options) {
  Result<ZipArchive> archive = ZipArchive::open(bytes);
  if (!archive) return archive.error();
  if (is_workbook(*archive)) return open_workbook(*archive, name, options);
  if (archive->has("content.xml") && archive->has("mimetype")) {
    return Error{ErrorCode::unsupported, "the file is an OpenDocument file, which is not read", "",
                 "Save the sheet as .xlsx or CSV"};
  }
  std::vector<OpenedText> out;
  std::optional<Error> first_error;
  std::vector<std::string> unread;
  std::vector<std::string> members = archive->names();
  std::sort(members.begin(), members.end());
  for (const std::string& member : members) {
    if (member.empty() || member.back() == '/' || member.starts_with("__MACOSX")) continue;
    Result<std::string> unpacked = archive->read(member);
    // One that would fill memory, or a broken archive, ends the reading of all.
    if (!unpacked) return unpacked.error();
    if (unpacked->empty()) continue;
    const std::string shown = name_in_archive(member, members);
    Result<OpenedText> text = open_member(std::move(*unpacked), shown, options);
    if (!text) {
      if (!first_error) first_error = text.error();
      // What a system's file manager leaves there is nobody's recording.
      const bool hidden = shown.starts_with('.') || shown.find("/.") != shown.npos;
      if (!hidden) unread.push_back("\"" + shown + "\" (" + text.error().message + ")");
      continue;
    }
    text->format += " in " + name;
    out.push_back(std::move(*text));
  }
  if (out.empty()) {
    if (first_error) return *first_error;
    return Error{ErrorCode::unreadable, "the archive holds no files", "", "Pack it again"};
  }
  if (!unread.empty()) {
    out.front().assumptions.push_back(
        "Of the archive these files were not read: " + list_of(unread) + ".");
  }
  return out;
}

Result<std::vector<OpenedText>> open_whole_texts(std::string_view bytes, const std::string& name,
                                                 const OpenOptions& options) {
  for (const Known& known : known_formats) {
    if (bytes.starts_with(known.mark)) {
      return Error{ErrorCode::unsupported,
                   std::string("the file is ") + known.what + ", which is not read", "", known.fix};
    }
  }
  if (is_zip(bytes)) return open_archive(bytes, name, options);
  Result<OpenedText> text = Error{};
  if (is_gzip(bytes) || is_zstd(bytes)) {
    const bool gzip = is_gzip(bytes);
    Result<std::string> unpacked = gzip ? unpack_gzip(bytes) : unpack_zstd(bytes);
    if (!unpacked) return unpacked.error();
    text = open_owned(std::move(*unpacked), name, options);
    if (text) text->format += gzip ? ", gzip" : ", zstd";
  } else {
    text = open_one(bytes, name, options);
  }
  if (!text) return text.error();
  std::vector<OpenedText> out;
  out.push_back(std::move(*text));
  return out;
}

/// Tables beside each other become texts of their own.
void split_tables(std::vector<OpenedText>& texts) {
  std::vector<OpenedText> out;
  for (OpenedText& opened : texts) {
    std::vector<std::string> tables = tables_beside(opened.text.view());
    if (tables.empty()) {
      out.push_back(std::move(opened));
      continue;
    }
    const std::string count = std::to_string(tables.size());
    for (std::size_t i = 0; i < tables.size(); ++i) {
      const std::string number = std::to_string(i + 1);
      OpenedText table{opened.name + " table " + number,
                       opened.format + ", table " + number + " of " + count + " side by side",
                       Text::owning(std::move(tables[i])),
                       opened.findings,
                       {},
                       opened.source};
      if (i == 0) table.assumptions = opened.assumptions;
      out.push_back(std::move(table));
    }
  }
  texts = std::move(out);
}

}  // namespace

Result<std::vector<OpenedText>> open_texts(std::string_view bytes, const std::string& name,
                                           const OpenOptions& options) {
  Result<std::vector<OpenedText>> texts = open_whole_texts(bytes, name, options);
  if (texts) split_tables(*texts);
  return texts;
}

}  // namespace cw
