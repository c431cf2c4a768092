#include "ingest/import.h"

#include <algorithm>
#include <array>
#include <thread>

#include "base/file.h"
#include "base/text.h"
#include "ingest/absent_columns.h"
#include "ingest/delimited/delimited.h"
#include "ingest/delimited/layout.h"
#include "ingest/header.h"
#include "ingest/join.h"
#include "ingest/logged_barometer.h"
#include "ingest/open.h"
#include "ingest/propose_clock.h"
#include "ingest/stored/shelf.h"
#include "ingest/stored/stored_import.h"
#include "ingest/survey.h"
#include "series/pyramid.h"

namespace cw {
namespace {

namespace fs = std::filesystem;

/// What a simulation writes beside its recording; no recording itself.
constexpr std::string_view truth_file = "truth.json";

bool has_recording_ending(const fs::path& path) {
  if (path.filename() == truth_file) return false;
  const std::string ending = to_lower(path.extension().string());
  constexpr std::array endings = {".csv",  ".tsv",  ".txt",  ".tab",   ".log",
                                  ".dat",  ".gz",   ".zst",  ".zip",   ".xlsx",
                                  ".xlsm", ".zinc", ".json", ".jsonl", ".ndjson"};
  return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

struct FileList {
  std::vector<fs::path> files;
  std::vector<std::string> names;  ///< what each is called
  bool skipping = false;           ///< one that is no recording does not spoil the rest
};

Result<FileList> list_files(const std::vector<fs::path>& paths, const ImportOptions& options) {
  FileList out;
  out.skipping = options.skip_unreadable;
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
    out.skipping = true;
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
          "Recordings end in .csv, .tsv, .txt, .tab, .log, .dat, .xlsx, .zinc, .json, .jsonl, .gz, "
          ".zst or .zip; name other files one by one"};
    }
    std::sort(inside.begin(), inside.end());
    out.files.insert(out.files.end(), inside.begin(), inside.end());
  }
  if (!options.names.empty()) {
    CW_REQUIRE(options.names.size() == out.files.size());
    out.names = options.names;
    return out;
  }
  for (const fs::path& file : out.files) out.names.push_back(file.filename().string());
  return out;
}

/// The map that names most columns of the file; none when no map names any.
const ChannelMap* best_map(const std::vector<ChannelMap>& maps,
                           const std::vector<std::string>& headers, std::string_view text) {
  const ChannelMap* best = nullptr;
  std::size_t most = 0;
  for (const ChannelMap& map : maps) {
    std::size_t known = known_headers(map, headers);
    if (known == 0 && !map.columns.empty()) {
      // What a map says of the file's form may show headers that the sniffing does not.
      const Result<Layout> layout = find_layout(text, &map);
      if (layout) known = known_headers(map, layout->headers);
    }
    if (known > most) {
      most = known;
      best = &map;
    }
  }
  if (best != nullptr || maps.empty()) return best;
  // A map without columns still says what clock and barometer a file in our own form has; a map of
  // a long table or a matrix names signals, not headers.
  for (const ChannelMap& map : maps) {
    if (map.columns.empty() || !map.shape.matrix_channel.empty()) return &map;
  }
  return nullptr;
}

