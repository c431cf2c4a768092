#include "checks/wanted.h"

#include <set>
#include <sstream>
#include <tuple>

#include "base/text.h"
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
  EXPECT_THAT(missing(log, "gas-line-drop", "indoor.2"),
              ElementsAre("indoor.2.gas_pipe_temperature", "indoor.2.call"));
  EXPECT_THAT(missing(log, "indoor-subcooling", "system"),
              ElementsAre("liquid_pipe_temperature", "call"));
  EXPECT_THAT(missing(log, "indoor-coil-heat", "system"),
              ElementsAre("gas_pipe_temperature", "call"));
  log.with("indoor.4.call", 1).with("indoor.5.call", 1);
  EXPECT_THAT(missing(log, "indoor-coil-heat", "system"), ElementsAre("gas_pipe_temperature"));
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
      for (char& c : line) c = c == '|' || c == '+' ? ' ' : c;
      std::istringstream words(line);
      for (std::string word; words >> word;) {
        if (word.ends_with(':') || word == "calls") continue;
        const std::string quantity = word.substr(word.rfind('.') + 1);
        EXPECT_NE(find_quantity(quantity), nullptr) << check.id << ": " << word;
      }
    }
  }
}

/// A constant log with what the first alternatives of a check's list say, at places of every kind
/// and nothing else; the only unit's calls are asked for as well.
RecordingBuilder just_what_is_said(const std::string& check) {
  RecordingBuilder out(60, 10);
  const auto add = [&](std::string_view text) {
    const std::size_t dot = text.find('.');
    const std::string quantity(dot == std::string_view::npos ? text : text.substr(dot + 1));
    for (const char* place : {"outdoor.1", "indoor.1", "indoor.2", "branch.1"}) {
      out.with(std::string(place) + "." + (quantity == "calls" ? "call" : quantity), 1);
    }
  };
  for (const std::string& line : records_of(check)) {
    std::string_view rest = line;
    if (const std::size_t colon = rest.find(": "); colon != std::string_view::npos) {
      rest.remove_prefix(colon + 2);
    }
    for (const std::string_view text : split(rest.substr(0, rest.find(" |")), '+')) add(trim(text));
  }
  return out;
}

TEST(MissingChannels, WithWhatIsSaidNothingIsMissing) {
  for (const Check& check : check_catalogue()) {
    for (const char* place : {"outdoor.1", "indoor.1", "branch.1", "system"}) {
      EXPECT_THAT(missing(just_what_is_said(check.id), check.id, place), IsEmpty()) << check.id;
    }
  }
}

TEST(MissingChannels, WhatIsTakenAwayIsWhatIsNamed) {
  for (const auto& [check, place, channel] :
       {std::tuple{"set-point", "indoor.1", "indoor.1.set_point"},
        std::tuple{"valve-leak", "indoor.1", "indoor.1.call"},
        std::tuple{"sensor-sense", "outdoor.1", "outdoor.1.discharge_temperature"},
        std::tuple{"changeover", "indoor.1", "indoor.1.mode"},
        std::tuple{"outdoor-coil-frost", "outdoor.1", "outdoor.1.coil_temperature"}}) {
    RecordingBuilder log = just_what_is_said(check);
    log.without(channel);
    EXPECT_THAT(missing(log, check, place), ElementsAre(channel)) << check;
  }
}

/// Of every check that judged a log: does the list agree that nothing was missing?
void expect_nothing_missing_where_judged(Recording recording, const std::string& without) {
  std::erase_if(recording.channels, [&](const Channel& c) {
    return without.find(" " + c.quantity->name + " ") != std::string::npos;
  });
  if (recording.channels.empty()) return;
  const auto judgement = judge(std::move(recording), test::exact_sensors());
  ASSERT_TRUE(judgement.has_value()) << judgement.error().message;
  for (Finding f : judgement->findings) {
    if (f.verdict == Verdict::unproven) continue;
    f.verdict = Verdict::unproven;
    EXPECT_THAT(missing_channels(f, judgement->recording), IsEmpty())
        << f.check << " of " << f.place.text << " was judged, without" << without;
  }
}

/// Logs in which many checks can judge, and the same without one quantity, or without two.
TEST(MissingChannels, WhatCouldBeJudgedLackedNothing) {
  RecordingBuilder heating = test::healthy_heating(60, 60);
  RecordingBuilder cooling = test::healthy_cooling(60, 60);
  for (RecordingBuilder* log : {&heating, &cooling}) {
    log->with("indoor.2.gas_pipe_temperature [degC]", log == &heating ? 58 : 13)
        .with("indoor.2.room_temperature [degC]", log == &heating ? 20 : 26)
        .with("indoor.2.set_point [degC]", 23)
        .with("outdoor.1.suction_temperature [degC]", log == &heating ? -8 : 14);
  }
  for (const RecordingBuilder& log :
       {heating, cooling, test::healthy_recovery(60, 60), test::resting()}) {
    const Recording whole = log.build();
    std::set<std::string> quantities = {""};
    for (const Channel& c : whole.channels) quantities.insert(c.quantity->name);
    for (const std::string& one : quantities) {
      for (const std::string& other : quantities) {
        if (other < one) continue;
        expect_nothing_missing_where_judged(whole, " " + one + " " + other + " ");
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
