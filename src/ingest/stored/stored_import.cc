#include "ingest/stored/stored_import.h"

#include <algorithm>
#include <array>
#include <memory>

#include "base/file.h"
#include "base/new_file.h"
#include "ingest/stored/bytes.h"
#include "series/packed_column.h"
#include "series/pyramid.h"

namespace cw {
namespace {

/// Raised with every change of what follows.
constexpr std::string_view magic = "CWREC001";
constexpr std::size_t header_size = 64;
constexpr std::size_t alignment = 64;

/// Where a piece lies in the file.
struct Piece {
  std::size_t at = 0;
  std::size_t size = 0;
};

/// Writes the file front to back and hashes what it writes.
class Output {
 public:
  explicit Output(NewFile& file) : file_(file) {}

  Status begin() { return file_.append(std::string(header_size, '\0')); }

  Result<Piece> piece(std::string_view bytes) {
    const std::size_t padding = (alignment - at_ % alignment) % alignment;
    if (Status s = append(std::string(padding, '\0')); !s) return s.error();
    const Piece out{at_, bytes.size()};
    if (Status s = append(bytes); !s) return s.error();
    return out;
  }

  /// The header comes last: a file without one is none.
  Status finish(const Piece& meta) {
    ByteWriter header;
    header.size(at_);
    header.size(meta.at);
    header.size(meta.size);
    return file_.overwrite(0, std::string(magic) + header.bytes() + hash_.text());
  }

 private:
  Status append(std::string_view bytes) {
    hash_.add(bytes);
    at_ += bytes.size();
    return file_.append(bytes);
  }

  NewFile& file_;
  ContentHash hash_;
  std::size_t at_ = header_size;
};

template <class T>
std::string_view bytes_of(std::span<const T> values) {
  return {reinterpret_cast<const char*>(values.data()), values.size_bytes()};
}

void put(ByteWriter& out, const Piece& piece) {
  out.size(piece.at);
  out.size(piece.size);
}

void put(ByteWriter& out, const std::vector<std::string>& texts) {
  out.size(texts.size());
  for (const std::string& text : texts) out.text(text);
}

void put(ByteWriter& out, const ImportLog& log) {
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    out.size(log.count_of(static_cast<Counter>(i)));
  }
  out.size(log.rejects().size());
  for (const Reject& reject : log.rejects()) {
    out.number(static_cast<std::uint32_t>(reject.counter));
    out.text(reject.file);
    out.size(reject.line);
    out.text(reject.column);
    out.text(reject.text);
    out.text(reject.reason);
  }
}

Status put_channel(Output& file, ByteWriter& meta, const Recording& recording,
                   const Channel& channel, double barometric_pressure) {
  const std::span<const float> values(channel.values.data(), channel.values.size());
  const PackedColumn packed = pack_column(values, *channel.quantity, barometric_pressure);
  const Result<Piece> column =
      file.piece(packed.packing == Packing::floats ? bytes_of(values) : packed.bytes);
  if (!column) return column.error();
  meta.text(channel.place.text);
  meta.text(channel.quantity->name);
  meta.text(channel.origin);
  meta.number(channel.interval);
  meta.number(static_cast<std::uint32_t>(packed.packing));
  meta.number(packed.scale);
  meta.number(packed.offset);
  meta.number(packed.places);
  put(meta, *column);
  const Pyramid pyramid =
      channel.pyramid != nullptr ? *channel.pyramid : Pyramid(recording.time, values);
  for (const std::vector<Pyramid::Node>& level : pyramid.levels()) {
    const Result<Piece> piece = file.piece(bytes_of(std::span<const Pyramid::Node>(level)));
    if (!piece) return piece.error();
    put(meta, *piece);
  }
  return Done{};
}

void put_rest(ByteWriter& meta, const Import& import) {
  const Recording& recording = import.recording;
  meta.number(static_cast<std::uint32_t>(recording.clock.kind));
  meta.number(static_cast<std::int32_t>(recording.clock.offset_minutes));
  meta.text(recording.clock.zone);
  meta.size(recording.files.size());
  for (const RecordingFile& file : recording.files) {
    meta.text(file.name);
    meta.text(file.hash);
    meta.size(file.bytes);
    meta.size(file.rows);
  }
  put(meta, import.log);
  put(meta, import.understood);
  put(meta, import.not_understood);
  put(meta, import.assumptions);
  meta.number(import.barometric_pressure.value);
}

/// The mapped file with what checks its pieces.
struct Input {
  std::shared_ptr<const MappedFile> file;

