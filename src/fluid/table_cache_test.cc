#include "fluid/detail/table_cache.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <string>

#include "base/file.h"
#include "fluid/refrigerant.h"
#include "fluid/table.h"

namespace cw::fluid::detail {
namespace {

namespace fs = std::filesystem;

class TableCache : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = testing::TempDir() + "tables-XXXXXX";
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    directory_ = pattern;
  }
  void TearDown() override {
    std::error_code ignored;
    fs::permissions(directory_, fs::perms::owner_all, ignored);
    fs::remove_all(directory_, ignored);
  }

  static const Model& model() { return (**find_refrigerant("R-134a")).model(); }
  CachedTable table(const std::string& print = "0123456789abcdef") const {
    return cached_table(model(), print, directory_);
  }
  static std::uint64_t checksum(CachedTable got) {
    return Table(std::move(got.data.value())).checksum();
  }
  static std::uint64_t right() {
    static const std::uint64_t made = Table(std::move(*make_table(model()))).checksum();
    return made;
  }
  std::string file() const {
    return directory_ + "/" + cache_file_name(model(), "0123456789abcdef");
  }
  /// Puts `bytes` in place of the file and expects that it is refused for `reason`, that the right
  /// table comes out all the same, and that the file is good again afterwards.
  void expect_mended(const std::string& bytes, const std::string& reason) const {
    ASSERT_TRUE(write_file(file(), bytes));
    CachedTable got = table();
    EXPECT_FALSE(got.origin.loaded);
    EXPECT_EQ(got.origin.rejected, reason);
    EXPECT_TRUE(got.origin.kept) << got.origin.not_kept;
    EXPECT_EQ(checksum(std::move(got)), right());
    CachedTable again = table();
    EXPECT_TRUE(again.origin.loaded);
    EXPECT_EQ(checksum(std::move(again)), right());
  }

  std::string directory_;
};

TEST_F(TableCache, IsMadeOnceThenLoaded) {
  CachedTable first = table();
  EXPECT_FALSE(first.origin.loaded);
  EXPECT_TRUE(first.origin.kept);
  EXPECT_EQ(first.origin.rejected, "");
  EXPECT_EQ(checksum(std::move(first)), right());
  CachedTable second = table();
  EXPECT_TRUE(second.origin.loaded);
  EXPECT_FALSE(second.origin.kept);
  EXPECT_EQ(second.origin.file, file());
  EXPECT_EQ(checksum(std::move(second)), right());
}

TEST_F(TableCache, DamagedFilesAreReplaced) {
  ASSERT_TRUE(table().origin.kept);
  const std::string good = *read_file(file());
  expect_mended("", "it is cut short");
  expect_mended(good.substr(0, 63), "it is cut short");
  expect_mended(good.substr(0, good.size() - 1), "it is cut short");
  expect_mended(good + '\0', "it is cut short");
  for (const std::size_t at : {std::size_t{64}, good.size() / 2, good.size() - 1}) {
    std::string bad = good;
    bad[at] = static_cast<char>(bad[at] ^ 1);
    expect_mended(bad, "its checksum does not fit");
  }
  std::string bad = good;
  bad[0] = 'C';
  expect_mended(bad, "it is not a table");
  bad = good;
  ++bad[16];
  expect_mended(bad, "it is of another version");
  bad = good;
  std::swap(bad[20], bad[23]);
  std::swap(bad[21], bad[22]);
  expect_mended(bad, "it is from another kind of machine");
  bad = good;
  bad[24] = 'f';
  expect_mended(bad, "it belongs to other refrigerant data");
  bad = good;
  bad[56] ^= 64;
  expect_mended(bad, "it is of another grid");
}

TEST_F(TableCache, TableOfAnotherEquationIsRefused) {
  // A whole file under the right name, but filled from another equation: its first value differs by
  // one unit in the last place, and the checksum was made to fit.
  ASSERT_TRUE(table().origin.kept);
  std::string bytes = *read_file(file());
  bytes[64] = static_cast<char>(bytes[64] ^ 1);
  const std::string sum = content_hash(std::string_view(bytes).substr(64));
  bytes.replace(40, 16, sum);
  expect_mended(bytes, "it is not what the equation gives");
}

TEST_F(TableCache, OtherDataMeansAnotherFile) {
  ASSERT_TRUE(table().origin.kept);
  const CachedTable other = table("fedcba9876543210");
  EXPECT_FALSE(other.origin.loaded);
  EXPECT_NE(other.origin.file, file());
  EXPECT_NE(other.origin.file.find("R-134a"), std::string::npos);
  EXPECT_NE(other.origin.file.find("fedcba9876543210"), std::string::npos);
}

