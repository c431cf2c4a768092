#include "demo/recording.h"

#include <string_view>
#include <utility>

#include "embedded/demo_recording.h"
#include "ingest/packed/unpack.h"

namespace cw::demo {
namespace {

Error damaged(std::string_view name) {
  return {ErrorCode::unreadable, "the program's demo recording is damaged", std::string(name),
          "Build the program again from an unchanged copy of its source"};
}

Result<std::string> file(std::string_view name) {
  for (const EmbeddedFile& file : embedded::demo_recording()) {
    if (file.name != name) continue;
    Result<std::string> text = unpack_gzip(file.text);
    return text ? std::move(text) : damaged(name);
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