  std::optional<std::string_view> piece(ByteReader& meta) const {
    const Piece where{meta.size(), meta.size()};
    const std::string_view all = file->bytes();
    if (!meta.ok() || where.at > all.size() || where.size > all.size() - where.at ||
        where.at % alignment != 0) {
      return std::nullopt;
    }
    return all.substr(where.at, where.size);
  }
};

template <class T>
bool copy_piece(std::string_view bytes, std::vector<T>& out) {
  static_assert(std::is_trivially_copyable_v<T>);
  if (bytes.size() % sizeof(T) != 0) return false;
  out.resize(bytes.size() / sizeof(T));
  if (!bytes.empty()) std::memcpy(out.data(), bytes.data(), bytes.size());
  return true;
}

/// Rows of the nodes must lie on the time axis: a pyramid is an index into it.
bool rows_within(const std::vector<Pyramid::Node>& level, std::size_t rows) {
  return std::all_of(level.begin(), level.end(),
                     [&](const Pyramid::Node& node) { return node.empty() || node.last < rows; });
}

bool take_channel(const Input& input, ByteReader& meta, Recording& recording) {
  Channel channel;
  const auto place = parse_place(meta.text());
  channel.quantity = find_quantity(meta.text());
  if (!place || channel.quantity == nullptr) return false;
  channel.place = *place;
  channel.origin = meta.text();
  channel.interval = meta.number<double>();
  PackedColumn how;
  how.packing = static_cast<Packing>(meta.number<std::uint32_t>());
  how.scale = meta.number<double>();
  how.offset = meta.number<double>();
  how.places = meta.number<std::uint32_t>();
  const auto bytes = input.piece(meta);
  if (!bytes) return false;
  // What is unpacked is in memory twice until the file's part is let go of.
  const auto values =
      unpack_later(how, recording.size(), *bytes, input.file,
                   [file = input.file.get()](std::string_view part) { file->forget(part); });
  if (values == nullptr) return false;
  channel.values = Column(values);
  std::vector<std::vector<Pyramid::Node>> levels;
  for (const std::size_t size : Pyramid::level_sizes(recording.size())) {
    const auto level = input.piece(meta);
    if (!level || !copy_piece(*level, levels.emplace_back()) || levels.back().size() != size ||
        !rows_within(levels.back(), recording.size())) {
      return false;
    }
  }
  channel.pyramid = std::make_shared<const Pyramid>(std::move(levels));
  recording.channels.push_back(std::move(channel));
  return true;
}

std::vector<std::string> take_texts(ByteReader& meta) {
  std::vector<std::string> out(meta.count(sizeof(std::uint64_t)));
  for (std::string& text : out) text = meta.text();
  return out;
}

bool take_log(ByteReader& meta, ImportLog& log) {
  std::array<std::size_t, static_cast<std::size_t>(Counter::count_)> counts{};
  for (std::size_t& count : counts) count = meta.size();
  const std::size_t rejects = meta.count(sizeof(std::uint64_t));
  for (std::size_t i = 0; i < rejects && meta.ok(); ++i) {
    Reject reject;
    const auto counter = meta.number<std::uint32_t>();
    if (counter >= counts.size()) return false;
    reject.counter = static_cast<Counter>(counter);
    reject.file = meta.text();
    reject.line = meta.size();
    reject.column = meta.text();
    reject.text = meta.text();
    reject.reason = meta.text();
    log.add(std::move(reject));
  }
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (counts[i] < log.count_of(counter)) return false;
    log.count(counter, counts[i] - log.count_of(counter));
  }
  return true;
}

