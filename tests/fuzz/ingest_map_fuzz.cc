// libFuzzer target: any text as a map of columns, and a small recording read with it.
#include <cstdint>
#include <string_view>

#include "ingest/channel_map.h"
#include "ingest/delimited/delimited.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const cw::Result<cw::ChannelMap> map = cw::parse_channel_map(text, "map.toml");
  if (!map) return 0;
  constexpr std::string_view log =
      "title\nDate,Time,a,b,Point,Value\n01.02.2026,06:00,1.5,on,x,3\n02.02.2026,07:00,-999,off,y,"
      "\n";
  cw::ImportLog rejects;
  cw::ReadContext context;
  context.file = "log.csv";
  context.log = &rejects;
  context.map = &*map;
  static_cast<void>(cw::read_delimited(log, context));
  return 0;
}
