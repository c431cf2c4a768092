// Numbers of cells against std::from_chars of the C++ library, which rounds correctly (the C++
// standard, [charconv.from.chars]): one cell at a time, four at a time, and whole files in every
// dialect. What is compared are bits.
#include <gtest/gtest.h>

#include <bit>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "base/units.h"
#include "ingest/delimited/cell_marks.h"
#include "ingest/delimited/cell_quads.h"
#include "ingest/delimited/short_number.h"
#include "ingest/test_support.h"

namespace cw {
namespace {

/// The cell as the library reads it, where it is digits with at most a minus and a decimal sign.
std::optional<double> library_number(std::string text, char decimal) {
  bool digit = false;
  int signs = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == decimal) {
      text[i] = '.';
      ++signs;
    } else if (text[i] >= '0' && text[i] <= '9') {
      digit = true;
    } else if (text[i] != '-' || i > 0) {
      return std::nullopt;
    }
  }
  if (!digit || signs > 1) return std::nullopt;
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::uint32_t bits(float value) { return std::bit_cast<std::uint32_t>(value); }

/// Numbers as files have them, with what is nearly one among them.
class CellMaker {
 public:
  CellMaker(unsigned seed, char decimal) : random_(seed), decimal_(decimal) {}

  unsigned below(unsigned n) { return static_cast<unsigned>(random_()) % n; }

  std::string number(unsigned longest) {
    std::string out;
    if (below(3) == 0) out += '-';
    const unsigned digits = 1 + below(longest);
    const unsigned point = below(digits + 3);
    for (unsigned i = 0; i < digits; ++i) {
      if (i == point) out += decimal_;
      out += static_cast<char>('0' + (below(6) == 0 ? 0U : below(10)));
    }
    if (point == digits) out += decimal_;
    return out;
  }
  std::string cell() {
    const unsigned kind = below(20);
    if (kind == 0) return "";
    if (kind > 3) return number(kind > 17 ? 14 : 7);
    static constexpr std::string_view letters = "0479.,-+eE :/;x\xB0\xFF\x80\t";
    std::string out;
    for (unsigned i = 1 + below(9); i > 0; --i) {
      out += letters[below(static_cast<unsigned>(letters.size()))];
    }
    return out;
  }

