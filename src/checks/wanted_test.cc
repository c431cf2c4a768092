#include "checks/wanted.h"

#include <sstream>

#include "support/judged.h"

namespace cw {
namespace {

using test::RecordingBuilder;
using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;

std::vector<std::string> missing(const RecordingBuilder& builder, std::string check,
                                 std::string_view place, Verdict verdict = Verdict::unproven) {
  Finding finding;
  finding.check = std::move(check);
  finding.place = *parse_place(place);
  finding.verdict = verdict;
  return missing_channels(finding, builder.build());
}

TEST(MissingChannels, AreThoseOfThePlaceItsCompressorsAndTheSystem) {
  RecordingBuilder log(60, 10);
  log.with("indoor.1.set_point [degC]", 20);
  EXPECT_THAT(missing(log, "discharge-superheat", "outdoor.1"),
              ElementsAre("outdoor.1.discharge_temperature", "outdoor.1.discharge_pressure"));
  log.with("outdoor.1.compressor.1.discharge_temperature [degC]", 80);
  EXPECT_THAT(missing(log, "discharge-superheat", "outdoor.1"),
              ElementsAre("outdoor.1.discharge_pressure"));
  EXPECT_THAT(missing(log, "discharge-superheat", "outdoor.2"),
              Contains("outdoor.2.discharge_temperature"))
      << "another module's does not do";
  log.with("system.discharge_pressure [kPa(a)]", 2500);
  EXPECT_THAT(missing(log, "discharge-superheat", "outdoor.1"), IsEmpty());
}

TEST(MissingChannels, OneOfSeveralIsEnough) {
  RecordingBuilder log(60, 10);
  log.with("outdoor.1.discharge_superheat [K]", 20);
  EXPECT_THAT(missing(log, "discharge-superheat", "outdoor.1"), IsEmpty());
  log.with("indoor.3.return_air_temperature [degC]", 20);
  EXPECT_THAT(missing(log, "set-point", "indoor.3"), ElementsAre("indoor.3.set_point"));
}

TEST(MissingChannels, AirIsMeasuredWhereverItIs) {
  RecordingBuilder log(60, 10);
  log.with("outdoor.1.discharge_pressure [kPa(a)]", 2500);
  EXPECT_THAT(missing(log, "condensing-approach", "outdoor.1"),
              ElementsAre("site.outdoor_temperature"));
  log.with("site.outdoor_temperature [degC]", 2);
  EXPECT_THAT(missing(log, "condensing-approach", "outdoor.1"), IsEmpty());
}

TEST(MissingChannels, OfAnOpenPlaceTheQuantityAloneIsNamed) {
  RecordingBuilder log(60, 10);
  log.with("outdoor.1.discharge_pressure [kPa(a)]", 2500);
  EXPECT_THAT(missing(log, "condensing-target", "outdoor.1"), ElementsAre("call"));
  EXPECT_THAT(missing(log, "indoor-coil-heat", "system"),
              ElementsAre("gas_pipe_temperature", "call"));
  log.with("indoor.4.call", 1);
  EXPECT_THAT(missing(log, "condensing-target", "outdoor.1"), IsEmpty());
}

TEST(MissingChannels, ALineMayHoldForOneKindOfPlaceOnly) {
  const RecordingBuilder log(60, 10);
  EXPECT_THAT(missing(log, "sensor-zero", "indoor.2"),
              ElementsAre("indoor.2.gas_pipe_temperature", "indoor.2.controlled_temperature"));
  EXPECT_THAT(missing(log, "sensor-zero", "outdoor.1"),
              ElementsAre("outdoor.1.coil_temperature", "site.outdoor_temperature"));
}

TEST(MissingChannels, NothingIsMissingOfWhatWasJudged) {
  const RecordingBuilder log(60, 10);
  EXPECT_THAT(missing(log, "set-point", "indoor.2", Verdict::watch), IsEmpty());
  EXPECT_THAT(missing(log, "no-such-check", "indoor.2"), IsEmpty());
}

TEST(MissingChannels, EveryCheckNamesQuantitiesThatThereAre) {
  for (const Check& check : check_catalogue()) {
    EXPECT_FALSE(records_of(check.id).empty()) << check.id;
    for (std::string line : records_of(check.id)) {
      for (char& c : line) c = c == '|' ? ' ' : c;
      std::istringstream words(line);
      for (std::string word; words >> word;) {
        if (word.ends_with(':')) continue;
        const std::string quantity = word.substr(word.rfind('.') + 1);
        EXPECT_NE(find_quantity(quantity), nullptr) << check.id << ": " << word;
      }
    }
  }
}

TEST(MissingChannels, AHealthyLogLacksNoneThatAMainCheckNeeds) {
  const Judgement judgement = test::judged(test::healthy_heating(20));
  for (const Finding& f : judgement.findings) {
    if (!find_check(f.check)->main) continue;
    EXPECT_THAT(missing_channels(f, judgement.recording), IsEmpty()) << f.check;
  }
}

}  // namespace
}  // namespace cw
