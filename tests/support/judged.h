#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "checks/judgement.h"
#include "support/recording_builder.h"

namespace cw::test {

inline Judgement judged(const RecordingBuilder& builder, const JudgeOptions& options = {}) {
  return judge(builder.build(), options).value();
}

/// What one check says of one place.
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
