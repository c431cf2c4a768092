#include "server/store.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "server/cards.h"
#include "support/run_program.h"

namespace cw::server {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class StoreTest : public testing::Test {
 protected:
  std::unique_ptr<Store> open() { return Store::open(scratch.path("folder")).value(); }
  static StoredRecording take_in(Store& store, const std::string& name, const std::string& text) {
    const std::string id = store.begin_intake().value();
    auto sink = store.begin_file(id, name).value();
    EXPECT_TRUE(sink->append(text).has_value());
    EXPECT_TRUE(store.finish_file(*sink).has_value());
    return store.take_in(id, store.intake(id)->version, "a recording", false).value();
  }
  test::Scratch scratch;
};

TEST_F(StoreTest, KeepsWhatItTookIn) {
  std::string id;
  {
    const auto store = open();
    const StoredRecording taken = take_in(*store, "log.csv", "a,b\n1,2\n");
    id = taken.id;
    ASSERT_TRUE(store->set_name(id, "renamed").has_value());
    ASSERT_TRUE(store->set_sheet(id, "x = 1\n").has_value());
    StoredWords said;
    said.words.target = "120F";
    ASSERT_TRUE(store->set_words(id, said).has_value());
  }
  const auto store = open();
  const StoredRecording again = store->recording(id).value();
  EXPECT_EQ(again.name, "renamed");
  EXPECT_EQ(again.sheet, "x = 1\n");
  EXPECT_EQ(again.said.words.target, "120F");
  EXPECT_EQ(again.files[0].name, "log.csv");
  EXPECT_EQ(test::slurp(again.paths[0]), "a,b\n1,2\n");
  EXPECT_EQ(again.paths[0].filename(), "f1") << "the person's name is no path";
}

TEST_F(StoreTest, ACorrectionIsInForceAsAWholeOrNotAtAll) {
  const std::string folder = scratch.path("folder");
  std::string id;
  StoredWords said;
  said.words.refrigerant = "R-32";
  {
    const auto store = open();
    id = take_in(*store, "log.csv", "a,b\n1,2\n").id;
    for (const std::string map : {"ignore = [\"a\"]\n", "ignore = [\"b\"]\n"}) {
      const Intake begun = store->begin_correction(id).value();
      ASSERT_TRUE(store->set_intake_map(begun.id, map).has_value());
      ASSERT_TRUE(store->set_intake_words(begun.id, said).has_value());
      EXPECT_FALSE(store->correct(begun.id, begun.version).has_value()) << "changed since";
      ASSERT_TRUE(store->correct(begun.id, store->intake(begun.id)->version).has_value());
    }
  }
  const std::string own = folder + "/recordings/" + id;
  // As a program leaves it that is stopped before the card is written: the other map lies there.
  std::ofstream(own + "/" + (fs::exists(own + "/map.toml") ? "map-2.toml" : "map.toml")) << "x = 1";
  {
    const auto store = open();
    EXPECT_EQ(store->recording(id)->map, "ignore = [\"b\"]\n");
    EXPECT_EQ(store->recording(id)->said.words.refrigerant, "R-32");
    const Intake begun = store->begin_correction(id).value();
    ASSERT_TRUE(store->set_intake_map(begun.id, "").has_value());
    ASSERT_TRUE(store->correct(begun.id, store->intake(begun.id)->version).has_value());
  }
  const auto store = open();
  EXPECT_EQ(store->recording(id)->map, "");
  EXPECT_EQ(test::slurp(store->recording(id)->paths[0]), "a,b\n1,2\n");
}

TEST_F(StoreTest, CleansWhatAStoppedProgramLeft) {
  std::string id;
  {
    const auto store = open();
    id = take_in(*store, "log.csv", "x").id;
    store->begin_intake().value();
  }
  const std::string folder = scratch.path("folder");
  // As a killed program leaves it: an upload, a half removed recording, a half written card, and a
  // folder without a card.
  std::ofstream(folder + "/incoming/f1.part") << "half";
  fs::create_directories(folder + "/incoming/gone-abc");
  std::ofstream(folder + "/recordings/" + id + "/card.json.part123") << "half";
  fs::create_directories(folder + "/recordings/nocard");
  fs::create_directories(folder + "/recordings/broken");
  std::ofstream(folder + "/recordings/broken/card.json") << "{\"files\": [";
  fs::create_directories(folder + "/recordings/lost");
  std::ofstream(folder + "/recordings/lost/card.json")
      << R"({"files": [{"name": "a.csv", "at": "../../../evil"}]})";
  const auto store = open();
  EXPECT_TRUE(fs::is_empty(folder + "/incoming"));
  EXPECT_FALSE(fs::exists(folder + "/recordings/" + id + "/card.json.part123"));
  ASSERT_EQ(store->recordings().size(), 1U);
  EXPECT_EQ(store->recordings()[0].id, id);
}

TEST_F(StoreTest, AChangeDuringTheReadingIsNoticed) {
  const auto store = open();
  const std::string id = store->begin_intake().value();
  auto sink = store->begin_file(id, "a.csv").value();
  ASSERT_TRUE(store->finish_file(*sink).has_value());
  const std::uint64_t version = store->intake(id)->version;
  ASSERT_TRUE(store->set_intake_map(id, "x").has_value());
  EXPECT_EQ(store->take_in(id, version, "n", false).error().code, ErrorCode::inconsistent);
  EXPECT_TRUE(store->recordings().empty());
}

TEST_F(StoreTest, FilesAreInTheOrderOfTheirNames) {
  const auto store = open();
  const std::string id = store->begin_intake().value();
  for (const char* name : {"b.csv", "c.csv", "a.csv"}) {
    auto sink = store->begin_file(id, name).value();
    ASSERT_TRUE(sink->append(name).has_value());
    ASSERT_TRUE(store->finish_file(*sink).has_value());
  }
  const Intake intake = store->intake(id).value();
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(intake.files[i].name, std::string(1, static_cast<char>('a' + i)) + ".csv");
    EXPECT_EQ(test::slurp(intake.paths[i]), intake.files[i].name);
  }
}

TEST_F(StoreTest, TheFingerprintChangesWithWhatTheVerdictDependsOn) {
  const auto store = open();
  const StoredRecording one = take_in(*store, "log.csv", "x");
  StoredRecording other = one;
  other.name = "another name";
  EXPECT_EQ(one.fingerprint(), other.fingerprint());
  other.said.words.mode = "heating";
  EXPECT_NE(one.fingerprint(), other.fingerprint());
  other = one;
  other.map = "x";
  EXPECT_NE(one.fingerprint(), other.fingerprint());
}

TEST_F(StoreTest, AFolderThatCannotBeMadeIsSaidSo) {
  const std::string file = scratch.file("taken", "x");
  const auto store = Store::open(file);
  ASSERT_FALSE(store.has_value());
  EXPECT_THAT(store.error().fix, HasSubstr("--folder"));
}

TEST(Cards, WordsAreReadBack) {
  StoredWords said;
  said.words.altitude = "1600m";
  said.limits = "[x]\n";
  const StoredWords again = read_words(words_json(said)).value();
  EXPECT_EQ(again.words, said.words);
  EXPECT_EQ(again.limits, said.limits);
  EXPECT_FALSE(read_words("{\"mode\": 1}").has_value());
  EXPECT_FALSE(read_card("[]").has_value());
  EXPECT_FALSE(read_card("{\"files\": [1]}").has_value());
  EXPECT_FALSE(read_summary("{}").has_value());
}

}  // namespace
}  // namespace cw::server
