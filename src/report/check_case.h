#pragma once

#include <optional>
#include <string>

#include "base/reader.h"
#include "checks/judgement.h"
#include "ingest/import.h"
#include "report/fluid_query.h"
#include "system/system.h"
#include "twin/design_days.h"

namespace cw {

/// What the person said of the air pressure where the gauges are.
struct SiteAir {
  std::optional<Metre> altitude;
  std::optional<Pascal> barometric_pressure;
  Reader reader = Reader::command_line;  ///< of what is said of it

  /// The barometer if given, else the standard pressure at the altitude, else at sea level.
  Barometer barometer(UnitSystem units) const;
};

/// Reads "1600m" and "98.2kPa"; empty where not given. Errors name --altitude and --barometer, or
/// the fields of the page.
/// @error out_of_range  an altitude outside -500..6000 m, a barometer outside 45..112 kPa
/// @error parse, unit
Result<SiteAir> read_site_air(const std::optional<std::string>& altitude,
                              const std::optional<std::string>& barometer,
                              Reader reader = Reader::command_line);

/// What a person says of a recording beside its files: texts as typed behind the flags of `check`.
/// Command line and workbench fill the same, so that a value is read, and refused, in one place.
struct CaseWords {
  std::optional<std::string> mode;         ///< --mode
  std::optional<std::string> refrigerant;  ///< --refrigerant
  std::optional<std::string> target;       ///< --target
  std::optional<std::string> altitude;     ///< --altitude
  std::optional<std::string> barometer;    ///< --barometer

  friend bool operator==(const CaseWords&, const CaseWords&) = default;
};

/// What the words mean for reading and for judging; maps and files are the caller's.
struct CaseOptions {
  ImportOptions import;  ///< altitude and barometer
  JudgeOptions judge;    ///< limits with the target, mode, refrigerant, units
};

/// @param limits  the sheet that a target is written over
/// @error invalid_argument  a mode that is none; as read_site_air; a target outside 0..75 degC
Result<CaseOptions> read_case(const CaseWords& words, LimitSheet limits, UnitSystem units,
                              Reader reader = Reader::command_line);

/// The system sheet fills what the words leave open: refrigerant and altitude. `judge.system` stays
/// the caller's, who keeps the sheet.
void fill_from_sheet(const System& system, const CaseWords& words, ImportOptions& import,
                     JudgeOptions& judge);

/// Settles as which refrigerant a log is judged: what a person said, else the sheet's, else a
/// map's, else R-410A. Where one overrules another, or a map decides, judge.refrigerant_source says
/// so.
/// @param system  null: no sheet
/// @error not_found         a map names a refrigerant that is not known
/// @error invalid_argument  two maps name different ones; a map and the sheet do, and nobody said
///                          which holds
Status settle_refrigerant(const CaseWords& words, const System* system,
                          const std::vector<ChannelMap>& maps, JudgeOptions& judge);

/// The design days of a look ahead; the usual ones where not given. Errors name --coldest and
/// --hottest, or the fields of the page.
/// @error out_of_range  outdoor air that no such day has
/// @error parse, unit
Result<twin::DesignDays> read_design_days(const std::optional<std::string>& coldest,
                                          const std::optional<std::string>& hottest,
                                          Reader reader = Reader::command_line);

/// Refuses a refrigerant that is not the sheet's: a log that was judged as one beside the twin of
/// another differs anyway.
/// @param who  says the other one: "the command line"
/// @error invalid_argument, not_found
Status same_refrigerant(const System& system, const std::string& said, const std::string& who,
                        const std::string& where);

}  // namespace cw
