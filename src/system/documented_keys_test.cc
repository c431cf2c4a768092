#include <gtest/gtest.h>

#include <span>

#include "base/file.h"
#include "system/detail/defaults.h"
#include "system/detail/keys.h"

namespace {

using namespace cw;
namespace keys = detail::keys;

TEST(Documentation, EveryKeyOfTheSheetIsInTheGuide) {
  const std::string guide = read_file(std::string(CW_SOURCE_ROOT) + "/docs/user/sheet.md").value();
  const std::span<const keys::Key> lists[] = {keys::tables_of_other_modules,
                                              keys::sheet,
                                              keys::site,
                                              keys::outdoor,
                                              keys::compressor,
                                              keys::outdoor_coil,
                                              keys::accumulator,
                                              keys::branch,
                                              keys::indoor,
                                              keys::room_of_unit,
                                              keys::room,
                                              keys::piping,
                                              keys::pipe,
                                              keys::fitting,
                                              keys::charge,
                                              keys::movement,
                                              keys::allowance};
  for (const auto& list : lists) {
    for (const keys::Key key : list) {
      EXPECT_NE(guide.find("`" + std::string(key) + "`"), std::string::npos) << key;
    }
  }
  for (const detail::FittingKind& kind : detail::fitting_kinds()) {
    EXPECT_NE(guide.find("`" + kind.name + "`"), std::string::npos) << kind.name;
  }
}

}  // namespace
