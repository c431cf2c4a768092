#include "demo/recording.h"

#include <zlib.h>

#include <string_view>

#include "embedded/demo_recording.h"

namespace cw::demo {
namespace {

Error damaged(std::string_view name) {
  return {ErrorCode::unreadable, "the program's demo recording is damaged", std::string(name),
          "Build the program again from an unchanged copy of its source"};
}

/// The length that the last four bytes state, little endian [RFC 1952, 2.3.1].
std::size_t stated_length(std::string_view packed) {
  std::size_t length = 0;
  for (std::size_t i = 1; i <= 4; ++i) {
    length = length << 8U | static_cast<unsigned char>(packed[packed.size() - i]);
  }
  return length;
}

Result<std::string> unpacked(std::string_view name, std::string_view packed) {
  constexpr std::size_t shortest = 18;  // head and tail of a gzip member
  if (packed.size() < shortest) return damaged(name);
  std::string out(stated_length(packed), '\0');
  z_stream stream{};
  constexpr int gzip_only = 16 + MAX_WBITS;
  if (inflateInit2(&stream, gzip_only) != Z_OK) return damaged(name);
  std::string in(packed);  // zlib asks for bytes that could be written
  stream.next_in = reinterpret_cast<Bytef*>(in.data());
  stream.avail_in = static_cast<uInt>(in.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int status = inflate(&stream, Z_FINISH);
  const bool whole = status == Z_STREAM_END && stream.avail_out == 0 && stream.avail_in == 0;
  inflateEnd(&stream);
  if (!whole) return damaged(name);
  return out;
}

Result<std::string> file(std::string_view name) {
  for (const EmbeddedFile& file : embedded::demo_recording()) {
    if (file.name == name) return unpacked(name, file.text);
  }
  return damaged(name);
}

}  // namespace

Result<DemoFiles> demo_files() {
  Result<std::string> outdoor = file("demo/outdoor.csv.gz");
  if (!outdoor) return outdoor.error();
  Result<std::string> indoor = file("demo/indoor.csv.gz");
  if (!indoor) return indoor.error();
  return DemoFiles{*std::move(outdoor), *std::move(indoor)};
}

}  // namespace cw::demo