TEST_F(TableCache, DirectoryThatCannotBeWrittenDoesNoHarm) {
  fs::permissions(directory_, fs::perms::owner_read | fs::perms::owner_exec);
  if (::access(directory_.c_str(), W_OK) == 0) {
    // The superuser may write everywhere: a file where the directory should be does the same.
    fs::permissions(directory_, fs::perms::owner_all);
    ASSERT_TRUE(write_file(directory_ + "/taken", "x"));
    directory_ += "/taken";
  }
  CachedTable got = table();
  EXPECT_FALSE(got.origin.loaded);
  EXPECT_FALSE(got.origin.kept);
  EXPECT_NE(got.origin.not_kept, "");
  EXPECT_EQ(checksum(std::move(got)), right());
  if (directory_.ends_with("/taken")) directory_.resize(directory_.size() - 6);
}

TEST_F(TableCache, DirectoryInPlaceOfTheFileDoesNoHarm) {
  ASSERT_TRUE(fs::create_directories(file()));
  CachedTable got = table();
  EXPECT_FALSE(got.origin.loaded);
  EXPECT_NE(got.origin.rejected, "");
  EXPECT_NE(got.origin.not_kept, "");
  EXPECT_EQ(checksum(std::move(got)), right());
}

TEST_F(TableCache, MissingDirectoriesAreMade) {
  const CachedTable got = cached_table(model(), "0123456789abcdef", directory_ + "/a/b");
  EXPECT_TRUE(got.origin.kept) << got.origin.not_kept;
  EXPECT_TRUE(fs::exists(got.origin.file));
}

TEST_F(TableCache, SeveralProcessesAtOnce) {
  (void)right();
  constexpr int processes = 4;
  pid_t children[processes];
  for (pid_t& child : children) {
    child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      bool good = true;
      for (int i = 0; i < 5; ++i) {
        CachedTable got = table();
        good = good && got.origin.rejected.empty() && (got.origin.loaded || got.origin.kept);
        good = good && checksum(std::move(got)) == right();
      }
      ::_exit(good ? 0 : 1);
    }
  }
  for (const pid_t child : children) {
    int status = -1;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << status;
  }
  std::size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(directory_)) ++files;
  EXPECT_EQ(files, 1u);
}

TEST_F(TableCache, PlaceComesFromTheEnvironment) {
  const auto keep = [](const char* name) {
    const char* value = std::getenv(name);
    return std::pair(std::string(name),
                     value != nullptr ? std::optional<std::string>(value) : std::nullopt);
  };
  const auto before = {keep("COILWRIGHT_CACHE"), keep("XDG_CACHE_HOME"), keep("HOME")};
  ::unsetenv("COILWRIGHT_CACHE");
  ::unsetenv("XDG_CACHE_HOME");
  ::setenv("HOME", "/home/somebody", 1);
  EXPECT_EQ(cache_directory(), "/home/somebody/.cache/coilwright/fluids");
  ::setenv("XDG_CACHE_HOME", "relative", 1);
  EXPECT_EQ(cache_directory(), "/home/somebody/.cache/coilwright/fluids");
  ::setenv("XDG_CACHE_HOME", "/var/somewhere", 1);
  EXPECT_EQ(cache_directory(), "/var/somewhere/coilwright/fluids");
  ::setenv("COILWRIGHT_CACHE", "/elsewhere", 1);
  EXPECT_EQ(cache_directory(), "/elsewhere/fluids");
  ::setenv("COILWRIGHT_CACHE", "", 1);
  EXPECT_EQ(cache_directory(), "");
  for (const auto& [name, value] : before) {
    if (value) {
      ::setenv(name.c_str(), value->c_str(), 1);
    } else {
      ::unsetenv(name.c_str());
    }
  }
}

TEST_F(TableCache, WithoutADirectoryNothingIsKept) {
  CachedTable got = cached_table(model(), "0123456789abcdef", "");
  EXPECT_FALSE(got.origin.loaded || got.origin.kept);
  EXPECT_EQ(got.origin.file, "");
  EXPECT_EQ(checksum(std::move(got)), right());
}

TEST(TableOriginOf, TellsHowTheTableCameToBe) {
  const auto& r = **find_refrigerant("R-32");
  const TableOrigin origin = table_origin(r);
  EXPECT_EQ(origin.rejected, "");
  EXPECT_EQ(origin.loaded || origin.kept || !origin.not_kept.empty(), !origin.file.empty());
  EXPECT_EQ((**table_of(r)).checksum(), Table(std::move(*make_table(r.model()))).checksum());
  EXPECT_EQ(table_origin(**find_refrigerant("nitrogen")).file, "");
}

}  // namespace
}  // namespace cw::fluid::detail
