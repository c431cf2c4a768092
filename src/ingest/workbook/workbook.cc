#include "ingest/workbook/workbook.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <map>

#include "base/instant.h"
#include "base/text.h"
#include "ingest/cell_text.h"
#include "ingest/workbook/xml.h"

namespace cw {
namespace {

enum class Shows : std::uint8_t { number, percent, date, time, date_time };

struct Book {
  std::vector<std::string> strings;
  std::vector<Shows> styles;  ///< by cell style number
  double epoch = 25569.0;     ///< serial number of 1970-01-01
  struct Sheet {
    std::string name;
    std::string path;
    bool hidden = false;
  };
  std::vector<Sheet> sheets;
};

/// What a number format shows: letters of dates and times outside quotes and brackets.
Shows shown_by(std::string_view format) {
  bool date = false;
  bool time = false;
  bool percent = false;
  bool quoted = false;
  int brackets = 0;
  std::string letters;
  for (std::size_t i = 0; i < format.size(); ++i) {
    const char c = format[i];
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '\\' || c == '_' || c == '*') {
      ++i;
      continue;
    }
    // "[h]:mm" is a time, "[Red]" and "[$-409]" are not.
    if (c == '[') {
      const bool elapsed = i + 1 < format.size() &&
                           (format[i + 1] == 'h' || format[i + 1] == 'm' || format[i + 1] == 's');
      if (!elapsed) ++brackets;
      continue;
    }
    if (c == ']') {
      brackets = std::max(0, brackets - 1);
      continue;
    }
    if (brackets > 0) continue;
    if (c == ';') break;
    percent = percent || c == '%';
    date = date || c == 'y' || c == 'Y' || c == 'd' || c == 'D';
    time = time || c == 'h' || c == 'H' || c == 's' || c == 'S';
  }
  if (date && time) return Shows::date_time;
  return date ? Shows::date : time ? Shows::time : percent ? Shows::percent : Shows::number;
}

/// The built-in formats of ECMA-376 part 1, 18.8.30.
Shows builtin(int id) {
  if (id >= 14 && id <= 17) return Shows::date;
  if ((id >= 18 && id <= 21) || (id >= 45 && id <= 47)) return Shows::time;
  if (id == 22) return Shows::date_time;
  if (id == 9 || id == 10) return Shows::percent;
  return Shows::number;
}

int whole(std::string_view text) {
  int value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

Status read_strings(ZipArchive& archive, Book& book) {
  const std::string name = "xl/sharedStrings.xml";
  if (!archive.has(name)) return Done{};
  const Result<std::string> xml = archive.read(name);
  if (!xml) return xml.error();
  bool in_text = false;
  int phonetic = 0;
  XmlVisitor v;
  v.begin = [&](std::string_view element, const auto&) {
    if (element == "si") book.strings.emplace_back();
    if (element == "rPh") ++phonetic;
    in_text = element == "t" && phonetic == 0;
  };
  v.end = [&](std::string_view element) {
    if (element == "rPh") --phonetic;
    in_text = false;
  };
  v.text = [&](std::string_view text) {
    if (in_text && !book.strings.empty()) book.strings.back() += text;
  };
  return walk_xml(*xml, v);
}

Status read_styles(ZipArchive& archive, Book& book) {
  const std::string name = "xl/styles.xml";
  if (!archive.has(name)) return Done{};
  const Result<std::string> xml = archive.read(name);
  if (!xml) return xml.error();
  std::map<int, Shows> own;
  bool in_cells = false;
  XmlVisitor v;
  v.begin = [&](std::string_view element, const XmlVisitor::Attributes& a) {
    if (element == "numFmt") {
      own[whole(attribute(a, "numFmtId"))] = shown_by(attribute(a, "formatCode"));
    }
    if (element == "cellXfs") in_cells = true;
    if (element == "xf" && in_cells) {
      const int id = whole(attribute(a, "numFmtId"));
      const auto found = own.find(id);
      book.styles.push_back(found != own.end() ? found->second : builtin(id));
    }
  };
  v.end = [&](std::string_view element) {
    if (element == "cellXfs") in_cells = false;
  };
  return walk_xml(*xml, v);
}

Status read_sheet_list(ZipArchive& archive, Book& book) {
  const Result<std::string> links = archive.read("xl/_rels/workbook.xml.rels");
  if (!links) return links.error();
  std::map<std::string, std::string, std::less<>> targets;
  XmlVisitor v;
  v.begin = [&](std::string_view element, const XmlVisitor::Attributes& a) {
    if (element == "Relationship") {
      std::string target(attribute(a, "Target"));
      target = target.starts_with("/") ? target.substr(1) : "xl/" + target;
      targets.emplace(std::string(attribute(a, "Id")), std::move(target));
    }
  };
  if (Status s = walk_xml(*links, v); !s) return s;
  const Result<std::string> xml = archive.read("xl/workbook.xml");
  if (!xml) return xml.error();
  XmlVisitor w;
  w.begin = [&](std::string_view element, const XmlVisitor::Attributes& a) {
    if (element == "workbookPr") {
      const std::string_view early = attribute(a, "date1904");
      if (early == "1" || early == "true") book.epoch -= 1462.0;  // days from 1900 to 1904 dates
    }
    if (element != "sheet") return;
    const auto target = targets.find(attribute(a, "r:id"));
    if (target != targets.end()) {
      book.sheets.push_back({std::string(attribute(a, "name")), target->second,
                             attribute(a, "state").find("idden") != std::string_view::npos});
    }
  };
  return walk_xml(*xml, w);
}

/// A serial date as ISO text. Sheets store binary fractions of a day: a millisecond is enough.
std::string date_text(double serial, Shows shows, double epoch) {
  const auto ms = static_cast<std::int64_t>(std::llround((serial - epoch) * 86400e3));
  const CivilTime t = civil_of({ms});
  char buffer[80];
  // "[h]:mm" of some days is a span of time; a date of our days may be shown by its time alone.
  constexpr double longest_span = 10000.0;
  if (shows == Shows::time && serial >= 1.0 && serial < longest_span) {
    const auto second = static_cast<long>(std::llround(serial * 86400.0));
    std::snprintf(buffer, sizeof buffer, "%ld:%02ld:%02ld", second / 3600, second / 60 % 60,
                  second % 60);
  } else if (serial < 1.0) {
    std::snprintf(buffer, sizeof buffer, "%02d:%02d:%02d", t.hour, t.minute, t.second);
  } else if (shows == Shows::date && ms % 86400000 == 0) {
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d", t.year, t.month, t.day);
  } else if (t.millisecond == 0) {
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d %02d:%02d:%02d", t.year, t.month, t.day,
                  t.hour, t.minute, t.second);
  } else {
    std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d %02d:%02d:%02d.%03d", t.year, t.month,
                  t.day, t.hour, t.minute, t.second, t.millisecond);
  }
  return buffer;
}

