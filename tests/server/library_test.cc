// What is open at the same time is bounded, and the words of both unit systems share their columns.
#include "server/library.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/run_program.h"

namespace cw::server {
namespace {

/// Three hours of a module at one minute; each log is another one.
std::string log_of(int number) {
  std::string out =
      "time,outdoor.1.discharge_pressure [kPa(a)],outdoor.1.suction_pressure "
      "[kPa(a)],outdoor.1.discharge_temperature [degC],outdoor.1.compressor_frequency [Hz]\n";
  for (int i = 0; i < 180; ++i) {
    const std::string minute = (i % 60 < 10 ? "0" : "") + std::to_string(i % 60);
    // 2800 kPa condense at some 46 degC: liquid at the discharge, which a sentence says in kelvin.
    out += "2026-01-20 0" + std::to_string(5 + i / 60) + ":" + minute + ":00," +
           std::to_string(2800 + number) + ",800,50.5,60\n";
  }
  return out;
}

class LibraryTest : public testing::Test {
 protected:
  void SetUp() override { store = Store::open(scratch.path("folder")).value(); }
  std::string take_in(int number) const {
    const std::string id = store->begin_intake().value();
    auto sink = store->begin_file(id, "log.csv").value();
    EXPECT_TRUE(sink->append(log_of(number)).has_value());
    EXPECT_TRUE(store->finish_file(*sink).has_value());
    StoredWords said;
    said.words.mode = "heating";
    EXPECT_TRUE(store->set_intake_words(id, said).has_value());
    return store->take_in(id, store->intake(id)->version, "a recording", false)->id;
  }
  test::Scratch scratch;
  std::unique_ptr<Store> store;
};

TEST_F(LibraryTest, TenRecordingsKeepToTheNumberThatIsHeld) {
  Library library(*store, {3, std::size_t{1} << 30U});
  std::vector<std::weak_ptr<const Opened>> seen;
  for (int i = 0; i < 10; ++i) {
    const std::string id = take_in(i);
    const Library::Found found = library.open(id, UnitSystem::si);
    ASSERT_TRUE(found.has_value()) << found.error().text();
    seen.emplace_back(*found);
    EXPECT_LE(library.held().count, 3U);
  }
  EXPECT_EQ(library.held().count, 3U);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    EXPECT_EQ(seen[i].expired(), i < 7) << i << ": what is not held is gone from the memory";
  }
}

TEST_F(LibraryTest, TenRecordingsKeepToTheBytesThatAreHeld) {
  std::size_t one = 0;
  {
    Library library(*store);
    one = library.open(take_in(100), UnitSystem::ip).value()->bytes;
    EXPECT_GT(library.held().bytes, one) << "both unit systems count";
    one = library.held().bytes;
  }
  Library library(*store, {100, 4 * one});
  for (int i = 0; i < 10; ++i) {
    ASSERT_TRUE(library.open(take_in(i), UnitSystem::ip).has_value());
    EXPECT_LE(library.held().bytes, 4 * one);
  }
  EXPECT_EQ(library.held().count, 4U);
  Library tiny(*store, {100, 1});
  ASSERT_TRUE(tiny.open(take_in(11), UnitSystem::si).has_value());
  EXPECT_EQ(tiny.held().count, 1U) << "one is always held";
}

TEST_F(LibraryTest, OtherUnitsReadNothingAgainAndShareTheColumns) {
  Library library(*store);
  const std::string id = take_in(1);
  const auto si = library.open(id, UnitSystem::si).value();
  // Without its file nothing could be read a second time.
  std::filesystem::remove(store->recording(id)->paths.front());
  std::filesystem::remove_all(store->shelf());
  const Library::Found found = library.open(id, UnitSystem::ip);
  ASSERT_TRUE(found.has_value()) << found.error().text();
  const auto ip = *found;
  ASSERT_EQ(ip->recording().channels.size(), si->recording().channels.size());
  for (std::size_t c = 0; c < ip->recording().channels.size(); ++c) {
    EXPECT_EQ(ip->recording().channels[c].values.data(), si->recording().channels[c].values.data());
  }
  ASSERT_EQ(ip->judgement.findings.size(), si->judgement.findings.size());
  bool differs = false;
  for (std::size_t k = 0; k < ip->judgement.findings.size(); ++k) {
    EXPECT_EQ(ip->judgement.findings[k].verdict, si->judgement.findings[k].verdict);
    differs = differs || ip->judgement.findings[k].because != si->judgement.findings[k].because;
  }
  EXPECT_TRUE(differs) << "sentences are in the units that were asked for";
  EXPECT_EQ(library.open(id, UnitSystem::ip).value(), ip) << "and are kept";
}

TEST_F(LibraryTest, AnotherSheetIsAnotherJudgement) {
  Library library(*store);
  const std::string id = take_in(1);
  const auto without = library.open(id, UnitSystem::si).value();
  EXPECT_FALSE(without->judgement.system.has_value());
  const std::string sheet = test::slurp(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml");
  ASSERT_TRUE(store->set_sheet(id, sheet).has_value());
  const auto with = library.open(id, UnitSystem::si).value();
  ASSERT_TRUE(with->judgement.system.has_value());
  EXPECT_NE(without, with);
  ASSERT_TRUE(store->set_sheet(id, "").has_value());
  EXPECT_EQ(library.open(id, UnitSystem::si).value(), without);
}

}  // namespace
}  // namespace cw::server
