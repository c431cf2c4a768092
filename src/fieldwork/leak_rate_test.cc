#include "fieldwork/leak_rate.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "base/file.h"
#include "fieldwork/detail/rules.h"
#include "fieldwork/form_of_test.h"
#include "fieldwork/leak_register.h"

namespace cw::field {
namespace {

constexpr double lb = 0.45359237;

const Answers good = {
    {"--full", "80lb"}, {"--added", "6lb"}, {"--days", "95"}, {"--method", "annualizing"}};

// facts/standards.md B: 80 lb, 6 lb after 95 d: 28.8 %/yr; plus 3 lb earlier: rolling 11.25 %.
TEST(LeakRate, WorkedExamples) {
  EXPECT_NEAR(annualized_leak_rate(Kilogram{6 * lb}, Kilogram{80 * lb}, 95), 0.288, 0.0005);
  EXPECT_NEAR(rolling_leak_rate(Kilogram{9 * lb}, Kilogram{80 * lb}), 0.1125, 1e-9);
  const auto annual = leak_rate(form_with(good), UnitSystem::ip);
  ASSERT_TRUE(annual.has_value()) << annual.error().text();
  EXPECT_NEAR(annual->value_of("leak_rate"), 0.288, 0.0005);
  expect_honest(*annual);
  Form rolling = form_with(good, {{"--method", "rolling"}});
  rolling.add("--added", "3lb");
  EXPECT_NEAR(leak_rate(rolling, UnitSystem::si)->value_of("leak_rate"), 0.1125, 1e-9);
}

// A year and more counts as 365 days.
TEST(LeakRate, AnnualizingIsCappedAtAYear) {
  EXPECT_DOUBLE_EQ(annualized_leak_rate(Kilogram{6}, Kilogram{80}, 800), 6.0 / 80.0);
}

// facts/standards.md B: 24 kg R-410A = 50.1 t, 6 months; 24 kg R-32 = 16.2 t, 12 months.
// 5/50/500 t: R-410A 2.39/23.95/239.5 kg; R-32 7.41/74.1/741; R-407C 2.82/28.2/282; R-134a
// 3.50/35.0/350; R-454B 10.75/107.5/1075.
TEST(LeakRate, CarbonDioxideEquivalents) {
  const auto months = [](const char* name, double kg) {
    const auto r = detail::rule_refrigerant(name);
    return check_interval_months(co2_equivalent(Kilogram{kg}, r->gwp_eu->value), false);
  };
  EXPECT_NEAR(co2_equivalent(Kilogram{24}, 2088).value, 50.1e3, 50);
  EXPECT_NEAR(co2_equivalent(Kilogram{24}, 675).value, 16.2e3, 50);
  EXPECT_EQ(months("R-410A", 24), 6);
  EXPECT_EQ(months("R-32", 24), 12);
  struct Band {
    const char* name;
    double kg;  // at 5 t
  };
  for (const Band& band : {Band{"R-410A", 2.395}, Band{"R-32", 7.407}, Band{"R-407C", 2.818},
                           Band{"R-134a", 3.497}, Band{"R-454B", 10.753}}) {
    EXPECT_EQ(months(band.name, 0.998 * band.kg), 0) << band.name;
    EXPECT_EQ(months(band.name, 1.002 * band.kg), 12) << band.name;
    EXPECT_EQ(months(band.name, 10.02 * band.kg), 6) << band.name;
    EXPECT_EQ(months(band.name, 100.2 * band.kg), 3) << band.name;
  }
  EXPECT_EQ(check_interval_months(Kilogram{50.1e3}, true), 12);
}

TEST(LeakRate, EuDates) {
  const auto sheet = leak_rate(form_with({{"--full", "24kg"},
                                          {"--refrigerant", "R-410A"},
                                          {"--rule", "eu-2024-573"},
                                          {"--last-check", "2026-08-31"},
                                          {"--repaired", "2026-01-31"}}),
                               UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_EQ(sheet->verdict, "leak check every 6 months");
  EXPECT_EQ(sheet->result("next_check")->word, "2027-02-28");
  EXPECT_EQ(sheet->result("recheck_until")->word, "2026-02-28");
  EXPECT_NEAR(sheet->value_of("co2_equivalent"), 50.1e3, 50);
}

// Applicability is chosen, and without a choice nothing is judged.
TEST(LeakRate, TheRuleIsThePersonsChoice) {
  const auto none = leak_rate(form_with(good), UnitSystem::si);
  EXPECT_TRUE(none->verdict.empty());
  const auto us = leak_rate(form_with(good, {{"--rule", "us-84-106"}}), UnitSystem::si);
  EXPECT_EQ(us->verdict, "over");
  EXPECT_NE(us->because.at(0).find("disputed"), std::string::npos);
  EXPECT_EQ(us->result("threshold")->source.substr(0, 11), "from memory");
  const auto small =
      leak_rate(form_with(good, {{"--full", "10lb"}, {"--rule", "us-84-106"}}), UnitSystem::si);
  EXPECT_NE(small->verdict.find("below the charge"), std::string::npos);
}

TEST(LeakRate, RollingWindowByDates) {
  const auto rate = [](const Answers& changed) {
    Answers dated = {{"--full", "80lb"},
                     {"--method", "rolling"},
                     {"--added", "2024-12-01:9lb,2025-06-01:3lb,2026-01-10:6lb"}};
    const auto sheet = leak_rate(form_with(dated, changed), UnitSystem::si);
    return sheet ? sheet->value_of("leak_rate") : -1.0;
  };
  EXPECT_NEAR(rate({}), 9.0 / 80.0, 1e-9);  // the first is older than a year
  EXPECT_NEAR(rate({{"--verified", "2025-07-01"}}), 6.0 / 80.0, 1e-9);
}

TEST(LeakRegister, KeepsADatedListThatAPersonCanRead) {
  const std::filesystem::path path = std::filesystem::path(testing::TempDir()) / "register.toml";
  std::filesystem::remove(path);
  Answers answers = {{"--full", "80lb"}, {"--method", "rolling"}, {"--register", path.string()}};
  Form form = form_with(answers);
  form.add("--record", "2026-01-10 addition 6lb flare at \"unit 3\"");
  form.add("--record", "2025-10-07 addition 3lb");
  form.add("--record", "2026-01-11 repair new flare");
  const auto sheet = leak_rate(form, UnitSystem::si);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().text();
  EXPECT_NEAR(sheet->value_of("leak_rate"), 0.1125, 1e-6);
  const auto text = read_file(path);
  ASSERT_TRUE(text.has_value());
  EXPECT_NE(text->find("date = 2026-01-10\nkind = \"addition\"\nmass = \"2.721554 kg\"\nnote = "
                       "\"flare at \\\"unit 3\\\"\""),
            std::string::npos)
      << *text;
  const auto entries = read_register(path);
  ASSERT_TRUE(entries.has_value());
  ASSERT_EQ(entries->size(), 3U);
  EXPECT_EQ(day_text(entries->front().day), "2025-10-07");
  // Annualized from the register: 6 lb after 95 days.
  const auto annual = leak_rate(form_with(answers, {{"--method", "annualizing"}}), UnitSystem::si);
  EXPECT_NEAR(annual->value_of("leak_rate"), 0.288, 0.0005);
  // The same entry twice is refused and changes nothing.
  const auto twice =
      leak_rate(form_with(answers, {{"--record", "2025-10-07 addition 3lb"}}), UnitSystem::si);
  ASSERT_FALSE(twice.has_value());
  EXPECT_EQ(*read_file(path), *text);
  // A broken register is refused whole.
  ASSERT_TRUE(write_file(path, "[[entry]]\ndate = 2026-01-10\nkind = \"guess\"\n").has_value());
  EXPECT_FALSE(read_register(path).has_value());
  std::filesystem::remove(path);
}

TEST(LeakRegister, MonthsKeepToTheCalendar) {
  const auto later = [](const char* day, int months) {
    return day_text(months_later(*read_date(day, ""), months));
  };
  EXPECT_EQ(later("2026-01-31", 1), "2026-02-28");
  EXPECT_EQ(later("2027-12-31", 2), "2028-02-29");
  EXPECT_EQ(later("2026-11-15", 3), "2027-02-15");
}

TEST(LeakRate, ImpossibleInputs) {
  expect_all_refused(
      leak_rate, good,
      {{{{"--full", "-"}}, "--full", "missing"},
       {{{"--full", "0lb"}}, "--full", "below the least"},
       {{{"--full", "-80lb"}}, "--full", "below the least"},
       {{{"--full", "80"}}, "--full", "no unit"},
       {{{"--full", "80L"}}, "--full", "mass is needed"},
       {{{"--full", "80000lb"}}, "--full", "above the most"},
       {{{"--added", "0lb"}}, "--added", "below the least"},
       {{{"--added", "-6lb"}}, "--added", "below the least"},
       {{{"--added", "six"}}, "--added", "number"},
       {{{"--added", "600lb"}}, "--added", "three full charges"},
       {{{"--added", "2026-13-01:6lb"}}, "--added", "no date"},
       {{{"--added", "-"}}, "--added", "nothing was added"},
       {{{"--days", "0"}}, "--days", "at least a day"},
       {{{"--days", "-95"}}, "--days", "at least a day"},
       {{{"--days", "-"}}, "--days", "missing"},
       {{{"--days", "95kg"}}, "--days", "time is needed"},
       {{{"--method", "guessing"}}, "--method", "not known here"},
       {{{"--rule", "all"}}, "--rule", "not known here"},
       {{{"--rule", "eu-2024-573"}}, "--refrigerant", "missing"},
       {{{"--refrigerant", "R-999"}}, "--refrigerant", "no figures"},
       {{{"--refrigerant", "R-22"}, {"--rule", "eu-2024-573"}}, "--rule", "Annex I"},
       {{{"--appliance", "rocket"}}, "--appliance", "not known here"},
       {{{"--last-check", "2026-02-30"}}, "--last-check", "no date"},
       {{{"--added", "2026-01-10:6lb"}, {"--on", "2026-01-01"}}, "--on", "later than the day"},
       {{{"--on", "2026-01-01"}, {"--verified", "2026-02-01"}}, "--verified", "later than"},
       {{{"--record", "2026-01-10 addition 6lb"}}, "--register", "needs a register"},
       {{{"--record", "yesterday addition 6lb"}, {"--register", "/nonexistent/r.toml"}},
        "--record",
        "no date"},
       {{{"--record", "2026-01-10 addition"}, {"--register", "/nonexistent/r.toml"}},
        "--record",
        "no mass"}});
}

}  // namespace
}  // namespace cw::field