/// A share as the sheet shows it: 0.45 as "45%". More than a sheet's 15 digits would be noise.
std::string percent_text(double share) {
  char buffer[40];
  std::snprintf(buffer, sizeof buffer, "%.15g%%", share * 100.0);
  return buffer;
}

/// "BC12": the column, from 0.
std::size_t column_of(std::string_view reference) {
  std::size_t column = 0;
  for (const char c : reference) {
    if (c < 'A' || c > 'Z') break;
    column = column * 26 + static_cast<std::size_t>(c - 'A' + 1);
  }
  return column == 0 ? 0 : column - 1;
}

/// Collects one sheet's cells into text.
class SheetReader {
 public:
  SheetReader(const Book& book, SheetText& out) : book_(book), out_(out) {}

  Status read(std::string_view xml) {
    most_ = most_text(xml.size());
    XmlVisitor v;
    v.begin = [&](std::string_view element, const XmlVisitor::Attributes& a) { begin(element, a); };
    v.end = [&](std::string_view element) { end(element); };
    v.text = [&](std::string_view text) {
      if (in_value_) value_ += text;
    };
    Status status = walk_xml(xml, v);
    if (status && text_.size() > most_) return too_wide();
    out_.text = text_.take();
    return status;
  }

 private:
  static constexpr std::size_t most_columns = 16384;  // the format's own limit

