// A property: whatever table is written in whatever dialect and format, it reads back to the bit.
// Tables and dialects are drawn with fixed seeds; what fails is made simpler, one choice after the
// other, as long as it still fails, and then shown.
#include <zip.h>
#include <zlib.h>
#include <zstd.h>

#include <array>
#include <cmath>
#include <functional>
#include <random>

#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::Folder;

enum class Format {
  delimited,
  fixed_width,
  zinc,
  haystack_json,
  json_lines,
  long_table,
  workbook,
  key_values
};
enum class Stamp {
  iso,
  iso_utc,
  dots,
  slashes_12_hour,
  month_name,
  epoch_s,
  epoch_ms,
  two_columns
};
enum class Coding { utf8, utf8_mark, utf16_little, utf16_big, windows, shift_jis };
enum class Packing { none, gzip, zstd };

/// How a table is written. The first of each is the simplest.
struct Form {
  Format format = Format::delimited;
  char delimiter = ',';
  char decimal = '.';
  std::string thousands;
  Stamp stamp = Stamp::iso;
  Coding coding = Coding::utf8;
  Packing packing = Packing::none;
  std::string end = "\n";
  bool quoted = false;
  bool titles = false;
  /// A delimiter at the end of each line; of fixed width: lines end with their last number; of a
  /// workbook: dates are texts.
  bool trailing = false;
  std::size_t rows = 12;

  std::string text() const {
    return "format " + std::to_string(static_cast<int>(format)) + ", delimiter '" + delimiter +
           "', decimal '" + decimal + "', thousands '" + thousands + "', stamp " +
           std::to_string(static_cast<int>(stamp)) + ", coding " +
           std::to_string(static_cast<int>(coding)) + ", packing " +
           std::to_string(static_cast<int>(packing)) + ", line end " +
           (end == "\n"   ? "n"
            : end == "\r" ? "r"
                          : "rn") +
           (quoted ? ", quoted" : "") + (titles ? ", titles" : "") +
           (trailing ? ", other line ends" : "") + ", " + std::to_string(rows) + " rows";
  }
};

/// A number as counts of its last decimal, so that nothing is rounded on the way.
struct Signal {
  const char* place;
  const char* quantity;
  const char* unit;
  int decimals;
  std::int64_t lowest, highest;
  double scale, offset;  ///< to SI: exact by definition of the units
};
constexpr std::array signals = {
    Signal{"site", "outdoor_temperature", "degC", 1, -250, 450, 1.0, 273.15},
    Signal{"outdoor.1", "discharge_pressure", "kPa", 2, 100000, 420000, 1000.0, 0.0},
    Signal{"outdoor.1", "power", "W", 1, 12000, 199999, 1.0, 0.0},
    Signal{"outdoor.2", "discharge_temperature", "degC", 3, -20000, 120000, 1.0, 273.15}};

using Table = std::vector<std::array<std::optional<std::int64_t>, signals.size()>>;

Table table_of(std::mt19937& random, std::size_t rows) {
  Table out(rows);
  for (auto& row : out) {
    for (std::size_t c = 0; c < signals.size(); ++c) {
      const auto span = static_cast<std::uint64_t>(signals[c].highest - signals[c].lowest);
      row[c] = signals[c].lowest + static_cast<std::int64_t>(random() % span);
      if (random() % 9 == 0) row[c].reset();
    }
    row[0] = row[0].value_or(7);
  }
  return out;
}

std::string number_of(std::int64_t count, int decimals, char decimal,
                      const std::string& thousands) {
  std::string digits = std::to_string(std::llabs(count));
  const auto places = static_cast<std::size_t>(decimals);
  while (digits.size() <= places) digits.insert(0, "0");
  std::string whole = digits.substr(0, digits.size() - places);
  for (std::size_t at = whole.size(); at > 3 && !thousands.empty();) {
    at -= 3;
    whole.insert(at, thousands);
  }
  return (count < 0 ? "-" : "") + whole + decimal + digits.substr(digits.size() - places);
}

/// Five minutes a row from the evening of the 14th, so that midnight falls into it.
Instant time_of(std::size_t row) {
  return {instant_of({2026, 1, 14, 23, 5, 0, 0})->ms + static_cast<std::int64_t>(row) * 300000};
}