bool take_rest(ByteReader& meta, Import& import) {
  Recording& recording = import.recording;
  const auto kind = meta.number<std::uint32_t>();
  if (kind > static_cast<std::uint32_t>(Clock::Kind::zone)) return false;
  recording.clock.kind = static_cast<Clock::Kind>(kind);
  recording.clock.offset_minutes = meta.number<std::int32_t>();
  recording.clock.zone = meta.text();
  recording.files.resize(meta.count(4 * sizeof(std::uint64_t)));
  for (RecordingFile& file : recording.files) {
    file.name = meta.text();
    file.hash = meta.text();
    file.bytes = meta.size();
    file.rows = meta.size();
  }
  if (!take_log(meta, import.log)) return false;
  import.understood = take_texts(meta);
  import.not_understood = take_texts(meta);
  import.assumptions = take_texts(meta);
  import.barometric_pressure = {meta.number<double>()};
  return meta.ok();
}

/// The part that describes the rest, if size and checksum are right.
std::optional<std::string_view> checked_meta(const MappedFile& file) {
  const std::string_view bytes = file.bytes();
  if (bytes.size() < header_size || !bytes.starts_with(magic)) return std::nullopt;
  ByteReader header(bytes.substr(magic.size()));
  const std::size_t size = header.size();
  const std::size_t at = header.size();
  const std::size_t meta_size = header.size();
  const std::string_view checksum = bytes.substr(magic.size() + 3 * sizeof(std::uint64_t), 16);
  if (size != bytes.size() || at > size || meta_size > size - at) return std::nullopt;
  ContentHash hash;
  constexpr std::size_t step = 4U << 20U;
  for (std::size_t from = header_size; from < size; from += step) {
    hash.add(bytes.substr(from, step));
    file.forget(bytes.substr(from, step));
  }
  if (hash.text() != checksum) return std::nullopt;
  return bytes.substr(at, meta_size);
}

}  // namespace

Status save_import(const std::filesystem::path& path, const Import& import) {
  Result<NewFile> file = NewFile::create(path);
  if (!file) return file.error();
  Output output(*file);
  if (Status s = output.begin(); !s) return s;
  const Recording& recording = import.recording;
  ByteWriter meta;
  const Result<Piece> time = output.piece(bytes_of(std::span<const Instant>(recording.time)));
  if (!time) return time.error();
  put(meta, *time);
  meta.size(recording.channels.size());
  for (const Channel& channel : recording.channels) {
    if (Status s = put_channel(output, meta, recording, channel, import.barometric_pressure.value);
        !s) {
      return s;
    }
  }
  put_rest(meta, import);
  const Result<Piece> piece = output.piece(meta.bytes());
  if (!piece) return piece.error();
  if (Status s = output.finish(*piece); !s) return s;
  return file->publish();
}

std::optional<Import> load_import(const std::filesystem::path& path) {
  Result<MappedFile> file = MappedFile::open(path);
  if (!file) return std::nullopt;
  const Input input{std::make_shared<const MappedFile>(std::move(*file))};
  const auto meta_bytes = checked_meta(*input.file);
  if (!meta_bytes) return std::nullopt;
  ByteReader meta(*meta_bytes);
  Import out;
  const auto time = input.piece(meta);
  if (!time || !copy_piece(*time, out.recording.time)) return std::nullopt;
  const std::size_t channels = meta.count(8 * sizeof(std::uint64_t));
  for (std::size_t i = 0; i < channels; ++i) {
    if (!take_channel(input, meta, out.recording)) return std::nullopt;
  }
  if (!take_rest(meta, out)) return std::nullopt;
  return out;
}

}  // namespace cw
