#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "checks/judgement.h"
#include "support/recording_builder.h"

namespace cw::test {

/// Sensors without error, so that a test can stand on the edge of a limit.
inline JudgeOptions exact_sensors(JudgeOptions out = {}) {
  for (const char* key : {"pipe_temperature", "air_temperature", "high_pressure", "low_pressure"}) {
    const std::string full = "accuracy." + std::string(key);
    if (!out.limits.limit(full).overridden) out.limits.set(full, 0.0, "exact", "test");
  }
  return out;
}

inline Judgement judged(const RecordingBuilder& builder, const JudgeOptions& options = {}) {
  return judge(builder.build(), exact_sensors(options)).value();
}

/// What one check says of one place. Sensors are exact unless a sheet of the test says otherwise.
inline Finding finding(const RecordingBuilder& builder, std::string_view check,
                       std::string_view place, const JudgeOptions& options = {}) {
  const Judgement judgement = judged(builder, options);
  for (const Finding& f : judgement.findings) {
    if (f.check == check && f.place.text == place) return f;
  }
  ADD_FAILURE() << "no finding of " << check << " for " << place;
  return {};
}

/// A limit sheet of the default figures with some changed.
inline JudgeOptions with_limits(std::string_view toml) {
  JudgeOptions out;
  out.limits = LimitSheet::parse(toml, "test.toml").value();
  return out;
}

}  // namespace cw::test
