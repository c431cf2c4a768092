#pragma once

#include <gtest/gtest.h>

#include <string>

#include "scenario/read.h"

namespace cw::scenario::test {

/// The least that a scenario needs, of an hour; `more` stands behind it.
inline std::string text_with(const std::string& more,
                             const std::string& weather = "[weather]\nmean = \"-9 degC\"\n") {
  return "system = \"demo_office\"\nstart = 2026-01-20T05:00:00\nduration = \"1 h\"\n" + weather +
         more;
}

inline Scenario scenario_of(const std::string& text) {
  ScenarioReading reading = read_scenario_text(text, "test.toml", ".");
  for (const Error& error : reading.errors) ADD_FAILURE() << error.text();
  if (!reading.scenario) {
    reading = read_scenario_text(text_with(""), "test.toml", ".");
  }
  return std::move(*reading.scenario);
}

}  // namespace cw::scenario::test
