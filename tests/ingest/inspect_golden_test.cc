// What inspect prints for the invented recordings in tests/data/import, one for every trap of a
// logger's export, byte by byte. CW_APPROVE=1 (or `make approve`) rewrites the expectations in
// tests/golden/inspect; the difference is then read by a person.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/import_data.h"
#include "support/run_program.h"

namespace {

using cw::test::slurp;

namespace fs = std::filesystem;

const fs::path& data = cw::test::import_data();
const fs::path golden = fs::path(CW_SOURCE_ROOT) / "tests" / "golden" / "inspect";

/// The folder is not part of what is expected.
std::string without_folder(std::string text) {
  const std::string folder = data.string() + "/";
  for (std::size_t at = 0; (at = text.find(folder, at)) != std::string::npos;) {
    text.erase(at, folder.size());
  }
  return text;
}

class InspectGolden : public ::testing::TestWithParam<std::string> {};

TEST_P(InspectGolden, PrintsWhatWasRead) {
  const cw::test::Scratch scratch;
  const cw::test::Ran run =
      cw::test::run_program(scratch, "inspect '" + (data / GetParam()).string() + "'");
  const std::string got = without_folder(run.out + run.err);
  const fs::path file = golden / (GetParam() + ".txt");
  if (const char* approve = std::getenv("CW_APPROVE"); approve != nullptr && *approve == '1') {
    fs::create_directories(golden);
    std::ofstream(file, std::ios::binary) << got;
    return;
  }
  EXPECT_EQ(got, slurp(file)) << "If that is meant: make approve, then look at git diff "
                                 "tests/golden.";
}

std::string test_name(const ::testing::TestParamInfo<std::string>& file) {
  std::string name = file.param;
  for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Files, InspectGolden, ::testing::ValuesIn(cw::test::import_names()),
                         test_name);

}  // namespace
