#include <numbers>

#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_cooling;
using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;
using testing::HasSubstr;
using testing::Not;

constexpr const char* module = "outdoor.1";

/// Swings by `peak` up and down with a period [s].
Signal swinging(double middle, double peak, double period) {
  return Signal([=](double m) {
    return middle + peak * std::sin(2.0 * std::numbers::pi * m * 60.0 / period);
  });
}

TEST(ShortCycling, CountsStartsWithinAnHour) {
  const auto cycling = [](int starts, double every) {
    Signal speed(0);
    for (int k = 0; k < starts; ++k) speed = speed.during(10 + every * k, 13 + every * k, 50);
    return healthy_heating(180).with("outdoor.1.compressor_frequency [Hz]", speed);
  };
  EXPECT_EQ(test::finding(cycling(4, 10), "short-cycling", module).verdict, Verdict::ok);
  const Finding watch = test::finding(cycling(5, 12), "short-cycling", module);
  EXPECT_EQ(watch.verdict, Verdict::watch);
  EXPECT_THAT(watch.because, HasSubstr("started 5 times within 1 h 00 min"));
  EXPECT_EQ(test::finding(cycling(9, 7), "short-cycling", module).verdict, Verdict::fault);
  EXPECT_EQ(test::finding(cycling(8, 16), "short-cycling", module).verdict, Verdict::ok)
      << "8 starts, but never more than 4 in an hour";
  EXPECT_EQ(test::finding(healthy_heating(50), "short-cycling", module).verdict, Verdict::unproven);
}

// A machine that trips while its units call: what stood at its limit before the stops is said, and
// nothing where nothing stood there, nobody calls, or another module goes on.
TEST(ShortCycling, SaysWhatTheStopsFollow) {
  const auto cycles = [](Signal rest, double work) {
    for (int k = 0; k < 8; ++k) rest = rest.during(10 + 6 * k, 13 + 6 * k, work);
    return rest;
  };
  const auto tripping = [&](double peak_degC, double calls) {
    return healthy_heating(90)
        .with("outdoor.1.compressor_frequency [Hz]", cycles(0, 50))
        .with("outdoor.1.saturated_condensing_temperature [degC]", cycles(38, peak_degC))
        .with("indoor.1.call", calls);
  };
  const Finding f = test::finding(tripping(61.5, 1), "short-cycling", module);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because,
              HasSubstr("Just before 8 of 8 stops of the whole machine in that time, while units "
                        "called, the saturated condensing temperature stood at 61.5 °C or above: "
                        "the high-pressure protection may have acted"));
  ASSERT_EQ(f.measures.size(), 2U);
  EXPECT_EQ(f.measures[1].name, "stops_at_high_condensing");
  EXPECT_EQ(f.measures[1].value, 8.0);
  const auto says_nothing = [](const RecordingBuilder& log) {
    return testing::Value(test::finding(log, "short-cycling", module).because,
                          Not(HasSubstr("protection")));
  };
  EXPECT_TRUE(says_nothing(tripping(50, 1))) << "far from any limit";
  EXPECT_TRUE(says_nothing(tripping(61.5, 0))) << "nobody calls";
  EXPECT_TRUE(says_nothing(tripping(61.5, 1)
                               .with("outdoor.2.compressor_frequency [Hz]", 50)
                               .with("outdoor.2.mode", test::mode("heating"))))
      << "staged off beside a module that goes on";
  EXPECT_TRUE(says_nothing(tripping(61.5, 1).with(
      "outdoor.1.saturated_condensing_temperature [degC]", cycles(75, 61.5))))
      << "not where the machine goes farthest";
}

TEST(ShortCycling, SeesTheDischargeOfEachCompressor) {
  Signal speed(0);
  Signal hot(80);
  for (int k = 0; k < 8; ++k) {
    speed = speed.during(10 + 6 * k, 13 + 6 * k, 50);
    hot = hot.during(10 + 6 * k, 13 + 6 * k, 112);
  }
  const Finding f =
      test::finding(healthy_heating(90)
                        .with("outdoor.1.compressor_frequency [Hz]", speed)
                        .with("outdoor.1.compressor.1.discharge_temperature [degC]", 70)
                        .with("outdoor.1.compressor.2.discharge_temperature [degC]", hot)
                        .with("indoor.1.call", 1),
                    "short-cycling", module);
  EXPECT_THAT(f.because, HasSubstr("the discharge temperature stood at 112.0 °C or above: the "
                                   "protection against hot discharge gas may have acted"));
}

