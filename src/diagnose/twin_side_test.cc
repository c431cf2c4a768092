#include "diagnose/twin_side.h"

#include <gtest/gtest.h>

#include "system/sheet.h"
#include "twin/working_point.h"

namespace cw::diagnose {
namespace {

// What the solver says of a machine that cannot run there is no error of the sheet: the recording
// stays unproven. A moment without a call is one that no solver can settle.
TEST(TwinSide, MomentsWithoutAStateAreUnproven) {
  const auto system = read_system(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml");
  ASSERT_TRUE(system.has_value());
  Moment moment;
  moment.kind = PhaseKind::heating;
  moment.room_K = 293.15;
  moment.orders = twin::fixed_calls(twin::Plant::heating, moment.room_K,
                                    std::vector<bool>(system->indoor().size(), false));
  const std::vector<Feature> features = features_of(*system);
  moment.seen.assign(features.size(), 0.0);
  moment.noise.assign(features.size(), 0.0);
  const auto side = ask_twin(*system, twin::parameters_of(*system).value(), features, {moment});
  ASSERT_FALSE(side.has_value());
  EXPECT_EQ(side.error().code, ErrorCode::no_convergence) << side.error().text();
}

}  // namespace
}  // namespace cw::diagnose
