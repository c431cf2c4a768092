// libFuzzer target: any bytes as a recording, surveyed and read, never a crash or a leak.
//
//   cmake --preset fuzz && cmake --build build/fuzz --target ingest_fuzz
//   build/fuzz/tests/fuzz/ingest_fuzz -max_total_time=60 -rss_limit_mb=2048 CORPUS
//   tests/fuzz/ingest_corpus
#include <cstdint>
#include <string_view>

#include "ingest/delimited/delimited.h"
#include "ingest/open.h"
#include "ingest/survey.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const cw::Result<std::vector<cw::OpenedText>> texts = cw::open_texts(bytes, "fuzz", {});
  if (!texts) return 0;
  for (const cw::OpenedText& opened : *texts) {
    cw::ImportLog log;
    cw::FileSurvey survey;
    cw::ReadContext context;
    context.file = opened.name;
    context.log = &log;
    context.survey = &survey;
    const auto tables = cw::read_delimited(opened.text.view(), context);
    if (tables) cw::finish_survey(survey, *tables, nullptr, log);
  }
  return 0;
}
