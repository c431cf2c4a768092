#include "fieldwork/procedures.h"

#include <gtest/gtest.h>

#include <set>

namespace cw::field {
namespace {

TEST(Procedures, EveryUnitOfAFormIsOneThatIsRead) {
  for (const Procedure& procedure : procedures()) {
    for (const Question& question : procedure.questions()) {
      for (const std::string_view unit : answer_form(question).units) {
        // Hours and days are read by Form::duration, the rest as units.
        if (question.value_name == "TIME") continue;
        EXPECT_TRUE(parse_unit(unit)) << procedure.name << " " << question.flag << " " << unit;
      }
    }
  }
}

TEST(Procedures, NamesAndFlagsOccurOnce) {
  std::set<std::string_view> names;
  for (const Procedure& procedure : procedures()) {
    EXPECT_TRUE(names.insert(procedure.name).second) << procedure.name;
    EXPECT_EQ(find_procedure(procedure.name), &procedure);
    std::set<std::string_view> flags;
    for (const Question& question : procedure.questions()) {
      EXPECT_TRUE(flags.insert(question.flag).second) << question.flag;
    }
  }
  EXPECT_EQ(find_procedure("nothing"), nullptr);
}

TEST(Procedures, AnAttachedFileIsReadAndTheDiskIsNot) {
  Form form;
  form.attach("--log", {"no such file.csv", "time [h],pressure [MPa(g)]\n0,4.0\n"});
  const auto file = form.file("--log");
  ASSERT_TRUE(file.has_value());
  EXPECT_EQ(file->name, "no such file.csv");
  EXPECT_TRUE(file->text.starts_with("time"));
  Form by_path;
  by_path.replace("--log", "no such file.csv");
  EXPECT_FALSE(by_path.file("--log").has_value());
}

TEST(Procedures, AnEntryIsNotWrittenIntoAnAttachedRegister) {
  Form form;
  form.replace("--full", "80lb");
  form.replace("--record", "2026-01-10 addition 6lb");
  form.attach("--register", {"register.toml", ""});
  const auto sheet = find_procedure("leak-rate")->run(form, UnitSystem::si);
  ASSERT_FALSE(sheet.has_value());
  EXPECT_EQ(sheet.error().where, "--record");
}

}  // namespace
}  // namespace cw::field
