// The words of the report on causes: a diagnosis made by hand, so that the text does not hang on
// the last digit of a simulation. CW_APPROVE=1 rewrites the expectation; the difference is then
// read.
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "diagnose/moments.h"
#include "ingest/import.h"
#include "report/check_report.h"
#include "report/diagnose_report.h"
#include "support/recording_builder.h"
#include "support/run_program.h"

namespace cw::diagnose {
namespace {

void compare(const std::string& name, const std::string& got) {
  const std::filesystem::path path =
      std::filesystem::path(CW_SOURCE_ROOT) / "tests" / "diagnose" / name;
  if (const char* approve = std::getenv("CW_APPROVE"); approve != nullptr && *approve == '1') {
    std::ofstream(path, std::ios::binary) << got;
    return;
  }
  EXPECT_EQ(got, test::slurp(path)) << "If that is meant: make approve, then read the difference.";
}

RankedCause cause(const char* id, const char* place, double probability) {
  RankedCause out;
  out.kind = find_cause_kind(id);
  out.text = &cause_book().text_of(id);
  out.place = place;
  out.probability = probability;
  return out;
}

Diagnosis undercharged() {
  Diagnosis d;
  d.system = "Demo office";
  d.moments.push_back({test::minute(30), test::minute(45), PhaseKind::heating, 270.15, 12});
  d.readings = 64;
  d.healthy = 0.04;
  d.unknown = 0.01;
  d.healthy_misfit = 3.2;
  RankedCause under = cause("undercharge", "system", 0.82);
  under.severity = 0.24;
  under.low = 0.18;
  under.high = 0.31;
  under.speaks_for.push_back({"discharge temperature, outdoor module 1", Dimension::temperature,
                              371.3, 357.1, 370.2, 4.8, false});
  under.speaks_for.push_back(
      {"valve opening, indoor unit 3", Dimension::ratio, 0.12, 0.21, 0.13, 0.15, true});
  under.speaks_against.push_back({"suction temperature, outdoor module 2", Dimension::temperature,
                                  268.0, 268.5, 272.1, 1.9, false});
  d.causes.push_back(std::move(under));
  RankedCause sensor = cause("sensor-discharge-temperature", "outdoor.1", 0.09);
  sensor.severity = 11.0;
  sensor.low = 8.0;
  sensor.high = 12.0;
  sensor.same_as = {"a worn compressor that leaks inside (outdoor module 1)"};
  sensor.signs = {"sensor-sense"};
  d.causes.push_back(std::move(sensor));
  RankedCause valve = cause("outdoor-valve-closed", "outdoor.2", 0.03);
  valve.by_table = true;
  d.causes.push_back(std::move(valve));
  d.not_calculated = {"an outdoor expansion valve that does not open enough, outdoor module 2"};
  d.pairs.push_back({"too little refrigerant", "a dirty filter", 0.06});
  d.next.push_back({&cause_book().tests[6], "", 0.31});
  d.next.push_back({&cause_book().tests[2], "outdoor.1", 0.12});
  ChargeEstimate charge;
  charge.proven = true;
  charge.why = "From what more or less refrigerant would change in the readings compared.";
  charge.sheet_kg = 34.5;
  charge.kg = 26.2;
  charge.low_kg = 23.8;
  charge.high_kg = 28.3;
  d.charge = charge;
  d.stores.push_back({"accumulators", 1.1, 0.9, 3.2});
  d.days.push_back({false, 258.15, true, 48e3, 66e3, 383.15, 378.15, true, 0.02, true});
  d.days.push_back({true, 308.15, false, 0, 0, 0, 0, false, 0, true});
  return d;
}

TEST(DiagnoseReport, Text) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  const Diagnosis d = undercharged();
  compare("report.txt", diagnose_text({judgement, d, UnitSystem::si}, 100));
  compare("report.ip.txt", diagnose_text({judgement, d, UnitSystem::ip}, 100));
}

TEST(DiagnoseReport, NothingWrongIsAnAnswer) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  Diagnosis d;
  d.healthy = 0.93;
  d.unknown = 0.01;
  d.causes.push_back(cause("filter", "indoor.2", 0.06));
  const std::string text = diagnose_answer({judgement, d, UnitSystem::si});
  EXPECT_NE(text.find("No cause is named"), std::string::npos) << text;
  EXPECT_NE(text.find("93 %"), std::string::npos) << text;
}

TEST(DiagnoseReport, NothingWrongIsNotSaidOfHoursThatWereNotCompared) {
  Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  ASSERT_FALSE(judgement.findings.empty());
  Finding& finding = judgement.findings.front();
  finding.verdict = Verdict::fault;
  finding.evidence = {{Verdict::fault, {test::minute(40), test::minute(55), 0, 0, 900}, {}}};
  Diagnosis d;
  d.healthy = 0.93;
  d.outside = {0};
  const DiagnoseReport report{judgement, d, UnitSystem::si};
  const std::string text = diagnose_answer(report);
  EXPECT_EQ(text.find("Unproven: a finding of the checks lies outside"), 0U) << text;
  EXPECT_NE(diagnose_json(report).find("\"outside_moments\": [\n"), std::string::npos);
}

