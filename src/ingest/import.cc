#include "ingest/import.h"

#include <algorithm>
#include <array>

#include "base/file.h"
#include "base/text.h"
#include "ingest/delimited/delimited.h"
#include "ingest/header.h"
#include "ingest/join.h"

namespace cw {
namespace {

namespace fs = std::filesystem;

bool has_recording_ending(const fs::path& path) {
  const std::string ending = to_lower(path.extension().string());
  constexpr std::array endings = {".csv", ".tsv", ".txt", ".tab", ".log", ".dat"};
  return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

struct FileList {
  std::vector<fs::path> files;
  bool from_directory = false;
};

Result<FileList> list_files(const std::vector<fs::path>& paths) {
  FileList out;
  for (const fs::path& path : paths) {
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (!fs::exists(status)) {
      return Error{ErrorCode::not_found, "no such file or directory", path.string(),
                   "Check the path"};
    }
    if (!fs::is_directory(status)) {
      out.files.push_back(path);
      continue;
    }
    out.from_directory = true;
    std::vector<fs::path> inside;
    for (fs::directory_iterator it(path, error), end; !error && it != end; it.increment(error)) {
      if (it->is_regular_file(error) && has_recording_ending(it->path()))
        inside.push_back(it->path());
    }
    if (error)
      return Error{ErrorCode::unreadable, error.message(), path.string(), "Check the permissions"};
    if (inside.empty()) {
      return Error{
          ErrorCode::not_found, "the directory holds no recordings", path.string(),
          "Recordings end in .csv, .tsv, .txt, .tab, .log or .dat; name other files one by "
          "one"};
    }
    std::sort(inside.begin(), inside.end());
    out.files.insert(out.files.end(), inside.begin(), inside.end());
  }
  return out;
}

/// Refuses what is plainly no text. Looks at the first 64 kB.
Status check_is_text(std::string_view bytes, const std::string& file) {
  if (bytes.empty()) {
    return Error{ErrorCode::unreadable, "the file is empty", file, "Export the recording again"};
  }
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) {
    return Error{ErrorCode::unsupported, "the file is UTF-16 text, which is not read yet", file,
                 "Save it as UTF-8 (for example: iconv -f UTF-16 -t UTF-8)"};
  }
  const std::string_view head = bytes.substr(0, 65536);
  const auto control = static_cast<std::size_t>(std::count_if(head.begin(), head.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 && c != '\n' && c != '\r' && c != '\t';
  }));
  if (head.find('\0') != std::string_view::npos || control * 50 > head.size()) {
    return Error{ErrorCode::unreadable, "the file is binary, not text", file,
                 "Export the recording as CSV text"};
  }
  return Done{};
}

/// The map that names most columns of the file; none when no map names any.
const ChannelMap* best_map(const std::vector<ChannelMap>& maps, std::string_view bytes) {
  const std::vector<std::string> headers = header_cells(bytes);
  const ChannelMap* best = nullptr;
  std::size_t most = 0;
  for (const ChannelMap& map : maps) {
    const auto known = static_cast<std::size_t>(
        std::count_if(headers.begin(), headers.end(), [&](const std::string& header) {
          return map.find(header) != nullptr || header == map.time_column;
        }));
    if (known > most) {
      most = known;
      best = &map;
    }
  }
  // A map without columns still says what clock and barometer a file in our own form has.
  if (best == nullptr && !maps.empty() && maps.front().columns.empty()) best = &maps.front();
  return best;
}

bool has_gauge_column(const ChannelMap* map, std::string_view bytes) {
  for (const std::string& header : header_cells(bytes)) {
    if (map != nullptr) {
      if (const MappedColumn* column = map->find(header)) {
        if (column->unit.reference == PressureReference::gauge) return true;
        continue;
      }
    }
    const auto own = read_channel_header(header);
    if (!own) continue;
    const Result<QuantityInUnit> unit = unit_for(*own->quantity, own->unit_text);
    if (unit && unit->unit.reference == PressureReference::gauge) return true;
  }
  return false;
}

void note_unstated_pressures(const SourceTable& table, std::string_view bytes,
                             const ChannelMap* map, Import& import) {
  std::vector<std::string> unstated;
  for (const std::string& header : header_cells(bytes)) {
    std::optional<Unit> unit;
    if (map != nullptr && map->find(header) != nullptr) {
      unit = map->find(header)->unit;
    } else if (const auto own = read_channel_header(header)) {
      const Result<QuantityInUnit> stated = unit_for(*own->quantity, own->unit_text);
      if (stated) unit = stated->unit;
    }
    if (unit && unit->dimension == Dimension::pressure &&
        unit->reference == PressureReference::unstated) {
      unstated.push_back("\"" + header + "\"");
    }
  }
  if (unstated.empty()) return;
  import.assumptions.push_back(table.file + ": the unit of " + list_of(unstated) +
                               " does not say gauge or absolute; read as absolute. If the logger "
                               "gives gauge pressure, write the unit as kPa(g) or psi(g).");
}

struct Barometer {
  double pressure = standard_atmosphere;
  std::string source;
};

Barometer barometer_of(const ImportOptions& options, const ChannelMap* map) {
  if (options.barometric_pressure) {
    return {options.barometric_pressure->value, "as given"};
  }
  if (options.altitude) {
    return {standard_pressure_at(*options.altitude).value,
            "the standard atmosphere at " + number_text(options.altitude->value) + " m"};
  }
  if (map != nullptr && map->barometric_pressure) {
    return {*map->barometric_pressure, "from the map " + map->name};
  }
  return {standard_atmosphere,
          "the standard atmosphere at sea level; give --altitude or --barometer for this site"};
}

Result<SourceTable> read_one(const fs::path& path, const ImportOptions& options,
                             std::size_t bytes_before, std::size_t bytes_total, Import& import) {
  Result<MappedFile> file = MappedFile::open(path);
  if (!file) return file.error();
  const std::string_view bytes = file->bytes();
  const std::string name = path.filename().string();
  if (Status text = check_is_text(bytes, path.string()); !text) return text.error();
  const ChannelMap* map = best_map(options.maps, bytes);
  const Barometer barometer = barometer_of(options, map);
  ReadContext context;
  context.file = name;
  context.map = map;
  context.barometric_pressure = barometer.pressure;
  context.log = &import.log;
  if (options.progress) {
    context.progress = [&](std::size_t done) {
      options.progress({name, bytes_before + done, bytes_total});
    };
  }
  Result<SourceTable> table = read_delimited(bytes, context);
  if (!table) return table.error();
  import.recording.files.push_back({name, content_hash(bytes), bytes.size(), table->time.size()});
  if (has_gauge_column(map, bytes)) {
    import.barometric_pressure = {barometer.pressure};
    import.assumptions.push_back(
        name + ": gauge pressures are made absolute with " +
        format_si(barometer.pressure, Dimension::pressure, UnitSystem::si) + " (" +
        number_text(barometer.pressure / 6894.757293168361, 4) + " psi): " + barometer.source +
        ".");
  }
  note_unstated_pressures(*table, bytes, map, import);
  if (table->clock.kind == Clock::Kind::unstated) {
    import.assumptions.push_back(
        name + ": the time stamps carry no offset from UTC; times are the logger's own clock.");
  }
  order_rows(*table, import.log);
  return table;
}

std::size_t total_size(const std::vector<fs::path>& files) {
  std::size_t total = 0;
  for (const fs::path& path : files) {
    std::error_code error;
    const auto size = fs::file_size(path, error);
    if (!error) total += static_cast<std::size_t>(size);
  }
  return total;
}

void note_columns(const SourceTable& table, Import& import) {
  for (const std::string& text : table.understood) {
    import.understood.push_back(table.file + ": " + text);
  }
  for (const std::string& text : table.not_understood) {
    import.not_understood.push_back(table.file + ": " + text);
  }
}

}  // namespace

