#pragma once

#include <set>

#include "system/detail/table_reader.h"

/// What the tables of outdoor modules, branch boxes and indoor units have in common.
namespace cw::detail {

/// Hands out ids of one kind: what the sheet says, or the next number.
class UnitIds {
 public:
  explicit UnitIds(std::string_view kind) : kind_(kind) {}

  /// The ids of a table that stands for `count` units alike; at least one.
  std::vector<std::string> take(const TableReader& row, int count);

 private:
  std::string next();

  std::string kind_;
  int number_ = 0;
  std::set<std::string> taken_;
};

/// The inner table, or an empty one, so that its defaults are taken like all others.
const toml::table& inside_or_empty(const TableReader& row, std::string_view key);

/// Rated cooling and heating; one of them may be left out. `kind` is "outdoor" or "indoor".
void read_capacities(const TableReader& row, std::string_view kind, double& cooling_W,
                     double& heating_W, Notes& notes);

/// The name of one of `count` units alike: "Office 2".
std::string numbered(const std::optional<std::string>& name, int count, std::size_t i);

/// Refuses more than `most` of a kind.
bool has_room_for(std::size_t have, int more, std::size_t most, const TableReader& row,
                  std::string_view what);

/// Books the assumptions of ids.front(), made since `from`, for the other ids as well.
void repeat_assumptions(std::size_t from, const std::vector<std::string>& ids, Notes& notes);

}  // namespace cw::detail