TEST(FoundIn, AsksWhetherTheTimesOfAFindingMeetThoseCompared) {
  Finding finding;
  finding.verdict = Verdict::watch;
  finding.evidence = {{Verdict::watch, {test::minute(40), test::minute(55), 0, 0, 900}, {}}};
  EXPECT_TRUE(found_in(finding, test::minute(30), test::minute(45)));
  EXPECT_TRUE(found_in(finding, test::minute(45), test::minute(50)));
  EXPECT_FALSE(found_in(finding, test::minute(20), test::minute(35)));
  finding.verdict = Verdict::unproven;
  EXPECT_FALSE(found_in(finding, test::minute(30), test::minute(45)));
}

TEST(DiagnoseReport, ACauseThatIsLikelierThanNothingIsSaidSoThoughNotNamed) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  Diagnosis d;
  d.healthy = 0.40;
  d.unknown = 0.12;
  d.causes.push_back(cause("filter", "indoor.2", 0.48));
  const std::string text = diagnose_answer({judgement, d, UnitSystem::si});
  EXPECT_NE(text.find("No cause is sure enough"), std::string::npos) << text;
  EXPECT_NE(text.find("indoor unit 2 with 48 %"), std::string::npos) << text;
}

TEST(DiagnoseReport, NothingIsNamedThatIsLessLikelyThanNothing) {
  Diagnosis d;
  d.healthy = 0.35;
  d.causes.push_back(cause("filter", "indoor.2", 0.3));
  EXPECT_EQ(d.named(), nullptr) << "several causes share the rest";
  d.causes.front().probability = 0.5;
  EXPECT_NE(d.named(), nullptr);
}

// What was learnt from the sound machine leaves less room for chance, and more is asked for.
TEST(DiagnoseReport, BesideASoundRecordingMoreIsAskedFor) {
  Diagnosis d;
  d.healthy = 0.3;
  d.causes.push_back(cause("filter", "indoor.2", 0.7));
  EXPECT_NE(d.named(), nullptr);
  d.compared_with_sound = true;
  EXPECT_EQ(d.named(), nullptr);
  d.healthy = 0.03;
  EXPECT_NE(d.named(), nullptr);
}

TEST(DiagnoseReport, FarFromTheTwinNothingIsNamed) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  Diagnosis d = undercharged();
  ASSERT_NE(d.named(), nullptr);
  d.left_misfit = 9.4;
  EXPECT_EQ(d.named(), nullptr);
  const std::string text = diagnose_answer({judgement, d, UnitSystem::si});
  // The root of 9.4 is 3.07.
  EXPECT_NE(text.find("expected: 3.1, 1 is as expected"), std::string::npos) << text;
  EXPECT_NE(text.find("Give the sheet of this one"), std::string::npos) << text;
  EXPECT_EQ(text.find("Compare the sheet"), std::string::npos) << "there is none: " << text;
}

TEST(DiagnoseReport, TheHtmlTellsTheOwnerFirstAndTheTechnicianThen) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  const Import import;
  const Diagnosis d = undercharged();
  CheckReport report{import, judgement};
  EXPECT_EQ(check_html(report).find("Likely causes"), std::string::npos) << "none were looked for";
  report.diagnosis = &d;
  const std::string html = check_html(report);
  const auto at = [&](const char* text) { return html.find(text); };
  EXPECT_LT(at("Is it healthy?"), at("The machine lacks refrigerant"));
  EXPECT_LT(at("The machine lacks refrigerant"), at("Likely causes"));
  EXPECT_LT(at("Likely causes"), at("What speaks for and against them"));
  EXPECT_LT(at("98.2 °C"), at("What would tell more"));
  EXPECT_NE(at("these readings cannot tell it from a worn compressor"), std::string::npos);
  EXPECT_NE(at("90 % between 23.800 kg and 28.300 kg"), std::string::npos);
  EXPECT_NE(at("Limits in force"), std::string::npos) << "the pages of the check follow";
}

TEST(DiagnoseReport, AnUnprovenDiagnosisSaysWhyInTheHtml) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  const Import import;
  Diagnosis d;
  d.unproven = "Nowhere do compressors and calls stay as they are.";
  CheckReport report{import, judgement};
  report.diagnosis = &d;
  const std::string html = check_html(report);
  EXPECT_NE(html.find("No cause could be looked for: Nowhere do"), std::string::npos);
  EXPECT_EQ(html.find("What speaks for"), std::string::npos);
}

TEST(DiagnoseReport, WhatNoCauseExplainsIsSaidSo) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  Diagnosis d;
  d.healthy = 0.1;
  d.unknown = 0.8;
  const std::string text = diagnose_answer({judgement, d, UnitSystem::si});
  EXPECT_NE(text.find("no cause in the list explains it"), std::string::npos) << text;
}

TEST(DiagnoseReport, JsonNamesWhatTheTextNames) {
  const Judgement judgement = judge(test::healthy_heating(60).build(), {}).value();
  const std::string json = diagnose_json({judgement, undercharged(), UnitSystem::si});
  EXPECT_NE(json.find("\"named\": \"undercharge\""), std::string::npos);
  EXPECT_NE(json.find("\"schema\": \"coilwright.diagnose/1\""), std::string::npos);
}

}  // namespace
}  // namespace cw::diagnose