bool has_gauge_column(const ChannelMap* map, const std::vector<std::string>& headers) {
  for (const std::string& header : headers) {
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

void note_unstated_pressures(const std::string& file, const std::vector<std::string>& headers,
                             const ChannelMap* map, Import& import) {
  std::vector<std::string> unstated;
  for (const std::string& header : headers) {
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
  import.assumptions.push_back(file + ": the unit of " + list_of(unstated) +
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
          "the standard atmosphere at sea level; give " +
              told(options.reader, "--altitude or --barometer", "the altitude or the barometer") +
              told(options.reader, " for this site", " of this site")};
}

/// One text to read: a file, or a member of an archive or workbook.
struct Piece {
  std::string name;  ///< for messages
  std::size_t bytes = 0;
  std::string format;  ///< for people
  std::string_view text;
  std::vector<Observation> findings;
  std::vector<std::string> assumptions;
  const SourceLines& source;
};

/// Read so far and in all, of the bytes of all files.
struct Share {
  std::size_t before = 0;
  std::size_t total = 0;
};

/// @param no_clock  the times are but row numbers
void note_table(const Piece& piece, const SourceTable& table,
                const std::vector<std::string>& headers, const ChannelMap* map,
                const Barometer& barometer, bool no_clock, Import& import) {
  for (const std::string& text : table.assumptions) {
    import.assumptions.push_back(piece.name + ": " + text);
  }
  if (has_gauge_column(map, headers)) {
    import.barometric_pressure = {barometer.pressure};
    import.assumptions.push_back(
        piece.name + ": gauge pressures are made absolute with " +
        format_si(barometer.pressure, Dimension::pressure, UnitSystem::si) + " (" +
        number_text(barometer.pressure / 6894.757293168361, 4) + " psi): " + barometer.source +
        ".");
  }
  note_unstated_pressures(piece.name, headers, map, import);
  if (table.clock.kind == Clock::Kind::unstated && !no_clock) {
    import.assumptions.push_back(
        piece.name +
        ": the time stamps carry no offset from UTC; times are the logger's own clock.");
  }
}

void note_columns(const SourceTable& table, Import& import) {
  for (const std::string& text : table.understood) {
    import.understood.push_back(table.file + ": " + text);
  }
  for (const std::string& text : table.not_understood) {
    import.not_understood.push_back(table.file + ": " + text);
  }
}

/// The hash of a mapped file's content. It is taken of what the reading has just looked at, while
/// that lies in the processor's cache, and then lets go of it: the columns need the memory.
class FileHash {
 public:
  /// @param known  the hash, or empty
  FileHash(const MappedFile& file, std::string known) : file_(file), known_(std::move(known)) {}

  const MappedFile& file() const { return file_; }

  /// The reading is done with this part, and with all before it.
  /// @param copy  empty, or the same bytes elsewhere
  void pass(std::string_view part, std::string_view copy) {
    const std::string_view bytes = file_.bytes();
    if (part.data() < bytes.data() || part.data() + part.size() > bytes.data() + bytes.size()) {
      return;  // a text that was made from the file
    }
    const auto end = static_cast<std::size_t>(part.data() + part.size() - bytes.data());
    if (known_.empty() && !copy.empty() && at_ + copy.size() == end) {
      hash_.add(copy);
      at_ = end;
      return;
    }
    if (known_.empty()) take_up_to(end);
    if (copy.empty()) file_.forget(part);
  }

  std::string text() {
    constexpr std::size_t step = 4U << 20U;
    const std::size_t size = file_.bytes().size();
    while (known_.empty() && at_ < size) {
      const std::size_t from = at_;
      take_up_to(std::min(size, at_ + step));
      if (size > 16 * step) file_.forget(file_.bytes().substr(from, at_ - from));
    }
    if (known_.empty()) known_ = hash_.text();
    return known_;
  }

 private:
  void take_up_to(std::size_t end) {
    if (end <= at_) return;
    hash_.add(file_.bytes().substr(at_, end - at_));
    at_ = end;
  }

  const MappedFile& file_;
  std::string known_;
  ContentHash hash_;
  std::size_t at_ = 0;
};

/// Content hashes of files, or nothing where one cannot be read: the reading will say why.
Result<std::vector<std::string>> hashes_of(const std::vector<fs::path>& files) {
  std::vector<std::string> out;
  for (const fs::path& path : files) {
    const Result<MappedFile> file = MappedFile::open(path);
    if (!file) return file.error();
    out.push_back(FileHash(*file, "").text());
  }
  return out;
}

/// "R-410A", "r410a" and "R 410A" are one name.
std::string bare_name(std::string_view name) {
  std::string out = to_lower(name);
  std::erase_if(out, [](char c) { return c == '-' || c == ' ' || c == '_'; });
  return out;
}

/// Of the refrigerants that it may be, the one that the map names.
Result<std::vector<SaturationCurve>> curves_for(const ChannelMap* map,
                                                const std::vector<SaturationCurve>& all) {
  if (map == nullptr || map->refrigerant.empty() || all.size() < 2) return all;
  std::vector<std::string> names;
  for (const SaturationCurve& curve : all) {
    if (bare_name(curve.name) == bare_name(map->refrigerant)) {
      return std::vector<SaturationCurve>{curve};
    }
    names.push_back(curve.name);
  }
  return Error{ErrorCode::not_found, "no refrigerant is called \"" + map->refrigerant + "\"",
               map->name, "Known are " + list_of(names)};
}

Result<std::vector<SourceTable>> read_piece(const Piece& piece, const ImportOptions& options,
                                            const Share& share, FileHash& hash,
                                            std::vector<ClockProbe>& probes, Import& import) {
  const Result<Layout> layout = find_layout(piece.text, nullptr);
  const std::vector<std::string> headers = layout ? layout->headers : std::vector<std::string>{};
  std::vector<ChannelMap> maps;
  for (const ChannelMap& map : options.maps) maps.push_back(map_for_file(map, piece.name));
  const ChannelMap* map = best_map(maps, headers, piece.text);
  const Barometer barometer = barometer_of(options, map);
  ReadContext context;
  context.file = piece.name;
  context.map = map;
  context.barometric_pressure = barometer.pressure;
  ImportLog log;
  context.log = &log;
  context.reader = options.reader;
  if (layout) context.layout = &*layout;
  context.threads =
      options.threads != 0 ? options.threads : std::max(1U, std::thread::hardware_concurrency());
  // Converted text may be longer or shorter than the file: progress is in the file's bytes.
  const double scale = piece.text.empty() ? 1.0
                                          : static_cast<double>(piece.bytes) /
                                                static_cast<double>(piece.text.size());
  if (options.progress) {
    context.progress = [&, scale](std::size_t done) {
      const auto bytes = static_cast<std::size_t>(static_cast<double>(done) * scale);
      options.progress({piece.name, share.before + bytes, share.total});
    };
  }
  context.stop = options.stop;
  context.done_with = [&hash](std::string_view text, std::string_view copy) {
    hash.pass(text, copy);
  };
  context.copy = [&hash](std::string_view part, char* to) { return hash.file().copy(part, to); };
  FileSurvey survey;
  if (options.survey) {
    survey.file = piece.name;
    survey.format = piece.format;
    survey.findings = piece.findings;
    context.survey = &survey;
  }
  Result<std::vector<SourceTable>> tables = read_delimited(piece.text, context);
  std::vector<SourceTable> none;
  put_source_lines(piece.source, log, tables ? *tables : none);
  import.log.merge(log);
  if (!tables) return tables.error();
  std::size_t rows = 0;
  for (SourceTable& table : *tables) {
    rows += table.time.size();
    note_columns(table, import);
  }
  import.recording.files.push_back({piece.name, hash.text(), piece.bytes, rows});
  for (const std::string& text : piece.assumptions) {
    import.assumptions.push_back(piece.name + ": " + text);
  }
  if (!tables->empty()) {
    note_table(piece, tables->front(), headers, map, barometer, survey.clock_error.has_value(),
               import);
  }
  if (options.survey) propose_zone(*tables, survey);
  for (SourceTable& table : *tables) order_rows(table, import.log);
  if (options.survey) {
    finish_survey(survey, *tables, map, import.log);
    const Result<std::vector<SaturationCurve>> curves = curves_for(map, options.saturation);
    if (!curves) return curves.error();
    propose_reference(*tables, *curves, barometer.pressure, survey);
    import.surveys.push_back(std::move(survey));
    // Of a long table each signal has a time axis of its own; the longest stands for the file.
    const auto longest = std::max_element(
        tables->begin(), tables->end(),
        [](const SourceTable& a, const SourceTable& b) { return a.time.size() < b.time.size(); });
    if (longest != tables->end()) probes.push_back(clock_probe(*longest));
    for (SourceTable& table : *tables) {
      std::erase_if(table.columns, [](const SourceColumn& c) { return c.quantity == nullptr; });
    }
  }
  std::erase_if(*tables, [](const SourceTable& table) { return table.columns.empty(); });
  return tables;
}

/// The encoding that a map states for this file; maps are matched by header, so only a map given
/// alone can say it.
std::optional<Encoding> stated_encoding(const ImportOptions& options) {
  if (options.maps.size() != 1) return std::nullopt;
  return encoding_named(options.maps.front().dialect.encoding);
}

/// @param name        what the file is called
/// @param known_hash  empty: to be computed
Result<std::vector<SourceTable>> read_one(const fs::path& path, const std::string& name,
                                          const std::string& known_hash,
                                          const ImportOptions& options, const Share& share,
                                          std::vector<ClockProbe>& probes, Import& import) {
  const Result<MappedFile> file = MappedFile::open(path);
  if (!file) return file.error();
  const std::string_view bytes = file->bytes();
  const std::string where = options.names.empty() ? path.string() : name;
  if (bytes.empty()) {
    return Error{ErrorCode::unreadable, "the file is empty", where, "Export the recording again"};
  }
  OpenOptions open;
  open.encoding = stated_encoding(options);
  for (const ChannelMap& map : options.maps) {
    if (!map.dialect.sheets.empty()) open.sheets = map.dialect.sheets;
  }
  const Result<std::vector<OpenedText>> texts = open_texts(bytes, name, open);
  if (!texts) {
    Error error = texts.error();
    error.where = where;
    return error;
  }
  std::vector<SourceTable> out;
  std::optional<Error> first_error;
  FileHash hash(*file, known_hash);
  for (const OpenedText& opened : *texts) {
    const Piece piece{
        opened.name,     bytes.size() / texts->size(), opened.format, opened.text.view(),
        opened.findings, opened.assumptions,           opened.source};
    Result<std::vector<SourceTable>> tables =
        read_piece(piece, options, share, hash, probes, import);
    if (!tables) {
      // One file of an archive that is no recording does not spoil the rest.
      if (texts->size() == 1) return tables.error();
      if (!first_error) first_error = tables.error();
      import.log.add({Counter::skipped_file, opened.name, 0, "", "", tables.error().message});
      continue;
    }
    for (SourceTable& table : *tables) out.push_back(std::move(table));
  }
  if (out.empty() && first_error) return *first_error;
  return out;
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

/// How much has been said so far, to take back what a file said that is given twice.
struct Noted {
  std::size_t understood, not_understood, assumptions, surveys;
};

Noted noted_in(const Import& import) {
  return {import.understood.size(), import.not_understood.size(), import.assumptions.size(),
          import.surveys.size()};
}

/// An earlier file with the bytes of the one that was read last.
const RecordingFile* same_bytes_before(const Import& import, std::size_t files_before) {
  const std::vector<RecordingFile>& files = import.recording.files;
  if (files.size() <= files_before) return nullptr;
  const auto twin = std::find_if(
      files.begin(), files.begin() + static_cast<std::ptrdiff_t>(files_before),
      [&](const RecordingFile& file) { return file.hash == files[files_before].hash; });
  return twin == files.begin() + static_cast<std::ptrdiff_t>(files_before) ? nullptr : &*twin;
}

void forget_file(std::size_t files_before, const Noted& before, Import& import) {
  import.recording.files.resize(files_before);
  import.understood.resize(before.understood);
  import.not_understood.resize(before.not_understood);
  import.assumptions.resize(before.assumptions);
  import.surveys.resize(before.surveys);
}

Error stopped() { return {ErrorCode::invalid_argument, "the reading was stopped", "", ""}; }

/// @param hashes  of the files, or none
Result<Import> read_files(const FileList& list, const std::vector<std::string>& hashes,
                          const ImportOptions& options) {
  Import import;
  const std::size_t total = total_size(list.files);
  std::size_t before = 0;
  std::vector<SourceTable> tables;
  std::vector<ClockProbe> probes;
  std::optional<Error> first_error;
  for (std::size_t i = 0; i < list.files.size(); ++i) {
    const fs::path& path = list.files[i];
    const std::string& name = list.names[i];
    if (options.stop && options.stop()) return stopped();
    ImportLog log_before = import.log;
    const std::size_t files_before = import.recording.files.size();
    const Noted before_it = noted_in(import);
    Result<std::vector<SourceTable>> read = read_one(path, name, hashes.empty() ? "" : hashes[i],
                                                     options, {before, total}, probes, import);
    std::error_code ignored;
    before += static_cast<std::size_t>(fs::file_size(path, ignored));
    if (!read) {
      // A named file must be readable; in a directory one stranger does not spoil the rest.
      if (!list.skipping) return read.error();
      if (options.stop && options.stop()) return stopped();
      if (!first_error) first_error = read.error();
      import.log = std::move(log_before);
      import.log.add({Counter::skipped_file, name, 0, "", "", read.error().message});
      continue;
    }
    if (const RecordingFile* twin = same_bytes_before(import, files_before)) {
      import.log = std::move(log_before);
      import.log.add(
          {Counter::same_file_again, name, 0, "", "", "the same bytes as " + twin->name});
      forget_file(files_before, before_it, import);
      std::erase_if(probes, [&](const ClockProbe& p) { return p.file == name; });
      continue;
    }
    for (SourceTable& table : *read) {
      if (!table.time.empty()) tables.push_back(std::move(table));
    }
  }
  import.log = without_found_columns(import.log, import.understood);
  propose_shifts(probes, import.surveys);
  if (tables.empty() && !import.surveys.empty()) return import;
  if (tables.empty()) {
    if (first_error) return *first_error;
    if (import.understood.empty() && import.log.count_of(Counter::ignored_column) > 0) {
      return Error{ErrorCode::unreadable, "the map leaves out every column there is",
                   options.names.empty() ? list.files.front().string() : list.names.front(),
                   "Take some out of its ignore list"};
    }
    return Error{
        ErrorCode::unreadable, "no row could be read",
        options.names.empty() ? list.files.front().string() : list.names.front(),
        "Every row was set aside; the columns were understood, so look at the time stamps"};
  }
  std::vector<RecordingFile> files = std::move(import.recording.files);
  const GaugeChannels gauges = gauge_channels(tables);
  Result<Recording> joined = join_tables(std::move(tables), import.log);
  if (!joined) return joined.error();
  import.recording = std::move(*joined);
  import.recording.files = std::move(files);
  use_logged_barometer(gauges, options, import);
  return import;
}

}  // namespace

std::string not_understood_text(const Import& import, std::size_t shown_per_file) {
  std::string out;
  const std::vector<std::string>& all = import.not_understood;
  for (std::size_t i = 0; i < all.size();) {
    const std::string file = all[i].substr(0, all[i].find(": ") + 2);
    std::vector<std::string> headers;
    std::size_t more = 0;
    for (; i < all.size() && all[i].starts_with(file); ++i) {
      if (headers.size() < shown_per_file) {
        headers.push_back(all[i].substr(file.size()));
      } else {
        ++more;
      }
    }
    if (more > 0) headers.push_back(std::to_string(more) + " more");
    out += (out.empty() ? "" : "; ") + file + list_of(headers);
  }
  return out;
}

Result<Import> import_recordings(const std::vector<fs::path>& paths, const ImportOptions& options) {
  if (paths.empty()) {
    return Error{ErrorCode::invalid_argument, "no recording is named", "",
                 "Name a file or a directory"};
  }
  const Result<FileList> list = list_files(paths, options);
  if (!list) return list.error();
  const bool keep =
      !options.shelf.empty() && !options.survey && total_size(list->files) >= options.shelf_from;
  if (!keep) return read_files(*list, {}, options);
  const Result<std::vector<std::string>> hashes = hashes_of(list->files);
  if (!hashes) return read_files(*list, {}, options);
  const std::string key = import_key(list->names, *hashes, list->skipping, options);
  if (key.empty()) return read_files(*list, *hashes, options);
  const fs::path stored = stored_path(options.shelf, key);
  if (std::optional<Import> found = load_import(stored)) {
    found->from_shelf = true;
    touch_stored(stored);
    return std::move(*found);
  }
  Result<Import> import = read_files(*list, *hashes, options);
  if (!import || (options.stop && options.stop())) return import;
  std::error_code ignored;
  fs::create_directories(options.shelf, ignored);
  // Keeping it makes the next time faster; that it cannot be kept spoils nothing now.
  add_pyramids(import->recording);
  if (save_import(stored, *import)) trim_shelf(options.shelf, options.shelf_size);
  return import;
}

}  // namespace cw