std::string stamp_text(std::size_t row, Stamp stamp) {
  const Instant at = time_of(row);
  const CivilTime t = civil_of(at);
  char out[64] = "";
  switch (stamp) {
    case Stamp::iso:
    case Stamp::two_columns:
      std::snprintf(out, sizeof out, "%04d-%02d-%02d %02d:%02d:%02d", t.year, t.month, t.day,
                    t.hour, t.minute, t.second);
      break;
    case Stamp::iso_utc:
      std::snprintf(out, sizeof out, "%04d-%02d-%02dT%02d:%02d:%02dZ", t.year, t.month, t.day,
                    t.hour, t.minute, t.second);
      break;
    case Stamp::dots:
      std::snprintf(out, sizeof out, "%02d.%02d.%04d %02d:%02d", t.day, t.month, t.year, t.hour,
                    t.minute);
      break;
    case Stamp::slashes_12_hour:
      std::snprintf(out, sizeof out, "%d/%d/%04d %d:%02d:%02d %s", t.month, t.day, t.year,
                    (t.hour + 11) % 12 + 1, t.minute, t.second, t.hour < 12 ? "AM" : "PM");
      break;
    case Stamp::month_name:
      std::snprintf(out, sizeof out, "%02d-Jan-%04d %02d:%02d", t.day, t.year, t.hour, t.minute);
      break;
    case Stamp::epoch_s:
      return std::to_string(at.ms / 1000);
    case Stamp::epoch_ms:
      return std::to_string(at.ms);
  }
  return out;
}

std::string header_of(std::size_t c, bool with_unit = true) {
  std::string out = std::string(signals[c].place) + "." + signals[c].quantity;
  if (with_unit) out += std::string(" [") + signals[c].unit + "]";
  return out;
}

std::string line_of(const std::vector<std::string>& cells, const Form& form) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) out += form.delimiter;
    out += form.quoted ? "\"" + cells[i] + "\"" : cells[i];
  }
  if (form.trailing) out += form.delimiter;
  return out + form.end;
}

std::vector<std::string> stamp_cells(std::size_t row, const Form& form) {
  const std::string stamp = stamp_text(row, form.stamp);
  if (form.stamp != Stamp::two_columns) return {stamp};
  return {stamp.substr(0, 10), stamp.substr(11)};
}

std::string delimited(const Table& table, const Form& form) {
  std::string out;
  if (form.titles) out += "Recording of a machine" + form.end + form.end;
  std::vector<std::string> head{"time"};
  if (form.stamp == Stamp::two_columns) head = {"date", "time"};
  for (std::size_t c = 0; c < signals.size(); ++c) head.push_back(header_of(c));
  out += line_of(head, form);
  for (std::size_t r = 0; r < table.size(); ++r) {
    std::vector<std::string> cells = stamp_cells(r, form);
    for (std::size_t c = 0; c < signals.size(); ++c) {
      cells.push_back(
          table[r][c] ? number_of(*table[r][c], signals[c].decimals, form.decimal, form.thousands)
                      : "");
    }
    out += line_of(cells, form);
  }
  return out;
}

std::string long_table(const Table& table, const Form& form) {
  std::string out = line_of({"time", "name", "value"}, form);
  for (std::size_t r = 0; r < table.size(); ++r) {
    for (std::size_t c = 0; c < signals.size(); ++c) {
      if (!table[r][c]) continue;
      out += line_of({stamp_text(r, form.stamp), header_of(c),
                      number_of(*table[r][c], signals[c].decimals, form.decimal, form.thousands)},
                     form);
    }
  }
  return out;
}

std::string fixed_width(const Table& table, const Form& form) {
  std::string out = "time               ";
  const auto put = [&](const std::string& text, std::size_t width) {
    out += std::string(width > text.size() ? width - text.size() : 1, ' ') + text;
  };
  for (std::size_t c = 0; c < signals.size(); ++c) {
    put(header_of(c, false) + "[" + signals[c].unit + "]", 42);
  }
  out += form.end;
  for (std::size_t r = 0; r < table.size(); ++r) {
    out += stamp_text(r, Stamp::iso_utc).substr(0, 19);
    for (std::size_t c = 0; c < signals.size(); ++c) {
      put(table[r][c] ? number_of(*table[r][c], signals[c].decimals, '.', "") : "", 42);
    }
    while (form.trailing && out.back() == ' ') out.pop_back();
    out += form.end;
  }
  return out;
}