Result<Import> import_recordings(const std::vector<fs::path>& paths, const ImportOptions& options) {
  if (paths.empty()) {
    return Error{ErrorCode::invalid_argument, "no recording is named", "",
                 "Name a file or a directory"};
  }
  const Result<FileList> list = list_files(paths);
  if (!list) return list.error();
  Import import;
  const std::size_t total = total_size(list->files);
  std::size_t before = 0;
  std::vector<SourceTable> tables;
  std::optional<Error> first_error;
  for (const fs::path& path : list->files) {
    ImportLog log_before = import.log;
    Result<SourceTable> table = read_one(path, options, before, total, import);
    std::error_code ignored;
    before += static_cast<std::size_t>(fs::file_size(path, ignored));
    if (!table) {
      // A named file must be readable; in a directory one stranger does not spoil the rest.
      if (!list->from_directory) return table.error();
      if (!first_error) first_error = table.error();
      import.log = std::move(log_before);
      import.log.add(
          {Counter::skipped_file, path.filename().string(), 0, "", "", table.error().message});
      continue;
    }
    note_columns(*table, import);
    if (!table->time.empty()) tables.push_back(std::move(*table));
  }
  if (tables.empty()) {
    if (first_error) return *first_error;
    return Error{
        ErrorCode::unreadable, "no row could be read", list->files.front().string(),
        "Every row was set aside; the columns were understood, so look at the time stamps"};
  }
  std::vector<RecordingFile> files = std::move(import.recording.files);
  Result<Recording> joined = join_tables(std::move(tables), import.log);
  if (!joined) return joined.error();
  import.recording = std::move(*joined);
  import.recording.files = std::move(files);
  return import;
}

}  // namespace cw
