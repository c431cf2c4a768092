#pragma once

#include <string>
#include <vector>

#include "report/diagnose_report.h"

/// Sentences on causes that terminal and paper share.
namespace cw::detail {

/// "82 %", "<1 %", ">99 %".
std::string percent_text(double probability);

/// "outdoor module 2"; empty for the whole system.
std::string cause_place(const std::string& place);

/// "+-4.8 K": what seen less healthy may be off by.
std::string spread_text(const diagnose::Point& point, UnitSystem units);

/// "What they found fits: sensor-sense"; the others that cannot be told from it. Empty when none.
std::string signs_text(const diagnose::RankedCause& cause);
std::string alike_text(const diagnose::RankedCause& cause);

/// A cause that is worth the room: the first three, and what counts beside them.
bool is_told_in_full(std::size_t place_from_1, double probability);

std::string pair_text(const diagnose::RankedPair& pair);
/// "(outdoor module 1) Hold a thermometer ... "
std::string test_text(const diagnose::NextTest& test);
/// "About 10 min; tells 0.12 bit."
std::string test_effort(const diagnose::NextTest& test);

/// @pre the diagnosis has an estimate of the charge
std::string charge_text(const DiagnoseReport& report);

/// "On the design days, as the machine is now, all units calling".
std::string days_title(const diagnose::Diagnosis& diagnosis);
std::string day_text(const diagnose::DesignDay& day, UnitSystem units);

/// What a diagnosis rests on, one sentence each; without the hours that were compared.
std::vector<std::string> rests_on_lines(const DiagnoseReport& report);
/// The same with those hours in front.
std::vector<std::string> basis_lines(const DiagnoseReport& report);

}  // namespace cw::detail
