#pragma once

#include <string>

#include "checks/judgement.h"

namespace cw {

/// The answer to a few typed readings (judge_readings) in the three forms.
struct ReadingsReport {
  const Judgement& judgement;
  std::string barometer;  ///< what gauge readings were made absolute with, in words
  UnitSystem units = UnitSystem::si;
};

std::string readings_text(const ReadingsReport& report);
/// Schema "coilwright.readings/1": SI values (docs/user/readings.md).
std::string readings_json(const ReadingsReport& report);
/// One self-contained page, for screen and paper.
std::string readings_html(const ReadingsReport& report);

}  // namespace cw
