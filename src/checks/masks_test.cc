#include "checks/masks.h"

#include <gtest/gtest.h>

#include "support/judged.h"
#include "support/recording_builder.h"

namespace cw {
namespace {

using test::RecordingBuilder;
using test::Signal;

TEST(Masks, AnIdleCompressorOfARunningModuleIsNotJudged) {
  RecordingBuilder log = test::healthy_heating(120);
  log.with("outdoor.1.compressor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.compressor.1.discharge_temperature [degC]", 80)
      .with("outdoor.1.compressor.2.compressor_frequency [Hz]", 0)
      .with("outdoor.1.compressor.2.discharge_temperature [degC]", 5);
  EXPECT_EQ(test::finding(log, "discharge-superheat", "outdoor.1.compressor.1").verdict,
            Verdict::ok);
  EXPECT_EQ(test::finding(log, "discharge-superheat", "outdoor.1.compressor.2").verdict,
            Verdict::unproven);
  EXPECT_EQ(test::finding(log, "discharge-temperature", "outdoor.1.compressor.2").verdict,
            Verdict::unproven);
}

TEST(Masks, ACompressorThatJoinsLaterHasAStartUpOfItsOwn) {
  RecordingBuilder log = test::healthy_heating(180);
  log.with("outdoor.1.compressor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.compressor.2.compressor_frequency [Hz]", Signal(0).from(60, 60));
  // 2 K of discharge superheat in the first 9.5 min of its run only: masked.
  log.with("outdoor.1.compressor.2.discharge_temperature [degC]",
           Signal(10).from(60, 80).during(60, 69.5, 51));
  EXPECT_EQ(test::finding(log, "discharge-superheat", "outdoor.1.compressor.2").verdict,
            Verdict::ok);
  // The same behind its start-up is found.
  log.with("outdoor.1.compressor.2.discharge_temperature [degC]",
           Signal(10).from(60, 80).during(70, 79.5, 51));
  EXPECT_EQ(test::finding(log, "discharge-superheat", "outdoor.1.compressor.2").verdict,
            Verdict::watch);
}

TEST(Masks, HeatRecoveryIsNotJudgedAsHeating) {
  RecordingBuilder log = test::healthy_heating(140);
  const Signal mixed = Signal(test::mode("heating")).from(20, test::mode("mixed"));
  log.with("outdoor.1.mode", mixed)
      .with("indoor.1.gas_pipe_temperature [degC]", 8)
      .with("indoor.1.call", Signal(0).from(20, 1));
  EXPECT_EQ(test::finding(log, "indoor-coil-heat", "indoor.1").verdict, Verdict::unproven);
  EXPECT_EQ(test::finding(log, "discharge-temperature", "outdoor.1").verdict, Verdict::ok)
      << "a compressor is a compressor in any mode";
}

TEST(Masks, ARoomIsJudgedWhileItsSystemHeatsAndCools) {
  RecordingBuilder log = test::healthy_recovery(120);
  EXPECT_EQ(test::finding(log, "set-point", "indoor.2").verdict, Verdict::ok);
  log.with("indoor.2.controlled_temperature [degC]", 27.5);
  const Finding f = test::finding(log, "set-point", "indoor.2");
  EXPECT_EQ(f.verdict, Verdict::fault);
  EXPECT_THAT(f.because, testing::HasSubstr("The room is too warm."));
}

TEST(Masks, TheNetworkPausesWhileAnyModuleThaws) {
  RecordingBuilder log = test::healthy_heating(120);
  log.with("outdoor.2.compressor_frequency [Hz]", 60)
      .with("outdoor.2.discharge_pressure [kPa(a)]", 3000)
      .with("outdoor.2.defrost", Signal(0).during(30, 36, 1));
  // The condensing temperature of module 1 sinks while module 2 thaws and recovers, 16 min in all.
  log.with("outdoor.1.saturated_condensing_temperature [degC]", Signal(49).through(30, 45.5, 30));
  const Finding f = test::finding(log, "condensing-target", "outdoor.1");
  EXPECT_EQ(f.verdict, Verdict::ok);
  EXPECT_TRUE(f.evidence.empty());
}

}  // namespace
}  // namespace cw
