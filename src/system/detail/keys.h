#pragma once

#include <array>
#include <string_view>

/// Every key that a system sheet may have, in one place: the reader refuses all others, and
/// docs/user/sheet.md describes each (a test compares the two).
namespace cw::detail::keys {

using Key = std::string_view;

/// Top-level tables that other modules read from System::text(), for example the control
/// parameters of the twin. Add the table's name here and refuse its unknown keys there.
inline constexpr std::array<Key, 2> tables_of_other_modules = {"control", "twin"};

inline constexpr std::array<Key, 10> sheet = {"name",   "refrigerant", "site", "outdoor",
                                              "branch", "indoor",      "room", "piping",
                                              "pipe",   "charge"};
inline constexpr std::array<Key, 3> site = {"name", "altitude", "zone"};
inline constexpr std::array<Key, 12> outdoor = {"id",      "name",       "count",       "cooling",
                                                "heating", "compressor", "coil",        "airflow",
                                                "fans",    "valves",     "accumulator", "charge"};
inline constexpr std::array<Key, 5> compressor = {"count", "displacement", "map", "speed_lowest",
                                                  "speed_highest"};
inline constexpr std::array<Key, 2> outdoor_coil = {"face_area", "volume"};
inline constexpr std::array<Key, 2> accumulator = {"volume", "usable"};
inline constexpr std::array<Key, 4> branch = {"id", "name", "ports", "volume"};
inline constexpr std::array<Key, 10> indoor = {"id",      "name",         "count",   "type",
                                               "cooling", "heating",      "airflow", "coil_volume",
                                               "room",    "controlled_by"};
inline constexpr std::array<Key, 5> room_of_unit = {"name", "floor_area", "height", "volume",
                                                    "institutional"};
inline constexpr std::array<Key, 7> room = {"id",     "name",          "floor_area", "height",
                                            "volume", "institutional", "connected"};
inline constexpr std::array<Key, 4> piping = {"main", "branch", "between", "modules"};
inline constexpr std::array<Key, 8> pipe = {"from",   "to",  "length", "rise",
                                            "liquid", "gas", "third",  "fittings"};
inline constexpr std::array<Key, 3> fitting = {"kind", "count", "equivalent"};
inline constexpr std::array<Key, 6> charge = {"factory",    "added",     "recovered",
                                              "per_length", "allowance", "source"};
inline constexpr std::array<Key, 3> movement = {"mass", "date", "note"};
inline constexpr std::array<Key, 3> allowance = {"outdoor", "branch", "indoor"};

}  // namespace cw::detail::keys