TEST(CommandedReal, AFrequencyWithoutPressureRatio) {
  RecordingBuilder log = healthy_cooling(60);
  log.with("outdoor.1.pressure_ratio [1]", 2.8);
  EXPECT_EQ(test::finding(log, "commanded-real", module).verdict, Verdict::ok);
  log.with("outdoor.1.pressure_ratio [1]", Signal(2.8).through(30, 37, 1.1));
  const Finding f = test::finding(log, "commanded-real", module);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("although the compressor is told to run at 20.0 Hz or more"));
  log.with("outdoor.1.pressure_ratio [1]", Signal(2.8).through(30, 50, 1.1));
  EXPECT_EQ(test::finding(log, "commanded-real", module).verdict, Verdict::fault);
  log.with("outdoor.1.compressor_frequency [Hz]", 12);
  EXPECT_EQ(test::finding(log, "commanded-real", module).verdict, Verdict::ok) << "it idles";
  EXPECT_EQ(test::finding(healthy_cooling(60), "commanded-real", module).verdict,
            Verdict::unproven);
}

TEST(SensorSense, WhatPhysicsForbids) {
  const Finding ok = test::finding(healthy_cooling(60), "sensor-sense", module);
  EXPECT_EQ(ok.verdict, Verdict::ok);
  EXPECT_EQ(ok.measures.size(), 3U);
  const Finding f = test::finding(healthy_cooling(60).with("outdoor.1.suction_superheat [K]", -4),
                                  "sensor-sense", module);
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("it cannot be colder"));
  EXPECT_EQ(test::finding(healthy_heating(60).with("outdoor.1.coil_temperature [degC]", -18),
                          "sensor-sense", module)
                .verdict,
            Verdict::watch);
  EXPECT_EQ(test::finding(RecordingBuilder(30, 60)
                              .with("outdoor.1.mode", test::mode("cooling"))
                              .with("outdoor.1.compressor_frequency [Hz]", 50),
                          "sensor-sense", module)
                .verdict,
            Verdict::unproven);
}

TEST(Hunting, OnePeriodInTwoSignals) {
  RecordingBuilder log = healthy_cooling(70, 5);
  log.with("outdoor.1.suction_temperature [degC]", swinging(16, 3, 155).noise(0.3, 1))
      .with("outdoor.1.saturated_evaporating_temperature [degC]",
            swinging(6, 0.8, 155).noise(0.1, 2));
  const Finding f = test::finding(log, "hunting", module);
  EXPECT_EQ(f.verdict, Verdict::watch) << f.because;
  EXPECT_THAT(f.because, HasSubstr("suction temperature swings by"));
  ASSERT_EQ(f.measures.size(), 2U);
  EXPECT_NEAR(f.measures[0].value, 6.0, 0.4);
  EXPECT_NEAR(f.measures[1].value, 155.0, 4.0);
  // In one signal only it may be the sensor's own.
  log.with("outdoor.1.saturated_evaporating_temperature [degC]", Signal(6).noise(0.1, 2));
  EXPECT_EQ(test::finding(log, "hunting", module).verdict, Verdict::ok);
  // And a small swing is how control works.
  log.with("outdoor.1.suction_temperature [degC]", swinging(16, 1, 155))
      .with("outdoor.1.saturated_evaporating_temperature [degC]", swinging(6, 0.8, 155));
  EXPECT_EQ(test::finding(log, "hunting", module).verdict, Verdict::ok);
}

/// A call that comes and goes `times` times, `every` min from minute 4 on, for `off` min.
Signal switching(int times, double every, double off) {
  Signal out(1);
  for (int k = 0; k < times; ++k) out = out.during(every * k + 4, every * k + 4 + off, 0);
  return out;
}

