# cw_module(NAME base [DEPENDS ...] SOURCES ... [LIBRARIES ...])  a library of the design's table
# cw_test(NAME ... MODULE ... SOURCES ... [LABELS ...])           a GoogleTest executable
include(${CMAKE_CURRENT_LIST_DIR}/Layers.cmake)

option(CW_QUICK_BUILD
       "Headers of libraries precompiled, tests' own files not optimised: for builds from nothing" OFF)
option(CW_TEST_BY_PROGRAM "CTest runs each test program once, not each test by itself" OFF)

# What nearly every file includes. Without CW_QUICK_BUILD each file must name what it uses.
if(CW_QUICK_BUILD)
  set(common <algorithm> <array> <cmath> <cstdint> <functional> <map> <memory> <optional> <span>
             <string> <string_view> <utility> <variant> <vector> <fmt/format.h>)
  file(WRITE ${PROJECT_BINARY_DIR}/precompiled.cc "// Carries the precompiled headers.\n")
  if(CMAKE_CXX_COMPILER_LAUNCHER MATCHES "ccache$")  # It asks for both of these.
    set(CMAKE_CXX_COMPILER_LAUNCHER ${CMAKE_COMMAND} -E env CCACHE_SLOPPINESS=pch_defines,time_macros
                                    ${CMAKE_CXX_COMPILER_LAUNCHER})
    add_compile_options($<$<CXX_COMPILER_ID:GNU>:-fpch-preprocess>)
  endif()
  foreach(kind module test)
    add_library(cw_precompiled_${kind} OBJECT ${PROJECT_BINARY_DIR}/precompiled.cc)
    target_link_libraries(cw_precompiled_${kind} PRIVATE cw_flags fmt::fmt)
  endforeach()
  target_precompile_headers(cw_precompiled_module PRIVATE ${common})
  if(BUILD_TESTING)
    target_link_libraries(cw_precompiled_test PRIVATE GTest::gmock)
    target_compile_options(cw_precompiled_test PRIVATE -O0)
    target_precompile_headers(cw_precompiled_test PRIVATE ${common} <gtest/gtest.h> <gmock/gmock.h>)
  endif()
endif()

function(cw_module name)
  cmake_parse_arguments(ARG "" "" "DEPENDS;SOURCES;LIBRARIES;PUBLIC_LIBRARIES" ${ARGN})
  foreach(dependency IN LISTS ARG_DEPENDS)
    if(NOT dependency IN_LIST CW_MAY_USE_${name})
      message(FATAL_ERROR "module ${name} may not link ${dependency}: see cmake/Layers.cmake")
    endif()
  endforeach()
  add_library(cw_${name} STATIC ${ARG_SOURCES})
  target_include_directories(cw_${name} PUBLIC ${PROJECT_SOURCE_DIR}/src)
  list(TRANSFORM ARG_DEPENDS PREPEND cw_ OUTPUT_VARIABLE dependencies)
  target_link_libraries(cw_${name} PUBLIC ${dependencies} ${ARG_PUBLIC_LIBRARIES}
                        PRIVATE cw_flags ${ARG_LIBRARIES})
  if(CW_QUICK_BUILD)
    # The compiler takes precompiled headers only where fmt's definitions are the same.
    target_link_libraries(cw_${name} PRIVATE fmt::fmt)
    target_precompile_headers(cw_${name} REUSE_FROM cw_precompiled_module)
  endif()
endfunction()

function(cw_test name)
  cmake_parse_arguments(ARG "" "" "MODULES;SOURCES;LIBRARIES;LABELS" ${ARGN})
  if(NOT BUILD_TESTING)
    return()
  endif()
  list(TRANSFORM ARG_MODULES PREPEND cw_ OUTPUT_VARIABLE modules)
  add_executable(${name} ${ARG_SOURCES})
  target_include_directories(${name} PRIVATE ${PROJECT_SOURCE_DIR}/tests)
  target_link_libraries(${name} PRIVATE cw_flags ${modules} ${ARG_LIBRARIES} GTest::gmock
                                        GTest::gtest_main)
  target_compile_definitions(${name} PRIVATE CW_SOURCE_ROOT="${PROJECT_SOURCE_DIR}"
                                             CW_BINARY_ROOT="${PROJECT_BINARY_DIR}")
  if(CW_QUICK_BUILD)
    target_compile_options(${name} PRIVATE -O0)
    target_link_libraries(${name} PRIVATE fmt::fmt)
    target_precompile_headers(${name} REUSE_FROM cw_precompiled_test)
  endif()
  if(NOT ARG_LABELS)
    set(ARG_LABELS unit)
  endif()
  if(CW_TEST_BY_PROGRAM)
    # Property tables are then made once a program, which takes a sanitized one most of its time.
    add_test(NAME ${name} COMMAND ${name})
    set_tests_properties(${name} PROPERTIES LABELS "${ARG_LABELS}")
    return()
  endif()
  # The test list is read when the tests run, not at build time: a build stays a build.
  gtest_discover_tests(${name} DISCOVERY_MODE PRE_TEST PROPERTIES LABELS "${ARG_LABELS}")
endfunction()

# cw_embed(TARGET [PACKED] NAME x FILES a.toml b.toml): compiles data files into the target. The
# generated header "embedded/<name>.h" declares
#   std::span<const cw::EmbeddedFile> cw::embedded::<name>();
# File names are relative to data/. PACKED: the files are bytes, not UTF-8 texts.
function(cw_embed target)
  cmake_parse_arguments(ARG "PACKED" "NAME" "FILES" ${ARGN})
  set(out ${PROJECT_BINARY_DIR}/embedded/embedded)
  list(JOIN ARG_FILES "|" joined)
  add_custom_command(
    OUTPUT ${out}/${ARG_NAME}.cc ${out}/${ARG_NAME}.h
    COMMAND ${CMAKE_COMMAND} -DNAME=${ARG_NAME} -DOUT=${out} "-DFILES=${joined}" -DPACKED=${ARG_PACKED}
            -DROOT=${PROJECT_SOURCE_DIR}/data -P ${PROJECT_SOURCE_DIR}/cmake/Embed.cmake
    DEPENDS ${ARG_FILES} ${PROJECT_SOURCE_DIR}/cmake/Embed.cmake
    COMMENT "Embedding data/${ARG_NAME}" VERBATIM)
  target_sources(${target} PRIVATE ${out}/${ARG_NAME}.cc ${out}/${ARG_NAME}.h)
  target_include_directories(${target} PRIVATE ${PROJECT_BINARY_DIR}/embedded)
endfunction()