  void begin(std::string_view element, const XmlVisitor::Attributes& a) {
    if (text_.size() > most_) return;  // refused when the sheet ends
    if (element == "row") {
      const int number = whole(attribute(a, "r"));
      // Rows that are not stored are empty lines, so that line numbers are the sheet's.
      while (number > 0 && row_ + 1 < number && row_ < 1100000) {
        text_.end_row();
        ++row_;
      }
      ++row_;
      cells_.clear();
    } else if (element == "c") {
      const std::string_view reference = attribute(a, "r");
      column_ = reference.empty() ? cells_.size() : column_of(reference);
      type_ = attribute(a, "t");
      style_ = whole(attribute(a, "s"));
      value_.clear();
    } else if (element == "v" || element == "t") {
      in_value_ = true;
    }
  }

  void end(std::string_view element) {
    if (text_.size() > most_) return;
    if (element == "v" || element == "t") in_value_ = false;
    if (element == "c" && column_ < most_columns) put_cell();
    if (element == "row") {
      for (const std::string& cell : cells_) text_.cell(cell);
      text_.end_row();
    }
  }

  void put_cell() {
    if (value_.empty()) return;
    std::string text = value_;
    if (type_ == "s") {
      const auto index = static_cast<std::size_t>(std::max(0, whole(value_)));
      text = index < book_.strings.size() ? book_.strings[index] : std::string();
    } else if (type_ == "b") {
      text = value_ == "1" ? "true" : "false";
    } else if (type_.empty() || type_ == "n") {
      ++out_.numbers;
      const auto style = static_cast<std::size_t>(std::max(0, style_));
      const Shows shows = style < book_.styles.size() ? book_.styles[style] : Shows::number;
      double number = 0.0;
      if (shows == Shows::percent && read_number(value_, number)) {
        text = percent_text(number);
      } else if (shows != Shows::number && read_number(value_, number) && number >= 0 &&
                 number < 3e6) {
        text = date_text(number, shows, book_.epoch);
      }
    }
    if (cells_.size() <= column_) cells_.resize(column_ + 1);
    cells_[column_] = std::move(text);
  }

  const Book& book_;
  SheetText& out_;
  CellText text_;
  std::vector<std::string> cells_;
  std::string type_;
  std::string value_;
  std::size_t column_ = 0;
  std::size_t most_ = 0;
  int style_ = 0;
  int row_ = 0;
  bool in_value_ = false;
};

}  // namespace

bool is_workbook(const ZipArchive& archive) { return archive.has("xl/workbook.xml"); }

Result<SheetText> read_workbook(ZipArchive& archive, const std::string& sheet) {
  Book book;
  if (Status s = read_strings(archive, book); !s) return s.error();
  if (Status s = read_styles(archive, book); !s) return s.error();
  if (Status s = read_sheet_list(archive, book); !s) return s.error();
  SheetText best;
  std::vector<std::string> names;
  std::vector<std::string> others;
  for (const Book::Sheet& entry : book.sheets) {
    names.push_back("\"" + entry.name + "\"");
    if (!sheet.empty() && entry.name != sheet) continue;
    if (!archive.has(entry.path)) continue;
    const Result<std::string> xml = archive.read(entry.path);
    if (!xml) return xml.error();
    SheetText text;
    text.name = entry.name;
    SheetReader reader(book, text);
    if (Status s = reader.read(*xml); !s) return s.error();
    others.push_back("\"" + text.name + "\" (" + std::to_string(text.numbers) +
                     (entry.hidden ? " numbers, hidden)" : " numbers)"));
    // What was hidden from the reader of the workbook is read only where nothing else is there.
    text.seen = !entry.hidden && text.numbers > 0;
    const bool better = text.seen != best.seen ? text.seen : text.numbers > best.numbers;
    if (best.name.empty() || better) best = std::move(text);
  }
  if (best.name.empty()) {
    return Error{ErrorCode::not_found,
                 sheet.empty() ? "the workbook has no sheet with cells"
                               : "the workbook has no sheet \"" + sheet + "\"",
                 "", names.empty() ? "" : "Its sheets: " + list_of(names)};
  }
  std::erase_if(others,
                [&](const std::string& text) { return text.starts_with("\"" + best.name + "\""); });
  best.others = std::move(others);
  return best;
}

}  // namespace cw