// A unit that is switched on and off every 10 min makes everything swing with it.
TEST(Hunting, WhatFollowsTheCallsIsTheLoad) {
  constexpr double period = 600.0;
  const auto log = [](double minutes, const Signal& suction, const Signal& evaporating) {
    return healthy_cooling(minutes, 15)
        .with("outdoor.1.suction_temperature [degC]", suction)
        .with("outdoor.1.saturated_evaporating_temperature [degC]", evaporating);
  };
  const Signal swings = swinging(16, 3, period).noise(0.1, 1);
  const Signal with_it = swinging(6, 1, period).noise(0.1, 2);
  const auto verdict = [](RecordingBuilder built) {
    return test::finding(built, "hunting", module).verdict;
  };
  EXPECT_EQ(verdict(log(180, swings, with_it).with("indoor.1.call", 1)), Verdict::watch);
  const Finding f = test::finding(
      log(180, swings, with_it).with("indoor.1.call", switching(18, 10, 4)), "hunting", module);
  EXPECT_EQ(f.verdict, Verdict::unproven) << f.because;
  EXPECT_THAT(f.because, HasSubstr("in the rhythm in which units begin and stop calling"));
  // Calls in another rhythm do not excuse it, however many there are.
  EXPECT_EQ(verdict(log(180, swings, with_it)
                        .with("indoor.1.call", switching(60, 3, 1))
                        .with("indoor.2.call", switching(43, 4.1, 2))),
            Verdict::watch);
  EXPECT_EQ(verdict(log(180, swings, with_it).with("indoor.1.call", Signal(1).during(60, 120, 0))),
            Verdict::watch);
}

TEST(Hunting, OpenWhereItCannotBeSeen) {
  EXPECT_THAT(test::finding(healthy_cooling(600, 600), "hunting", module).because,
              HasSubstr("too seldom"));
  EXPECT_EQ(test::finding(healthy_cooling(15, 5), "hunting", module).verdict, Verdict::unproven);
  RecordingBuilder log(5, 60);
  log.with("outdoor.1.mode", test::mode("cooling")).with("outdoor.1.compressor_frequency [Hz]", 50);
  EXPECT_THAT(test::finding(log, "hunting", module).because, HasSubstr("fewer than two"));
}

RecordingBuilder six_units(double odd) {
  RecordingBuilder log = healthy_heating(120);
  for (int k = 1; k <= 6; ++k) {
    const std::string unit = "indoor." + std::to_string(k);
    log.with(unit + ".gas_pipe_temperature [degC]", k == 3 ? odd : 57.0 + 0.4 * k)
        .with(unit + ".call", 1);
  }
  return log;
}

TEST(IndoorPeers, TheOddOneOut) {
  for (const Finding& f : test::judged(six_units(58)).findings) {
    if (f.check == "indoor-peers") {
      EXPECT_EQ(f.verdict, Verdict::ok) << f.because;
    }
  }
  const Finding f = test::finding(six_units(47), "indoor-peers", "indoor.3");
  EXPECT_EQ(f.verdict, Verdict::watch) << f.because;
  EXPECT_THAT(f.because, HasSubstr("under the middle of the calling units"));
  EXPECT_EQ(test::finding(six_units(47), "indoor-peers", "indoor.4").verdict, Verdict::ok);
  EXPECT_EQ(test::finding(healthy_heating(120), "indoor-peers", "system").verdict,
            Verdict::unproven);
  EXPECT_EQ(test::finding(six_units(47).with("indoor.3.call", Signal(0).from(100, 1)),
                          "indoor-peers", "indoor.3")
                .verdict,
            Verdict::unproven);
}

TEST(UnequalModules, AtLikeSpeed) {
  RecordingBuilder log = healthy_heating(120);
  log.with("outdoor.2.mode", test::mode("heating"))
      .with("outdoor.2.compressor_frequency [Hz]", 58)
      .with("outdoor.2.discharge_temperature [degC]", 78)
      .with("outdoor.2.saturated_condensing_temperature [degC]", 49);
  EXPECT_EQ(test::finding(log, "unequal-modules", "outdoor.2").verdict, Verdict::ok);
  log.with("outdoor.2.discharge_temperature [degC]", 66);
  const Finding f = test::finding(log, "unequal-modules", "outdoor.2");
  EXPECT_EQ(f.verdict, Verdict::watch);
  EXPECT_THAT(f.because, HasSubstr("14.0 K under that of the other modules"));
  log.with("outdoor.2.compressor_frequency [Hz]", 30);
  EXPECT_EQ(test::finding(log, "unequal-modules", "outdoor.2").verdict, Verdict::unproven)
      << "at another speed nothing can be compared";
  EXPECT_EQ(test::finding(healthy_heating(120), "unequal-modules", "system").verdict,
            Verdict::unproven);
}

}  // namespace
}  // namespace cw
