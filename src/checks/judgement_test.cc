#include "checks/judgement.h"

#include <set>

#include "support/judged.h"

namespace cw {
namespace {

using test::healthy_heating;
using test::RecordingBuilder;
using test::Signal;

Finding of(std::string check, std::string_view place, Verdict verdict) {
  Finding out;
  out.check = std::move(check);
  out.place = *parse_place(place);
  out.verdict = verdict;
  return out;
}

TEST(VerdictOfACheck, WorstThenOkThenUnproven) {
  using V = Verdict;
  const auto verdict = [](std::vector<V> verdicts) {
    std::vector<Finding> findings;
    for (std::size_t i = 0; i < verdicts.size(); ++i) {
      findings.push_back(of("set-point", "indoor." + std::to_string(i + 1), verdicts[i]));
    }
    return verdict_of(findings, "set-point");
  };
  EXPECT_EQ(verdict({}), V::unproven);
  EXPECT_EQ(verdict({V::unproven}), V::unproven);
  EXPECT_EQ(verdict({V::unproven, V::ok}), V::ok) << "a unit that never called leaves nothing open";
  EXPECT_EQ(verdict({V::ok, V::watch, V::unproven}), V::watch);
  EXPECT_EQ(verdict({V::fault, V::watch, V::ok}), V::fault);
  EXPECT_EQ(verdict_of({of("a", "indoor.1", V::fault)}, "b"), V::unproven);
}

TEST(SystemVerdict, WorstOfItsChecks) {
  using V = Verdict;
  EXPECT_EQ(system_verdict({}), V::unproven);
  EXPECT_EQ(system_verdict({of("a", "indoor.1", V::ok), of("b", "indoor.1", V::ok)}), V::ok);
  EXPECT_EQ(system_verdict({of("a", "indoor.1", V::ok), of("b", "indoor.1", V::unproven)}),
            V::unproven)
      << "a question that no place could answer leaves the system open";
  EXPECT_EQ(system_verdict({of("a", "indoor.1", V::ok), of("a", "indoor.2", V::unproven)}), V::ok);
  EXPECT_EQ(system_verdict({of("a", "indoor.1", V::unproven), of("b", "indoor.1", V::watch)}),
            V::watch);
  EXPECT_EQ(system_verdict({of("a", "indoor.1", V::fault), of("b", "indoor.1", V::watch)}),
            V::fault);
}

TEST(Judgement, ACoolingLogOfShortRunsIsNotAskedAboutHeating) {
  RecordingBuilder log = test::healthy_cooling(60);
  log.with("outdoor.1.compressor_frequency [Hz]", Signal(0).during(5, 13, 60).during(40, 47, 60));
  const Judgement judgement = test::judged(log);
  for (const Check* check : judgement.asked) EXPECT_NE(check->mode, AskedIn::heating) << check->id;
  for (const Finding& f : judgement.findings) {
    EXPECT_THAT(f.because, testing::Not(testing::HasSubstr("steady heating"))) << f.check;
  }
}

TEST(Judgement, AHealthySystem) {
  const Judgement judgement = test::judged(healthy_heating(180));
  for (const Finding& f : judgement.findings) {
    EXPECT_LT(f.verdict, Verdict::watch) << f.check << ": " << f.because;
    if (find_check(f.check)->main) {
      EXPECT_EQ(f.verdict, Verdict::ok) << f.because;
    }
  }
  EXPECT_EQ(judgement.verdict, Verdict::ok);
  EXPECT_EQ(judgement.judged_verdict, Verdict::ok);
  EXPECT_EQ(judgement.refrigerant, "R-410A");
  std::set<std::string> asked;
  for (const Finding& f : judgement.findings) asked.insert(f.check);
  EXPECT_EQ(asked.size(), judgement.asked.size()) << "every check that is asked says something";
}

TEST(Judgement, WhatCouldNotBeJudgedIsKeptApart) {
  const Judgement judgement = test::judged(healthy_heating(90));
  EXPECT_EQ(judgement.verdict, Verdict::unproven) << "the frost question needs 3 h";
  EXPECT_EQ(judgement.judged_verdict, Verdict::ok);
  for (const Finding* f : judgement.with(Verdict::unproven)) {
    EXPECT_TRUE(f->check == "outdoor-coil-frost" || !find_check(f->check)->main) << f->because;
  }
}

TEST(Judgement, OneFaultIsTheSystems) {
  auto log = healthy_heating(180);
  log.with("indoor.1.gas_pipe_temperature [degC]", 38);
  const Judgement judgement = test::judged(log);
  EXPECT_EQ(judgement.verdict, Verdict::fault);
  EXPECT_EQ(judgement.judged_verdict, Verdict::fault);
  // A pipe of 38 degC is too cool and stands under the condensing temperature.
  ASSERT_EQ(judgement.with(Verdict::fault).size(), 2U);
  EXPECT_EQ(judgement.with(Verdict::fault)[0]->check, "indoor-coil-heat");
  EXPECT_EQ(judgement.with(Verdict::fault)[1]->check, "gas-line-drop");
}

TEST(Judgement, NothingAtAll) {
  const Judgement judgement =
      test::judged(test::RecordingBuilder(60, 10).with("site.outdoor_temperature [degC]", 3));
  EXPECT_EQ(judgement.verdict, Verdict::unproven);
  EXPECT_EQ(judgement.judged_verdict, Verdict::unproven);
  for (const Finding& f : judgement.findings) {
    EXPECT_EQ(f.verdict, Verdict::unproven) << f.check;
    EXPECT_FALSE(f.because.empty()) << f.check;
    EXPECT_FALSE(f.proof.empty()) << f.check << " must say what recording would prove it";
  }
}

TEST(Judgement, AnUnknownRefrigerant) {
  JudgeOptions options;
  options.refrigerant = "R-9000";
  const Result<Judgement> judgement = judge(healthy_heating(60).build(), options);
  ASSERT_FALSE(judgement.has_value());
  EXPECT_EQ(judgement.error().code, ErrorCode::not_found);
  EXPECT_FALSE(judgement.error().fix.empty());
}

TEST(Judgement, EverySentenceEndsAndSaysNoNan) {
  // Signals with holes everywhere.
  for (std::uint32_t seed = 1; seed <= 60; ++seed) {
    std::mt19937 random(seed);
    auto log = healthy_heating(240, 60);
    const auto holes = [&](const Signal& signal) {
      const double from = static_cast<double>(random() % 200);
      return signal.missing_during(from, from + 5.0 + static_cast<double>(random() % 100));
    };
    const double hot = 70.0 + static_cast<double>(random() % 40);
    log.with("outdoor.1.discharge_temperature [degC]", holes(Signal(hot).noise(8, seed)))
        .with("outdoor.1.coil_temperature [degC]", holes(Signal(-16).noise(4, seed + 1)))
        .with("site.outdoor_temperature [degC]", holes(-5))
        .with("outdoor.1.compressor_frequency [Hz]", holes(Signal(60).noise(20, seed + 2)))
        .with("indoor.1.controlled_temperature [degC]", holes(Signal(20.5).noise(2, seed + 3)))
        .with("outdoor.1.defrost", Signal(0).during(60, 66, 1).during(120, 126, 1));
    for (const Finding& f : test::judged(log).findings) {
      EXPECT_THAT(f.because, testing::EndsWith(".")) << f.check;
      EXPECT_THAT(f.because, testing::Not(testing::HasSubstr("nan"))) << "seed " << seed;
      EXPECT_EQ(f.verdict == Verdict::unproven, !f.proof.empty()) << f.check;
      EXPECT_EQ(f.verdict == Verdict::watch || f.verdict == Verdict::fault, !f.evidence.empty());
    }
  }
}

}  // namespace
}  // namespace cw
