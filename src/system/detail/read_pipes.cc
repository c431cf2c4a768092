#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "system/detail/keys.h"
#include "system/detail/pipe_draft.h"

namespace cw::detail {
namespace {

constexpr std::size_t most_pipes = 1000;
constexpr std::size_t most_fitting_rows = 20;
constexpr std::array<std::string_view, 4> node_kinds = {"outdoor", "branch", "indoor", "joint"};

std::optional<std::string> read_end(const TableReader& row, std::string_view key) {
  const auto text = row.text(key);
  if (!text) {
    if (!row.has(key)) {
      row.fail(key, std::string(key) + " is missing",
               "Write from = \"outdoor.1\" and to = \"joint.a\" (or indoor.3, branch.1)",
               ErrorCode::parse);
    }
    return std::nullopt;
  }
  const auto place = place_text(*text, node_kinds);
  if (!place) {
    row.fail(key, std::string(key) + " = \"" + *text + "\" is no end of a pipe",
             "Write outdoor.N, branch.N, indoor.N or joint.NAME", ErrorCode::parse);
  }
  return place;
}

const Tube* read_size(const TableReader& row, std::string_view key) {
  const auto text = row.text(key);
  if (!text) return nullptr;
  const Result<const Tube*> tube = find_tube(*text);
  if (tube) return *tube;
  row.fail(key, std::string(key) + ": " + tube.error().message, tube.error().fix,
           ErrorCode::not_found);
  return nullptr;
}

std::optional<Fitting> read_fitting(const toml::table& table, const std::string& place,
                                    Notes& notes) {
  const TableReader row(table, place + ".fittings", keys::fitting, notes);
  Fitting out;
  const auto kind = row.text("kind");
  if (!kind) {
    if (!row.has("kind")) {
      row.fail("kind", "kind is missing", "Write { kind = \"elbow\", count = 4 }",
               ErrorCode::parse);
    }
    return std::nullopt;
  }
  out.kind = to_lower(*kind);
  out.count = row.count("count", 1, 200).value_or(1);
  out.equivalent_m = row.quantity("equivalent", Dimension::length, "pipe.equivalent");
  if (out.kind == "other") {
    if (!row.has("equivalent")) {
      row.fail("kind", "a fitting of kind \"other\" needs its equivalent length",
               "Add equivalent = \"0.5 m\" (of one fitting)", ErrorCode::parse);
    }
    return out;
  }
  std::vector<std::string> known = {"other"};
  for (const FittingKind& each : fitting_kinds()) {
    if (each.name == out.kind) {
      out.bores = each.bores;
      const auto same = [&](const Assumption& a) {
        return a.place == "fittings" && a.key == out.kind;
      };
      if (!out.equivalent_m &&
          std::none_of(notes.assumptions.begin(), notes.assumptions.end(), same)) {
        notes.assume({"fittings", out.kind, each.bores, Dimension::count, "",
                      "equivalent length of one in bores of its line", each.source});
      }
      return out;
    }
    known.push_back(each.name);
  }
  row.fail("kind", "there is no fitting \"" + *kind + "\"", "Use " + list_of(known),
           ErrorCode::not_found);
  return std::nullopt;
}

void read_rise(const TableReader& row, PipeDraft& out) {
  out.has_rise = row.has("rise");
  const auto rise = row.quantity("rise", Dimension::length, "pipe.rise");
  if (!rise) return;
  constexpr double rounding_m = 0.05;
  if (std::abs(*rise) > out.length_m + rounding_m && out.length_m > 0.0) {
    row.fail("rise",
             "a pipe of " + number_text(out.length_m, 4) + " m cannot rise " +
                 number_text(*rise, 4) + " m",
             "Give the developed length, risers included, as length", ErrorCode::inconsistent);
  }
  out.rise_m = *rise;
}

std::optional<PipeDraft> read_pipe(const toml::table& table, std::size_t number, Notes& notes) {
  const TableReader row(table, "pipe." + std::to_string(number), keys::pipe, notes);
  PipeDraft out;
  out.id = row.place();
  out.line = static_cast<int>(table.source().begin.line);
  const auto from = read_end(row, "from");
  const auto to = read_end(row, "to");
  const auto length = row.quantity("length", Dimension::length, "pipe.length");
  out.length_m = length.value_or(0.0);
  if (!row.has("length")) {
    row.fail("length", "length is missing", "Write length = \"12 m\", along the pipe",
             ErrorCode::parse);
  }
  read_rise(row, out);
  out.liquid = read_size(row, "liquid");
  out.gas = read_size(row, "gas");
  out.third = read_size(row, "third");
  const std::vector<const toml::table*> fittings = row.tables("fittings");
  if (fittings.size() > most_fitting_rows) {
    row.fail("fittings", "more than 20 rows of fittings", "Use count for fittings of one kind");
  } else {
    for (const toml::table* each : fittings) {
      if (auto fitting = read_fitting(*each, row.place(), notes)) out.fittings.push_back(*fitting);
    }
  }
  if (!from || !to) return std::nullopt;
  out.from = *from;
  out.to = *to;
  return out;
}

double length_or_default(const TableReader& row, std::string_view key) {
  return row.quantity_or(key, Dimension::length, "pipe.length",
                         estimate_of("piping." + std::string(key)));
}

/// The lengths of [piping].
struct Lengths {
  double main = 0.0;
  double branch = 0.0;
  double between = 0.0;
  double modules = 0.0;
};

/// A trunk with one joint for each indoor unit but the last.
std::vector<PipeDraft> trunk(const Lengths& lengths, const SystemParts& parts, int line) {
  std::vector<PipeDraft> out;
  const auto add = [&](std::string from, std::string to, double length) {
    PipeDraft pipe;
    pipe.id = "pipe." + std::to_string(out.size() + 1);
    pipe.from = std::move(from);
    pipe.to = std::move(to);
    pipe.length_m = length;
    pipe.line = line;
    pipe.from_piping = true;
    out.push_back(std::move(pipe));
  };
  std::string root = parts.outdoor.front().id;
  if (parts.outdoor.size() > 1) {
    root = "joint.modules";
    for (const OutdoorModule& module : parts.outdoor) add(module.id, root, lengths.modules);
  }
  const std::size_t units = parts.indoor.size();
  if (units == 1) {
    add(root, parts.indoor.front().id, lengths.main + lengths.branch);
    return out;
  }
  for (std::size_t i = 0; i + 1 < units; ++i) {
    const std::string joint = "joint." + std::to_string(i + 1);
    add(i == 0 ? root : "joint." + std::to_string(i), joint,
        i == 0 ? lengths.main : lengths.between);
    add(joint, parts.indoor[i].id, lengths.branch);
    if (i + 2 == units) add(joint, parts.indoor.back().id, lengths.branch);
  }
  return out;
}

std::vector<PipeDraft> pipes_of_piping(const TableReader& sheet, const SystemParts& parts,
                                       Notes& notes) {
  const toml::table* table = sheet.inside("piping");
  if (table == nullptr) return {};
  const TableReader row(*table, "piping", keys::piping, notes);
  if (!parts.branches.empty()) {
    row.fail("main", "[piping] knows no branch boxes", "Write each pipe as [[pipe]]",
             ErrorCode::unsupported);
    return {};
  }
  for (const std::string_view key : {"main", "branch"}) {
    if (!row.has(key)) {
      row.fail(key, std::string(key) + " is missing",
               "Write main = \"30 m\" (to the first indoor joint) and branch = \"8 m\" (from a "
               "joint to its unit)",
               ErrorCode::parse);
    }
  }
  Lengths lengths;
  lengths.main = row.quantity("main", Dimension::length, "pipe.length").value_or(0.0);
  lengths.branch = row.quantity("branch", Dimension::length, "pipe.length").value_or(0.0);
  const bool several = parts.outdoor.size() > 1;
  if (several || row.has("modules")) lengths.modules = length_or_default(row, "modules");
  if (parts.indoor.size() > 2 || row.has("between")) {
    lengths.between = length_or_default(row, "between");
  }
  if (notes.failed() || parts.outdoor.empty() || parts.indoor.empty()) return {};
  notes.assume({"piping", "tree", 0.0, Dimension::state, "one trunk, a joint for each unit",
                "the sheet has [piping] instead of [[pipe]]", "own choice"});
  return trunk(lengths, parts, static_cast<int>(table->source().begin.line));
}

/// Heights and fittings that no pipe names.
void note_absent(const std::vector<PipeDraft>& pipes, Notes& notes) {
  const auto has_rise = [](const PipeDraft& pipe) { return pipe.has_rise; };
  const auto has_fittings = [](const PipeDraft& pipe) { return !pipe.fittings.empty(); };
  if (pipes.empty()) return;
  if (std::none_of(pipes.begin(), pipes.end(), has_rise)) {
    notes.assume({"pipes", "rise", 0.0, Dimension::length, "",
                  "no pipe names one: all modules and units at one height", "own choice"});
  }
  if (std::none_of(pipes.begin(), pipes.end(), has_fittings)) {
    notes.assume({"pipes", "fittings", 0.0, Dimension::state, "none",
                  "no pipe names one: equivalent lengths are the lengths", "own choice"});
  }
}

std::vector<PipeDraft> pipes_of_tables(const TableReader& sheet, Notes& notes) {
  std::vector<PipeDraft> out;
  bool whole = true;
  const std::vector<const toml::table*> tables = sheet.tables("pipe");
  if (tables.size() > most_pipes) {
    sheet.fail("pipe", "more than 1000 pipes", "Write one sheet for each pipe network",
               ErrorCode::out_of_range);
    return {};
  }
  for (const toml::table* table : tables) {
    if (auto pipe = read_pipe(*table, out.size() + 1, notes)) {
      out.push_back(std::move(*pipe));
    } else {
      whole = false;
      out.emplace_back();
    }
  }
  if (!whole) out.clear();
  return out;
}

}  // namespace

std::vector<PipeDraft> read_pipes(const TableReader& sheet, const SystemParts& parts,
                                  Notes& notes) {
  if (sheet.has("pipe") && sheet.has("piping")) {
    sheet.fail("piping", "[piping] and [[pipe]] cannot stand together",
               "Keep [[pipe]] where the tree is known, else [piping]", ErrorCode::inconsistent);
  }
  if (!sheet.has("pipe") && !sheet.has("piping")) {
    sheet.fail("pipe", "there are no pipes",
               "Add [[pipe]] for each run, or [piping] with main = \"30 m\" and branch = \"8 m\"",
               ErrorCode::parse);
    return {};
  }
  std::vector<PipeDraft> out =
      sheet.has("pipe") ? pipes_of_tables(sheet, notes) : pipes_of_piping(sheet, parts, notes);
  note_absent(out, notes);
  return out;
}

}  // namespace cw::detail
