// libFuzzer targets of the importer: bytes of one format each are surveyed, never a crash, a leak
// or a hang. tests/fuzz/run.sh runs them all. CW_FUZZ_FORMAT says which bytes are put in front of
// or around the input, so that the fuzzer need not find out that a zip archive has a directory.
#include <zip.h>
#include <zlib.h>

#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>

#include "ingest/delimited/delimited.h"
#include "ingest/open.h"
#include "ingest/survey.h"

namespace {

[[maybe_unused]] std::string gzipped(std::string_view bytes) {
  std::string out(compressBound(static_cast<uLong>(bytes.size())) + 64, '\0');
  z_stream stream{};
  deflateInit2(&stream, 1, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY);
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
  stream.avail_in = static_cast<uInt>(bytes.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  return out;
}

/// A workbook whose only sheet is the input.
[[maybe_unused]] std::string workbook(std::string_view sheet) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* target = zip_source_buffer_create(nullptr, 0, 0, &error);
  zip_source_keep(target);
  zip_t* zip = zip_open_from_source(target, ZIP_TRUNCATE, &error);
  const std::string_view book =
      "<workbook xmlns:r=\"r\"><sheets><sheet name=\"a\" sheetId=\"1\" r:id=\"r1\"/></sheets>"
      "</workbook>";
  const std::string_view relations =
      "<Relationships><Relationship Id=\"r1\" Target=\"worksheets/sheet1.xml\"/></Relationships>";
  const std::string_view styles =
      "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"22\"/></cellXfs></styleSheet>";
  const auto add = [&](const char* name, std::string_view bytes) {
    zip_source_t* source = zip_source_buffer(zip, bytes.data(), bytes.size(), 0);
    const zip_int64_t at = zip_file_add(zip, name, source, 0);
    zip_set_file_compression(zip, static_cast<zip_uint64_t>(at), ZIP_CM_STORE, 0);
  };
  add("xl/workbook.xml", book);
  add("xl/_rels/workbook.xml.rels", relations);
  add("xl/styles.xml", styles);
  add("xl/worksheets/sheet1.xml", sheet);
  zip_close(zip);
  zip_source_open(target);
  zip_source_seek(target, 0, SEEK_END);
  const zip_int64_t size = zip_source_tell(target);
  zip_source_seek(target, 0, SEEK_SET);
  std::string out(static_cast<std::size_t>(size), '\0');
  zip_source_read(target, out.data(), out.size());
  zip_source_close(target);
  zip_source_free(target);
  zip_error_fini(&error);
  return out;
}

std::string file_of(std::string_view input) {
#if CW_FUZZ_FORMAT == 1
  return "ver:\"3.0\"\n" + std::string(input);
#elif CW_FUZZ_FORMAT == 2
  return workbook(input);
#elif CW_FUZZ_FORMAT == 3
  return gzipped(input);
#else
  return std::string(input);
#endif
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes = file_of({reinterpret_cast<const char*>(data), size});
  const cw::Result<std::vector<cw::OpenedText>> texts = cw::open_texts(bytes, "fuzz", {});
  if (!texts) return 0;
  for (const cw::OpenedText& opened : *texts) {
    cw::ImportLog log;
    cw::FileSurvey survey;
    cw::ReadContext context;
    context.file = opened.name;
    context.log = &log;
    context.survey = &survey;
    context.copy = [](std::string_view part, char* to) {
      std::copy(part.begin(), part.end(), to);
      return true;
    };
    const auto tables = cw::read_delimited(opened.text.view(), context);
    if (tables) cw::finish_survey(survey, *tables, nullptr, log);
  }
  return 0;
}