std::string zinc(const Table& table) {
  std::string out = "ver:\"3.0\"\nts";
  for (std::size_t c = 0; c < signals.size(); ++c) {
    out += ",v" + std::to_string(c) + " dis:\"" + header_of(c, false) + "\"";
  }
  for (std::size_t r = 0; r < table.size(); ++r) {
    out += "\n" + stamp_text(r, Stamp::iso_utc) + " UTC";
    for (std::size_t c = 0; c < signals.size(); ++c) {
      out += ",";
      if (table[r][c]) {
        out += number_of(*table[r][c], signals[c].decimals, '.', "") +
               (signals[c].unit == std::string("degC") ? "\xC2\xB0"
                                                         "C"
                                                       : signals[c].unit);
      }
    }
  }
  return out + "\n";
}

std::string haystack_json(const Table& table) {
  std::string out = R"({"meta":{"ver":"3.0"},"cols":[{"name":"ts"})";
  for (std::size_t c = 0; c < signals.size(); ++c) {
    out += R"(,{"name":"v)" + std::to_string(c) + R"(","dis":")" + header_of(c, false) + R"("})";
  }
  out += "],\"rows\":[";
  for (std::size_t r = 0; r < table.size(); ++r) {
    out +=
        std::string(r > 0 ? ",\n" : "") + R"({"ts":"t:)" + stamp_text(r, Stamp::iso_utc) + " UTC\"";
    for (std::size_t c = 0; c < signals.size(); ++c) {
      if (!table[r][c]) continue;
      out += ",\"v" + std::to_string(c) +
             "\":\"n:" + number_of(*table[r][c], signals[c].decimals, '.', "") + " " +
             signals[c].unit + "\"";
    }
    out += "}";
  }
  return out + "]}\n";
}

std::string json_lines(const Table& table, const Form& form) {
  std::string out;
  for (std::size_t r = 0; r < table.size(); ++r) {
    out += R"({"time":")" + stamp_text(r, form.stamp) + "\"";
    for (std::size_t c = 0; c < signals.size(); ++c) {
      if (!table[r][c]) continue;
      out += ",\"" + header_of(c) + "\":" + number_of(*table[r][c], signals[c].decimals, '.', "");
    }
    out += "}" + form.end;
  }
  return out;
}

std::string key_values(const Table& table, const Form& form) {
  std::string out;
  for (std::size_t r = 0; r < table.size(); ++r) {
    out += stamp_text(r, form.stamp);
    for (std::size_t c = 0; c < signals.size(); ++c) {
      if (!table[r][c]) continue;
      out += std::string(form.trailing ? ", " : " ") + header_of(c, false) + "=" +
             number_of(*table[r][c], signals[c].decimals, '.', "") + signals[c].unit;
    }
    out += form.end;
  }
  return out;
}

/// An Office Open XML workbook with one sheet, made in memory.
std::string zipped(const std::vector<std::pair<std::string, std::string>>& members) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* target = zip_source_buffer_create(nullptr, 0, 0, &error);
  zip_source_keep(target);
  zip_t* zip = zip_open_from_source(target, ZIP_TRUNCATE, &error);
  for (const auto& [name, text] : members) {
    zip_file_add(zip, name.c_str(), zip_source_buffer(zip, text.data(), text.size(), 0), 0);
  }
  EXPECT_EQ(zip_close(zip), 0);
  zip_source_open(target);
  zip_source_seek(target, 0, SEEK_END);
  std::string out(static_cast<std::size_t>(zip_source_tell(target)), '\0');
  zip_source_seek(target, 0, SEEK_SET);
  zip_source_read(target, out.data(), out.size());
  zip_source_close(target);
  zip_source_free(target);
  zip_error_fini(&error);
  return out;
}

