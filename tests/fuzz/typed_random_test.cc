// The readers of typed_fuzz.cc with the seeds of the corpus and a fixed stream of changes to them:
// bytes overwritten, lines left out, doubled and moved between seeds.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

namespace fs = std::filesystem;

std::vector<std::string> seeds() {
  std::vector<std::string> out;
  const fs::path folder = fs::path(CW_SOURCE_ROOT) / "tests" / "fuzz" / "corpus" / "typed";
  for (const auto& entry : fs::directory_iterator(folder)) {
    std::ifstream in(entry.path(), std::ios::binary);
    out.emplace_back(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  std::sort(out.begin(), out.end());
  return out;
}

void feed(const std::string& text) {
  EXPECT_EQ(LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()),
            0);
}

/// One change somewhere behind the first byte, which names the reader.
void change(std::string& text, const std::vector<std::string>& all, std::mt19937& random) {
  constexpr std::string_view alphabet = "0123456789.-+eE\"'[]{}=,:;#\n \t/ainfgpCKW\xC3\xA9";
  if (text.size() < 3) return;
  const std::size_t at = 1 + random() % (text.size() - 1);
  const std::size_t begin = text.rfind('\n', at) + 1;
  const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
  switch (random() % 5) {
    case 0:
      text[at] = alphabet[random() % alphabet.size()];
      break;
    case 1:
      if (begin > 0 && begin < end) text.erase(begin, end - begin);
      break;
    case 2:
      if (begin > 0 && begin < end) text.insert(begin, text.substr(begin, end - begin));
      break;
    case 3:
      text.insert(at, std::string(1 + random() % 3, alphabet[random() % alphabet.size()]));
      break;
    default: {
      const std::string& other = all[random() % all.size()];
      const std::size_t from = other.find('\n', random() % other.size());
      if (from != std::string::npos) text.insert(at, other.substr(from, random() % 60));
    }
  }
}

TEST(TypedRandom, SeedsAreAnswered) {
  const std::vector<std::string> all = seeds();
  ASSERT_GE(all.size(), 8U);
  for (const std::string& seed : all) feed(seed);
}

TEST(TypedRandom, ChangedSeedsAreAnswered) {
  const std::vector<std::string> all = seeds();
  std::mt19937 random(17);
  // CW_ROUNDS makes a longer run by hand.
  const char* said = std::getenv("CW_ROUNDS");
  const int rounds = said == nullptr ? 40 : std::atoi(said);
  for (int i = 0; i < rounds; ++i) {
    for (const std::string& seed : all) {
      std::string text = seed;
      const std::size_t changes = 1 + random() % 3;
      for (std::size_t k = 0; k < changes; ++k) change(text, all, random);
      feed(text);
    }
  }
}

}  // namespace
