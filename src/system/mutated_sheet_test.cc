#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/file.h"
#include "base/text.h"
#include "system/piping.h"
#include "system/sheet.h"

namespace {

using namespace cw;

/// Random damage: bytes, lines and figures. Fixed seed; a failure prints the sheet.
class Damage {
 public:
  explicit Damage(unsigned seed) : random_(seed) {}

  std::string apply(std::string text) {
    const std::size_t times = 1 + below(4);
    for (std::size_t i = 0; i < times; ++i) text = once(std::move(text));
    return text;
  }

 private:
  std::size_t below(std::size_t n) { return n == 0 ? 0 : random_() % n; }

  std::string once(std::string text) {
    if (text.empty()) return "x";
    switch (below(8)) {
      case 0:
        text[below(text.size())] = static_cast<char>(below(256));
        return text;
      case 1:
        text.erase(below(text.size()), 1 + below(30));
        return text;
      case 2:
        text.insert(below(text.size()), std::string(text, below(text.size()), below(60)));
        return text;
      case 3:
        return lines(text, [&](auto& all) { all.erase(at(all)); });
      case 4:
        return lines(text, [&](auto& all) { all.insert(at(all), *at(all)); });
      case 5:
        return lines(text, [&](auto& all) { std::swap(*at(all), *at(all)); });
      case 6:
        return figure(std::move(text));
      default:
        text.resize(below(text.size()));
        return text;
    }
  }

  template <class F>
  std::string lines(const std::string& text, F&& change) {
    std::vector<std::string> all;
    for (const std::string_view line : split(text, '\n')) all.emplace_back(line);
    change(all);
    std::string out;
    for (const std::string& line : all) out += line + "\n";
    return out;
  }

  std::vector<std::string>::iterator at(std::vector<std::string>& all) {
    return all.begin() + static_cast<std::ptrdiff_t>(below(all.size()));
  }

  std::string figure(std::string text) {
    constexpr const char* figures[] = {"0",   "-1",     "1e308", "1e-308",      "nan", "inf",
                                       "1e9", "0.0001", "",      "99999999999", "\"",  "7/16"};
    const std::size_t start = text.find_first_of("0123456789", below(text.size()));
    if (start == std::string::npos) return text;
    const std::size_t end = text.find_first_not_of("0123456789.", start);
    return text.replace(start, end == std::string::npos ? end : end - start,
                        figures[below(std::size(figures))]);
  }

  std::mt19937 random_;
};

/// What must hold of every system, however it was written.
void expect_whole(const System& system) {
  const InternalVolume volume = internal_volume(system);
  EXPECT_TRUE(std::isfinite(volume.total_m3()) && volume.total_m3() > 0.0);
  EXPECT_GT(volume.lines.liquid_m3, 0.0);
  EXPECT_LT(volume.lines.liquid_m3, volume.lines.gas_m3 * 1.1);
  const PipeLengths lengths = pipe_lengths(system);
  EXPECT_TRUE(std::isfinite(lengths.total_m) && lengths.longest_path_m > 0.0);
  EXPECT_EQ(unit_paths(system).size(), system.indoor().size());
  for (const UnitPath& path : unit_paths(system)) EXPECT_GT(path.length_m, 0.0);
  EXPECT_EQ(system.nodes().size(), system.segments().size() + 1);
  for (const Segment& segment : system.segments()) {
    EXPECT_LT(segment.from, segment.to);
    EXPECT_GT(segment.cooling_behind_W, 0.0);
  }
  for (const OutdoorModule& module : system.outdoor()) {
    EXPECT_GT(module.displacement_m3, 0.0);
    EXPECT_GE(module.factory_charge_kg, 0.0);
    EXPECT_LE(module.accumulator_usable_m3, module.accumulator_volume_m3);
  }
  for (const Room& room : system.rooms()) {
    EXPECT_TRUE(std::isfinite(room.volume_m3) && room.volume_m3 > 0.0 && room.height_m > 0.0);
  }
  EXPECT_GT(system.charge().total_kg(), 0.0);
}

void damage_and_read(const std::string& file, unsigned seed, int times) {
  const std::string text = read_file(std::string(CW_SOURCE_ROOT) + "/data/systems/" + file).value();
  Damage damage(seed);
  int read = 0;
  for (int i = 0; i < times; ++i) {
    const std::string bad = damage.apply(text);
    const SheetReading reading = read_sheet_text(bad, "s.toml");
    if (reading.system) {
      ++read;
      expect_whole(*reading.system);
    } else {
      EXPECT_FALSE(reading.errors.empty());
    }
    for (const Error& error : reading.errors) {
      EXPECT_FALSE(error.message.empty());
      EXPECT_FALSE(error.where.empty());
    }
    if (::testing::Test::HasFailure()) FAIL() << "damaged sheet " << i << ":\n" << bad;
  }
  // Some damage leaves a sheet whole (a name, a length), most does not.
  EXPECT_GT(read, times / 100);
  EXPECT_LT(read, times * 9 / 10);
}

TEST(MutatedSheets, TheDemoSheetNeverCrashesTheReader) {
  damage_and_read("demo_office.toml", 20251003, 1500);
}

TEST(MutatedSheets, TheMinimalSheetNeverCrashesTheReader) {
  damage_and_read("minimal.toml", 7, 4000);
}

TEST(MutatedSheets, TheHeatRecoverySheetNeverCrashesTheReader) {
  damage_and_read("heat_recovery.toml", 42, 2000);
}

}  // namespace
