#include "system/sheet.h"

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "base/text.h"
#include "base/zone.h"
#include "system/detail/check_system.h"
#include "system/detail/keys.h"
#include "system/detail/pipe_draft.h"
#include "system/detail/read_units.h"

namespace cw {

/// The only maker of Systems. While a reading lasts, the parts behind its System may still change.
class SystemMaker {
 public:
  static System make(std::shared_ptr<const SystemParts> parts) { return System(std::move(parts)); }
};

namespace {

using detail::Notes;
using detail::TableReader;

constexpr std::size_t longest_sheet = 4U << 20U;  // bytes; a large real sheet has some 50 kB

void read_head(const TableReader& sheet, SystemParts& parts) {
  parts.name = sheet.text("name").value_or("");
  const auto name = sheet.text("refrigerant");
  if (!name) {
    if (sheet.has("refrigerant")) return;
    sheet.fail("refrigerant", "refrigerant is missing",
               "Add refrigerant = \"R-410A\" above the first table, from the nameplate",
               ErrorCode::parse);
    return;
  }
  const auto found = fluid::find_refrigerant(*name);
  if (!found) {
    sheet.fail("refrigerant", found.error().message, found.error().fix, ErrorCode::not_found);
    return;
  }
  parts.refrigerant = *found;
  if ((*found)->name() == "nitrogen") {
    sheet.fail("refrigerant", "nitrogen is a test gas", "Give the refrigerant of the nameplate");
  }
}

void read_zone(const TableReader& row, Site& site, Notes& notes) {
  const auto zone = row.text("zone");
  if (!zone) return;
  const bool plain = std::all_of(zone->begin(), zone->end(), [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '/' ||
           c == '_' || c == '-' || c == '+';
  });
  if (!plain || zone->size() > 64) {
    row.fail("zone", "\"" + short_text(*zone) + "\" is no time zone",
             "Write an IANA name such as \"America/Chicago\"", ErrorCode::parse);
    return;
  }
  site.zone = *zone;
  if (!zone_offset_minutes(*zone, Instant{})) {
    notes.warn(row.at("zone"), "the time zone \"" + *zone + "\" is not known on this computer",
               "Write an IANA name such as \"America/Chicago\"");
  }
}

void read_site(const TableReader& sheet, SystemParts& parts, Notes& notes) {
  const toml::table none;
  const toml::table* table = sheet.inside("site");
  const TableReader row(table != nullptr ? *table : none, "site", detail::keys::site, notes);
  parts.site.name = row.text("name").value_or("");
  const auto altitude = row.quantity("altitude", Dimension::length, "altitude");
  parts.site.altitude_m = altitude.value_or(0.0);
  if (!row.has("altitude")) {
    notes.assume({"site", "altitude", 0.0, Dimension::length, "", "sea level", "own choice"});
  }
  read_zone(row, parts.site, notes);
}

/// What stands in the branch boxes' tables only once the tree is known.
void settle_branches(SystemParts& parts, Notes& notes) {
  for (const Node& node : parts.nodes) {
    if (node.kind != NodeKind::branch) continue;
    BranchBox& box = parts.branches[node.unit];
    const int used = static_cast<int>(node.downstream.size());
    if (box.ports == 0) {
      box.ports = used;
      notes.assume({box.id, "ports", static_cast<double>(used), Dimension::count, "",
                    "as many as pipes leave it", "own choice"});
    } else if (box.ports < used) {
      notes.fail_at_line(notes.line_of_place.find(box.id)->second, ErrorCode::inconsistent,
                         box.id + " has " + std::to_string(box.ports) + " ports, but " +
                             std::to_string(used) + " pipes leave it",
                         "Correct ports, or lead a pipe elsewhere");
    }
    if (box.volume_m3 > 0.0) continue;
    const detail::DefaultFigure& each = detail::default_figure("branch.volume_per_port");
    box.volume_m3 = each.value * box.ports;
    notes.assume({box.id, "volume", box.volume_m3, Dimension::volume, "", each.text + " per port",
                  each.source});
  }
}

std::vector<std::string_view> known_tables() {
  std::vector<std::string_view> out(detail::keys::sheet.begin(), detail::keys::sheet.end());
  out.insert(out.end(), detail::keys::tables_of_other_modules.begin(),
             detail::keys::tables_of_other_modules.end());
  return out;
}

/// Reads everything; null where anything is wrong.
std::shared_ptr<SystemParts> read_parts(const toml::table& root, Notes& notes) {
  const std::vector<std::string_view> known = known_tables();
  const TableReader sheet(root, "sheet", known, notes);
  auto parts = std::make_shared<SystemParts>();
  read_head(sheet, *parts);
  read_site(sheet, *parts, notes);
  detail::read_outdoor(sheet, *parts, notes);
  detail::read_branches(sheet, *parts, notes);
  detail::read_rooms(sheet, *parts, notes);
  detail::read_indoor(sheet, *parts, notes);
  detail::read_charge(sheet, *parts, notes);
  const std::vector<detail::PipeDraft> pipes = detail::read_pipes(sheet, *parts, notes);
  if (pipes.empty()) {
    if (!notes.failed()) {
      sheet.fail("pipe", "there are no pipes", "Add [[pipe]] for each run", ErrorCode::parse);
    }
    return nullptr;
  }
  if (parts->outdoor.empty() || parts->indoor.empty()) return nullptr;
  if (!detail::build_tree(pipes, *parts, notes)) return nullptr;
  settle_branches(*parts, notes);
  detail::settle_sizes(*parts, notes);
  if (notes.failed()) return nullptr;
  const System system = SystemMaker::make(parts);
  detail::settle_charge(sheet, system, *parts, notes);
  detail::check_system(system, notes);
  return notes.failed() ? nullptr : parts;
}

void add_errors(SheetReading& out, std::vector<Error> errors) {
  out.more_errors = errors.size() > most_sheet_errors ? errors.size() - most_sheet_errors : 0;
  if (errors.size() > most_sheet_errors) errors.resize(most_sheet_errors);
  out.errors = std::move(errors);
}

Result<System> single(SheetReading reading) {
  if (reading.system) return std::move(*reading.system);
  Error error = std::move(reading.errors.front());
  const std::size_t more = reading.errors.size() - 1 + reading.more_errors;
  if (more > 0) {
    error.message +=
        " (and " + std::to_string(more) + (more == 1 ? " more error)" : " more errors)");
  }
  return error;
}

}  // namespace

SheetReading read_sheet_text(std::string_view text, std::string_view name) {
  SheetReading out;
  if (text.size() > longest_sheet) {
    out.errors.push_back({ErrorCode::out_of_range, "a sheet of more than 4 MB", std::string(name),
                          "A system sheet is a short text; is this the right file?"});
    return out;
  }
  const Result<toml::table> root = parse_toml(text, name);
  if (!root) {
    out.errors.push_back(root.error());
    return out;
  }
  Notes notes(name);
  std::shared_ptr<SystemParts> parts = read_parts(*root, notes);
  if (parts == nullptr) {
    add_errors(out, notes.sorted_errors());
    CW_REQUIRE(!out.errors.empty());
    return out;
  }
  parts->file = std::string(name);
  parts->text = std::string(text);
  parts->assumptions = std::move(notes.assumptions);
  parts->warnings = std::move(notes.warnings);
  out.system = SystemMaker::make(std::move(parts));
  return out;
}

SheetReading read_sheet(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (text) return read_sheet_text(*text, path.string());
  SheetReading out;
  out.errors.push_back(text.error());
  return out;
}

Result<System> parse_system(std::string_view text, std::string_view name) {
  return single(read_sheet_text(text, name));
}

Result<System> read_system(const std::filesystem::path& path) { return single(read_sheet(path)); }

}  // namespace cw