std::string workbook(const Table& table, const Form& form) {
  std::string sheet = "<worksheet><sheetData>";
  std::size_t row = form.titles ? 3 : 1;
  const auto text_cell = [](char column, std::size_t at, const std::string& text) {
    return std::string("<c r=\"") + column + std::to_string(at) + "\" t=\"inlineStr\"><is><t>" +
           text + "</t></is></c>";
  };
  if (form.titles) sheet += "<row r=\"1\">" + text_cell('A', 1, "A machine") + "</row>";
  sheet += "<row r=\"" + std::to_string(row) + "\">" + text_cell('A', row, "time");
  for (std::size_t c = 0; c < signals.size(); ++c) {
    sheet += text_cell(static_cast<char>('B' + c), row, header_of(c));
  }
  sheet += "</row>";
  for (std::size_t r = 0; r < table.size(); ++r) {
    const std::string at = std::to_string(++row);
    sheet += "<row r=\"" + at + "\">";
    if (form.trailing) {
      sheet += text_cell('A', row, stamp_text(r, form.stamp));
    } else {
      char days[40];
      std::snprintf(days, sizeof days, "%.11f",
                    25569.0 + static_cast<double>(time_of(r).ms) / 86400e3);
      sheet += "<c r=\"A" + at + "\" s=\"1\"><v>" + days + "</v></c>";
    }
    for (std::size_t c = 0; c < signals.size(); ++c) {
      if (!table[r][c]) continue;
      sheet += std::string("<c r=\"") + static_cast<char>('B' + c) + at + "\"><v>" +
               number_of(*table[r][c], signals[c].decimals, '.', "") + "</v></c>";
    }
    sheet += "</row>";
  }
  return zipped(
      {{"xl/workbook.xml",
        "<workbook xmlns:r=\"r\"><sheets><sheet name=\"Data\" sheetId=\"1\" r:id=\"r1\"/></sheets>"
        "</workbook>"},
       {"xl/_rels/workbook.xml.rels",
        "<Relationships><Relationship Id=\"r1\" "
        "Target=\"worksheets/sheet1.xml\"/></Relationships>"},
       {"xl/styles.xml",
        "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"22\"/></cellXfs></styleSheet>"},
       {"xl/worksheets/sheet1.xml", sheet + "</sheetData></worksheet>"}});
}

/// "degC" as the one character of Shift-JIS that means it.
void put_degrees(std::string& text, const char* with) {
  for (std::size_t at = 0; (at = text.find("degC", at)) != std::string::npos;) {
    text.replace(at, 4, with);
  }
}

std::string utf16(const std::string& ascii, bool little) {
  std::string out = little ? "\xFF\xFE" : "\xFE\xFF";
  for (const char c : ascii) {
    if (little) out += c;
    out += '\0';
    if (!little) out += c;
  }
  return out;
}

