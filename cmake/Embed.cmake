# Writes OUT/NAME.cc and OUT/NAME.h with the contents of FILES (separated by |) as string literals:
# raw texts, or with PACKED=TRUE bytes of any value.
# Plain C++ instead of an assembler's .incbin, so that the same file builds for WebAssembly.
string(REPLACE "|" ";" files "${FILES}")
set(body "")
foreach(file IN LISTS files)
  file(RELATIVE_PATH shown "${ROOT}" "${file}")
  if(PACKED)
    file(READ "${file}" hex HEX)
    string(LENGTH "${hex}" size)
    math(EXPR size "${size} / 2")
    string(REGEX REPLACE "(................................................................)" "\\1\n" hex "${hex}")
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" hex "${hex}")
    string(REGEX REPLACE "([^\n]+)" "\"\\1\"" pieces "${hex}")
    string(APPEND body "    {\"${shown}\", std::string_view(${pieces}, ${size})},\n")
    continue()
  endif()
  file(READ "${file}" text)
  # One literal may hold 64 kB by the standard's minimum: long texts are cut into adjacent pieces.
  string(LENGTH "${text}" length)
  set(pieces "")
  set(at 0)
  while(at LESS length)
    string(SUBSTRING "${text}" ${at} 8000 piece)
    string(APPEND pieces "R\"cw_data(${piece})cw_data\"\n")
    math(EXPR at "${at} + 8000")
  endwhile()
  string(APPEND body "    {\"${shown}\", ${pieces}},\n")
endforeach()
file(WRITE "${OUT}/${NAME}.h.new"
"// Generated from data/ by cmake/Embed.cmake.
#pragma once
#include <span>

#include \"base/embedded_file.h\"

namespace cw::embedded {
std::span<const EmbeddedFile> ${NAME}();
}  // namespace cw::embedded
")
file(WRITE "${OUT}/${NAME}.cc"
"// Generated from data/ by cmake/Embed.cmake.
#include \"embedded/${NAME}.h\"

namespace cw::embedded {
namespace {
constexpr EmbeddedFile files[] = {
${body}};
}  // namespace
std::span<const EmbeddedFile> ${NAME}() { return files; }
}  // namespace cw::embedded
")
file(COPY_FILE "${OUT}/${NAME}.h.new" "${OUT}/${NAME}.h" ONLY_IF_DIFFERENT)
file(REMOVE "${OUT}/${NAME}.h.new")
file(TOUCH "${OUT}/${NAME}.h")
