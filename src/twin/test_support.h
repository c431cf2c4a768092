#pragma once

#include <gtest/gtest.h>

#include <map>
#include <string>

#include "fluid/refrigerant.h"
#include "fluid/saturation.h"
#include "twin/transport_table.h"

namespace cw::twin::test {

inline const fluid::Refrigerant& refrigerant(const std::string& name) {
  return **fluid::find_refrigerant(name);
}

/// Made once a program for each refrigerant.
inline const TransportTable& transport(const std::string& name) {
  static std::map<std::string, TransportTable> made;
  const auto found = made.find(name);
  if (found != made.end()) return found->second;
  auto table = make_transport_table(refrigerant(name));
  EXPECT_TRUE(table) << table.error().text();
  return made.emplace(name, std::move(table).value()).first->second;
}

inline double dew_pressure_at(const std::string& name, double t_degC) {
  return fluid::dew_pressure(refrigerant(name), from_celsius(t_degC)).value().value;
}

inline SaturationTransport saturation_at(const std::string& name, double t_degC) {
  SaturationTransport s;
  transport(name).at(dew_pressure_at(name, t_degC), s);
  return s;
}

}  // namespace cw::twin::test