 private:
  std::mt19937 random_;
  char decimal_;
};

/// Every text of up to eight of these characters.
TEST(Numbers, OneCellIsReadAsTheLibraryReadsIt) {
  for (const char decimal : {'.', ','}) {
    const ShortNumber reader(decimal);
    const char letters[] = {'0', '7', '9', decimal, '-', '+', 'e', '\xB0'};
    std::size_t taken = 0;
    for (unsigned n = 0; n < 8U * 8 * 8 * 8 * 8 * 8 * 8; ++n) {
      std::string cell;
      for (unsigned k = n; cell.size() < 1 + n % 8; k /= 8) cell += letters[k % 8];
      const std::string padded = cell + ";12345678";
      double quick = 0.0;
      const bool is_quick =
          reader.read(ShortNumber::load(padded.data()), static_cast<unsigned>(cell.size()), quick);
      const std::optional<double> library = library_number(cell, decimal);
      ASSERT_EQ(is_quick, library.has_value()) << cell;
      if (!is_quick) continue;
      ASSERT_EQ(std::bit_cast<std::uint64_t>(quick), std::bit_cast<std::uint64_t>(*library))
          << cell;
      ++taken;
    }
    EXPECT_GT(taken, 10000U);
  }
}

/// @param eight  two quads at once
void expect_quads_as_library(bool eight) {
  std::size_t taken = 0;
  for (const char decimal : {'.', ','}) {
    CellMaker maker(decimal == '.' ? 1U : 2U, decimal);
    const QuadReader reader(decimal, eight);
    CellMarks marks('|');
    for (int round = 0; round < 50000; ++round) {
      // Three quads with a cell before, between and behind them: two are read at once.
      std::vector<std::string> cells;
      std::string line;
      for (int k = 0; k < 15; ++k) {
        cells.push_back(maker.cell());
        line += (k > 0 ? "|" : "") + cells.back();
      }
      std::vector<CellQuad> quads(3);
      quads[0].first = 1;
      quads[1].first = 6;
      quads[1].slot = 4;
      quads[2].first = 10;
      quads[2].slot = 8;
      for (CellQuad& quad : quads) {
        for (int lane = 0; lane < 4; ++lane) {
          quad.scale[lane] = lane == 0 ? 1.0 : lane == 1 ? 1000.0 : 5.0 / 9.0;
          quad.offset[lane] = lane == 0 ? 0.0 : lane == 1 ? 101325.0 : 273.15;
          quad.lowest[lane] = lane == 3 ? 0.0 : -1e300;
          quad.highest[lane] = lane == 3 ? 400.0 : 1e300;
        }
      }
      const std::string padded = line + "\n1234567";
      ASSERT_TRUE(marks.find({padded.data(), line.size()}, padded.data() + padded.size()));
      std::vector<float> row(12, -1.0F);
      std::vector<std::uint32_t> others(12);
      others.resize(reader.read(padded.data(), marks.ends(), quads, row.data(), others.data()));
      std::vector<std::uint32_t> expected;
      for (std::size_t q = 0; q < quads.size(); ++q) {
        for (std::size_t lane = 0; lane < 4; ++lane) {
          const std::string& cell = cells[quads[q].first + lane];
          const auto library = cell.size() <= 8 ? library_number(cell, decimal) : std::nullopt;
          float wanted = std::numeric_limits<float>::quiet_NaN();
          bool other = !cell.empty();
          if (library) {
            const double si = quads[q].scale[lane] * *library + quads[q].offset[lane];
            wanted = static_cast<float>(si);
            other = !(si >= quads[q].lowest[lane] && si <= quads[q].highest[lane]);
          }
          if (other) {
            expected.push_back(quads[q].first + static_cast<std::uint32_t>(lane));
          } else {
            ASSERT_EQ(bits(row[quads[q].slot + lane]), bits(wanted)) << cell << " in " << line;
            ++taken;
          }
        }
      }
      ASSERT_EQ(others, expected) << line;
    }
  }
  EXPECT_GT(taken, 500000U);
}

TEST(Numbers, FourCellsAreReadAsTheLibraryReadsThem) {
  if (!QuadReader::is_available()) GTEST_SKIP() << "this processor reads one cell at a time";
  expect_quads_as_library(false);
}

TEST(Numbers, EightCellsAreReadAsTheLibraryReadsThem) {
  if (!QuadReader::has_eight()) GTEST_SKIP() << "no AVX-512";
  expect_quads_as_library(true);
}

/// Whole files: columns in groups of four and left over, quotes, blanks and lines cut short.
TEST(Numbers, FilesOfEveryDialectAreReadAsTheLibraryReadsThem) {
  const Result<Unit> celsius = parse_unit("degC");
  ASSERT_TRUE(celsius.has_value());
  for (const char delimiter : {',', ';', '\t', '|'}) {
    for (const char decimal : {'.', ','}) {
      if (decimal == delimiter) continue;
      CellMaker maker(static_cast<unsigned>(delimiter) + static_cast<unsigned>(decimal), decimal);
      const std::size_t width = 3 + maker.below(12);
      std::string text = "time";
      for (std::size_t c = 0; c < width; ++c) {
        text += delimiter + ("indoor." + std::to_string(c + 1) + ".gas_pipe_temperature [degC]");
      }
      std::vector<std::vector<std::optional<double>>> wanted;
      for (int r = 0; r < 600; ++r) {
        const int minute = r % 60;
        text += "\n2026-01-" + std::to_string(10 + r / 60) + (minute < 10 ? " 06:0" : " 06:") +
                std::to_string(minute);
        std::vector<std::optional<double>>& row = wanted.emplace_back();
        for (std::size_t c = 0; c < width; ++c) {
          std::string cell = maker.below(9) == 0 ? "" : maker.number(9);
          row.push_back(library_number(cell, decimal));
          if (maker.below(40) == 0) cell = " " + cell;
          // Lines with quotes go the careful way.
          if (r % 7 == 0 && maker.below(3) == 0) cell = "\"" + cell + "\"";
          text += delimiter + cell;
        }
      }
      ImportOptions options;
      options.maps.push_back(testing::map_of("[file]\ndelimiter = \"" +
                                             std::string(delimiter == '\t' ? "\\t" : "") +
                                             std::string(delimiter == '\t' ? 0U : 1U, delimiter) +
                                             "\"\ndecimal = \"" + decimal + "\"\n"));
      const Result<Import> import = testing::import_text(text, options);
      ASSERT_TRUE(import.has_value()) << import.error().text();
      ASSERT_EQ(import->recording.size(), wanted.size());
      for (std::size_t c = 0; c < width; ++c) {
        const Channel* channel =
            import->recording.find("indoor." + std::to_string(c + 1), "gas_pipe_temperature");
        ASSERT_NE(channel, nullptr);
        for (std::size_t r = 0; r < wanted.size(); ++r) {
          float value = std::numeric_limits<float>::quiet_NaN();
          if (wanted[r][c]) {
            const double si = celsius->scale * *wanted[r][c] + celsius->offset;
            if (si >= channel->quantity->lowest && si <= channel->quantity->highest) {
              value = static_cast<float>(si);
            }
          }
          ASSERT_EQ(bits(channel->values[r]), bits(value))
              << "row " << r << " column " << c << " delimiter " << delimiter;
        }
      }
    }
  }
}

}  // namespace
}  // namespace cw
