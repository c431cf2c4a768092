#include "fluid/detail/table_cache.h"

#ifndef __wasm__
#include <array>
#include <bit>
#include <cstring>
#include <filesystem>

#include "base/cache_place.h"
#include "base/file.h"
#endif

namespace cw::fluid::detail {

#ifdef __wasm__

std::string cache_directory() { return {}; }
std::string data_fingerprint(std::span<const EmbeddedFile>) { return {}; }
std::string cache_file_name(const Model&, const std::string&) { return {}; }
CachedTable cached_table(const Model& model, const std::string&, const std::string&) {
  return {make_table(model), {}};
}

#else

namespace {

// A file is this head, then the blocks of TableData in order, as the machine has them in memory. To
// be raised when what is in the blocks changes its meaning.
constexpr std::uint32_t format = 1;

struct Head {
  std::array<char, 16> magic = {'c', 'o', 'i', 'l', 'w', 'r', 'i', 'g',
                                'h', 't', ' ', 't', 'a', 'b', 'l', 'e'};
  std::uint32_t version = format;
  std::uint32_t byte_order = 0x01020304;
  std::array<char, 16> fingerprint{};
  std::array<char, 16> checksum{};  ///< of all that follows the head
  std::uint64_t size = 0;           ///< of all that follows the head [B]
};
static_assert(sizeof(Head) == 64);

std::array<char, 16> digits(const std::string& hash) {
  std::array<char, 16> out{};
  std::memcpy(out.data(), hash.data(), std::min(hash.size(), out.size()));
  return out;
}

/// Gives the vectors of an empty table the sizes of a filled one.
void size_for_grid(TableData& data) {
  std::size_t liquid = 0;
  std::size_t vapour = 0;
  for (const PressureCell& cell : data.cells) {
    liquid += cell.liquid_patches;
    vapour += cell.vapour_patches;
  }
  for (auto* lines : {&data.enthalpy, &data.temperature, &data.volume}) {
    lines->resize(data.cells.size());
  }
  for (Atlas* atlas : {&data.liquid_ph, &data.liquid_more, &data.liquid_density, &data.liquid_pT}) {
    atlas->resize(liquid);
  }
  for (Atlas* atlas : {&data.vapour_ph, &data.vapour_more, &data.vapour_density, &data.vapour_pT}) {
    atlas->resize(vapour);
  }
}

std::uint64_t block_bytes(const TableData& data) {
  std::uint64_t sum = 0;
  data.each_block([&](const void*, std::size_t size) { sum += size; });
  return sum;
}

/// Reads `bytes` into an empty table. @returns what is wrong with them, or null
const char* read_blocks(std::string_view bytes, const std::string& fingerprint, TableData& data) {
  Head head;
  if (bytes.size() < sizeof head) return "it is cut short";
  std::memcpy(&head, bytes.data(), sizeof head);
  bytes.remove_prefix(sizeof head);
  const Head wanted;
  if (head.magic != wanted.magic) return "it is not a table";
  if (head.version != wanted.version) return "it is of another version";
  if (head.byte_order != wanted.byte_order) return "it is from another kind of machine";
  if (head.fingerprint != digits(fingerprint)) return "it belongs to other refrigerant data";
  size_for_grid(data);
  if (head.size != block_bytes(data)) return "it is of another grid";
  if (bytes.size() != head.size) return "it is cut short";
  if (head.checksum != digits(content_hash(bytes))) return "its checksum does not fit";
  data.each_block([&](void* block, std::size_t size) {
    std::memcpy(block, bytes.data(), size);
    bytes.remove_prefix(size);
  });
  return nullptr;
}

std::string written(const TableData& data, const std::string& fingerprint) {
  Head head;
  head.fingerprint = digits(fingerprint);
  head.size = block_bytes(data);
  std::string out(sizeof head, '\0');
  out.reserve(sizeof head + head.size);
  data.each_block([&](const void* block, std::size_t size) {
    out.append(static_cast<const char*>(block), size);
  });
  head.checksum = digits(content_hash(std::string_view(out).substr(sizeof head)));
  std::memcpy(out.data(), &head, sizeof head);
  return out;
}

/// The table from its file, or null with `origin.rejected` set if there is a file.
std::unique_ptr<TableData> from_file(const Model& model, const std::string& fingerprint,
                                     TableOrigin& origin) {
  const auto file = MappedFile::open(origin.file);
  if (!file) {
    if (file.error().code != ErrorCode::not_found) origin.rejected = file.error().message;
    return nullptr;
  }
  auto data = empty_table(model);
  if (!data) return nullptr;
  const char* wrong = read_blocks(file->bytes(), fingerprint, **data);
  if (wrong == nullptr && !begins_like(model, **data)) wrong = "it is not what the equation gives";
  if (wrong != nullptr) {
    origin.rejected = wrong;
    return nullptr;
  }
  return std::move(*data);
}

}  // namespace

std::string cache_directory() {
  const auto place = cache_place("fluids");
  return place ? place->string() : std::string();
}

std::string data_fingerprint(std::span<const EmbeddedFile> files) {
  ContentHash hash;
  for (const EmbeddedFile& file : files) {
    hash.add(file.name);
    hash.add(file.text);
  }
  return hash.text();
}

std::string cache_file_name(const Model& model, const std::string& fingerprint) {
  return model.name + "-" + std::to_string(format) + "-" + fingerprint + ".table";
}

CachedTable cached_table(const Model& model, const std::string& fingerprint,
                         const std::string& directory) {
  TableOrigin origin;
  if (directory.empty()) return {make_table(model), origin};
  origin.file = directory + "/" + cache_file_name(model, fingerprint);
  if (auto data = from_file(model, fingerprint, origin)) {
    origin.loaded = true;
    return {std::move(data), origin};
  }
  auto data = make_table(model);
  if (data) {
    std::error_code ignored;  // writing fails then, and says why
    std::filesystem::create_directories(directory, ignored);
    const Status kept = write_file(origin.file, written(**data, fingerprint));
    origin.kept = kept.has_value();
    if (!kept) origin.not_kept = kept.error().message;
  }
  return {std::move(data), std::move(origin)};
}

#endif

}  // namespace cw::fluid::detail