std::string packed(const std::string& text, Packing packing) {
  if (packing == Packing::none) return text;
  if (packing == Packing::zstd) {
    std::string out(ZSTD_compressBound(text.size()), '\0');
    out.resize(ZSTD_compress(out.data(), out.size(), text.data(), text.size(), 3));
    return out;
  }
  z_stream stream{};
  deflateInit2(&stream, 6, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY);
  std::string out(deflateBound(&stream, text.size()) + 64, '\0');
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
  stream.avail_in = static_cast<uInt>(text.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  return out;
}

std::string file_of(const Table& table, const Form& form) {
  std::string text;
  switch (form.format) {
    case Format::delimited:
      text = delimited(table, form);
      break;
    case Format::fixed_width:
      text = fixed_width(table, form);
      break;
    case Format::zinc:
      text = zinc(table);
      break;
    case Format::haystack_json:
      text = haystack_json(table);
      break;
    case Format::json_lines:
      text = json_lines(table, form);
      break;
    case Format::long_table:
      text = long_table(table, form);
      break;
    case Format::workbook:
      return packed(workbook(table, form), form.packing);
    case Format::key_values:
      text = key_values(table, form);
      break;
  }
  if (form.coding == Coding::utf8_mark) text = "\xEF\xBB\xBF" + text;
  if (form.coding == Coding::windows)
    put_degrees(text,
                "\xB0"
                "C");
  if (form.coding == Coding::shift_jis) put_degrees(text, "\x81\x8E");
  if (form.coding == Coding::utf16_little) text = utf16(text, true);
  if (form.coding == Coding::utf16_big) text = utf16(text, false);
  return packed(text, form.packing);
}

/// What is wrong with the table that was read; empty when nothing is.
std::string difference(const Table& table, const Form& form) {
  const Result<Import> import = testing::import_text(file_of(table, form), {}, "log.dat");
  if (!import) return import.error().text();
  const Recording& recording = import->recording;
  if (recording.size() != table.size()) {
    return std::to_string(recording.size()) + " rows of " + std::to_string(table.size());
  }
  for (std::size_t r = 0; r < table.size(); ++r) {
    if (recording.time[r] != time_of(r)) {
      return "row " + std::to_string(r) + " at " + iso_text(recording.time[r], {});
    }
  }
  for (std::size_t c = 0; c < signals.size(); ++c) {
    const Signal& signal = signals[c];
    const Channel* channel = recording.find(signal.place, signal.quantity);
    if (channel == nullptr) return "no " + header_of(c);
    for (std::size_t r = 0; r < table.size(); ++r) {
      const float got = channel->values[r];
      if (!table[r][c]) {
        if (!is_missing(got)) return header_of(c) + " made up in row " + std::to_string(r);
        continue;
      }
      const double raw = static_cast<double>(*table[r][c]) / std::pow(10.0, signal.decimals);
      if (got != static_cast<float>(signal.scale * raw + signal.offset)) {
        return header_of(c) + " in row " + std::to_string(r) + ": " + std::to_string(got) +
               " for " + number_of(*table[r][c], signal.decimals, '.', "");
      }
    }
  }
  return {};
}

template <class T, std::size_t n>
T one_of(std::mt19937& random, const std::array<T, n>& choices) {
  return choices[random() % n];
}

Form form_of(std::mt19937& random) {
  Form f;
  f.format = static_cast<Format>(random() % 8);
  f.packing = static_cast<Packing>(random() % 3);
  f.rows = 12 + random() % 60;
  const bool cells = f.format == Format::delimited || f.format == Format::long_table;
  const bool stamped = cells || f.format == Format::json_lines || f.format == Format::key_values ||
                       f.format == Format::workbook;
  if (stamped) f.stamp = static_cast<Stamp>(random() % (f.format == Format::delimited ? 8 : 7));
  if (f.format == Format::delimited || f.format == Format::fixed_width) {
    f.coding = static_cast<Coding>(random() % 6);
  }
  // A packed archive is no format of its own.
  if (f.format == Format::workbook) f.packing = Packing::none;
  if (!cells) {
    f.trailing = random() % 2 == 0;
    f.titles = f.format == Format::workbook && random() % 3 == 0;
    return f;
  }
  f.delimiter = one_of(random, std::array{',', ';', '\t', '|'});
  f.decimal = f.delimiter == ',' ? '.' : one_of(random, std::array{'.', ','});
  f.end = one_of(random, std::array<std::string, 3>{"\n", "\r\n", "\r"});
  f.quoted = random() % 3 == 0;
  f.titles = f.format == Format::delimited && random() % 3 == 0;
  f.trailing = f.format == Format::delimited && random() % 4 == 0;
  const std::string other = f.decimal == '.' ? "," : ".";
  f.thousands = one_of(random, std::array<std::string, 6>{"", "", other, "'", " ", "\xC2\xA0"});
  // What cannot be meant: a thousands sign that is the delimiter, unless cells are quoted.
  if (f.thousands == "," && f.delimiter == ',' && !f.quoted) f.thousands.clear();
  // Two bytes in UTF-8, written as ASCII here.
  const bool wide = f.coding == Coding::utf8 || f.coding == Coding::utf8_mark;
  if (!wide && f.thousands.size() > 1) f.thousands = " ";
  return f;
}

/// Makes the form simpler, one choice after the other, as long as something is still wrong.
Form simplest(Form form, const std::function<bool(const Form&)>& fails) {
  const Form plain;
  const std::array<std::function<void(Form&)>, 11> steps = {
      [&](Form& f) { f.packing = plain.packing; }, [&](Form& f) { f.titles = false; },
      [&](Form& f) { f.trailing = false; },        [&](Form& f) { f.quoted = false; },
      [&](Form& f) { f.end = plain.end; },         [&](Form& f) { f.coding = plain.coding; },
      [&](Form& f) { f.thousands.clear(); },       [&](Form& f) { f.stamp = plain.stamp; },
      [&](Form& f) { f.delimiter = ';'; },         [&](Form& f) { f.decimal = '.'; },
      [&](Form& f) { f.rows = plain.rows; }};
  for (const auto& step : steps) {
    Form simpler = form;
    step(simpler);
    if (fails(simpler)) form = simpler;
  }
  return form;
}

TEST(Dialects, AnyTableReadsBackToTheBit) {
  for (std::uint32_t seed = 1; seed <= 800; ++seed) {
    std::mt19937 random(seed);
    const Form form = form_of(random);
    const auto wrong = [&](const Form& f) {
      std::mt19937 numbers(seed + 100000);
      return difference(table_of(numbers, f.rows), f);
    };
    if (wrong(form).empty()) continue;
    const Form least = simplest(form, [&](const Form& f) { return !wrong(f).empty(); });
    std::mt19937 numbers(seed + 100000);
    ADD_FAILURE() << "seed " << seed << ": " << wrong(least) << "\n  " << least.text()
                  << "\n  (drawn: " << form.text() << ")\n"
                  << file_of(table_of(numbers, least.rows), least).substr(0, 600);
    if (::testing::Test::HasFailure() && seed > 300) return;
  }
}

}  // namespace
}  // namespace cw
