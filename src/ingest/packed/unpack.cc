#include "ingest/packed/unpack.h"

#include <zip.h>
#include <zlib.h>
#include <zstd.h>

#include <algorithm>
#include <utility>

namespace cw {
namespace {

constexpr std::size_t piece = 1U << 18U;

Error broken(const char* what) {
  return {ErrorCode::unreadable, std::string("the ") + what + " data is broken or cut short", "",
          "Copy or pack the file again"};
}

Error too_much(std::size_t packed) {
  return {ErrorCode::out_of_range,
          "unpacks to more than " + std::to_string(unpacked_limit(packed) >> 20U) + " MB from " +
              std::to_string(packed) + " bytes, which no recording does",
          "", "If it is one, unpack it yourself and give the text file"};
}

}  // namespace

bool is_gzip(std::string_view bytes) noexcept { return bytes.starts_with("\x1F\x8B\x08"); }
bool is_zstd(std::string_view bytes) noexcept { return bytes.starts_with("\x28\xB5\x2F\xFD"); }
bool is_zip(std::string_view bytes) noexcept {
  return bytes.starts_with(std::string_view("PK\x03\x04", 4)) ||
         bytes.starts_with(std::string_view("PK\x05\x06", 4));
}

std::size_t unpacked_limit(std::size_t packed) noexcept {
  return std::max<std::size_t>(64U << 20U, packed * 1000);
}

Result<std::string> unpack_gzip(std::string_view bytes) {
  z_stream stream{};
  if (inflateInit2(&stream, 15 + 32) != Z_OK) return broken("gzip");
  std::string out;
  std::size_t fed = 0;
  int status = Z_OK;
  bool over = false;
  while (status == Z_OK && !over) {
    if (stream.avail_in == 0 && fed < bytes.size()) {
      const std::size_t part = std::min<std::size_t>(bytes.size() - fed, 1U << 30U);
      stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data() + fed));
      stream.avail_in = static_cast<uInt>(part);
      fed += part;
    }
    const std::size_t used = out.size();
    out.resize(used + piece);
    stream.next_out = reinterpret_cast<Bytef*>(out.data() + used);
    stream.avail_out = static_cast<uInt>(piece);
    status = inflate(&stream, Z_NO_FLUSH);
    out.resize(out.size() - stream.avail_out);
    over = out.size() > unpacked_limit(bytes.size());
    // Several members may follow each other; zero bytes fill up a block of a tape or a card.
    const std::size_t left = bytes.size() - fed + stream.avail_in;
    if (status == Z_STREAM_END && left > 0 &&
        bytes.substr(bytes.size() - left).find_first_not_of('\0') != std::string_view::npos) {
      status = inflateReset(&stream);
    }
  }
  inflateEnd(&stream);
  if (over) return too_much(bytes.size());
  if (status != Z_STREAM_END) return broken("gzip");
  return out;
}

Result<std::string> unpack_zstd(std::string_view bytes) {
  ZSTD_DStream* stream = ZSTD_createDStream();
  if (stream == nullptr) return broken("zstd");
  ZSTD_inBuffer in{bytes.data(), bytes.size(), 0};
  std::string out;
  std::size_t status = 1;
  bool over = false;
  while ((in.pos < in.size || status != 0) && !over) {
    const std::size_t used = out.size();
    const std::size_t before = in.pos;
    out.resize(used + piece);
    ZSTD_outBuffer to{out.data() + used, piece, 0};
    status = ZSTD_decompressStream(stream, &to, &in);
    out.resize(used + to.pos);
    over = out.size() > unpacked_limit(bytes.size());
    if (ZSTD_isError(status) != 0 || (to.pos == 0 && in.pos == before)) {
      status = 1;
      break;
    }
  }
  ZSTD_freeDStream(stream);
  if (over) return too_much(bytes.size());
  if (status != 0) return broken("zstd");
  return out;
}

Result<ZipArchive> ZipArchive::open(std::string_view bytes) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* source = zip_source_buffer_create(bytes.data(), bytes.size(), 0, &error);
  zip_t* zip = source == nullptr ? nullptr : zip_open_from_source(source, ZIP_RDONLY, &error);
  if (zip == nullptr) {
    if (source != nullptr) zip_source_free(source);
    zip_error_fini(&error);
    return broken("zip");
  }
  zip_error_fini(&error);
  ZipArchive out;
  out.zip_ = zip;
  out.left_ = unpacked_limit(bytes.size());
  const zip_int64_t count = std::min<zip_int64_t>(zip_get_num_entries(zip, 0), 20000);
  for (zip_int64_t i = 0; i < count; ++i) {
    const char* name = zip_get_name(zip, static_cast<zip_uint64_t>(i), 0);
    if (name != nullptr) out.names_.emplace_back(name);
  }
  return out;
}

ZipArchive::ZipArchive(ZipArchive&& other) noexcept
    : zip_(std::exchange(other.zip_, nullptr)),
      left_(other.left_),
      names_(std::move(other.names_)) {}

ZipArchive& ZipArchive::operator=(ZipArchive&& other) noexcept {
  std::swap(zip_, other.zip_);
  std::swap(left_, other.left_);
  std::swap(names_, other.names_);
  return *this;
}

ZipArchive::~ZipArchive() {
  if (zip_ != nullptr) zip_discard(static_cast<zip_t*>(zip_));
}

bool ZipArchive::has(std::string_view name) const {
  return std::find(names_.begin(), names_.end(), name) != names_.end();
}

Result<std::string> ZipArchive::read(const std::string& name) {
  auto* zip = static_cast<zip_t*>(zip_);
  const zip_int64_t index = zip_name_locate(zip, name.c_str(), 0);
  if (index < 0) {
    return Error{ErrorCode::not_found, "the archive has no member " + name, "", ""};
  }
  zip_file_t* file = zip_fopen_index(zip, static_cast<zip_uint64_t>(index), 0);
  if (file == nullptr) {
    const bool secret = zip_error_code_zip(zip_get_error(zip)) == ZIP_ER_NOPASSWD;
    if (secret) {
      return Error{ErrorCode::unsupported, "the archive is encrypted", "",
                   "Unpack it with its password and give the text file"};
    }
    return broken("zip");
  }
  // What the directory says of the size is not believed: the bytes are counted.
  std::string out;
  zip_int64_t got = 1;
  while (got > 0 && out.size() <= left_) {
    const std::size_t used = out.size();
    out.resize(used + piece);
    got = zip_fread(file, out.data() + used, piece);
    out.resize(used + static_cast<std::size_t>(std::max<zip_int64_t>(got, 0)));
  }
  zip_fclose(file);
  if (out.size() > left_) {
    return Error{ErrorCode::out_of_range,
                 "the archive unpacks to more than " + std::to_string(left_ >> 20U) +
                     " MB, which no recording of its size does",
                 "", "If it is one, unpack it yourself and give the text files"};
  }
  if (got < 0) return broken("zip");
  left_ -= out.size();
  return out;
}

}  // namespace cw
