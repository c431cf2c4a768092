# cw_module(NAME base [DEPENDS ...] SOURCES ... [LIBRARIES ...])  a library of the design's table
# cw_test(NAME ... MODULE ... SOURCES ... [LABELS ...])           a GoogleTest executable
include(${CMAKE_CURRENT_LIST_DIR}/Layers.cmake)

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
  if(NOT ARG_LABELS)
    set(ARG_LABELS unit)
  endif()
  # The test list is read when the tests run, not at build time: a build stays a build.
  gtest_discover_tests(${name} DISCOVERY_MODE PRE_TEST PROPERTIES LABELS "${ARG_LABELS}")
endfunction()

# cw_embed(TARGET NAME x FILES a.toml b.toml): compiles data files into the target. The generated
# header "embedded/<name>.h" declares
#   std::span<const cw::EmbeddedFile> cw::embedded::<name>();
# File names are relative to data/.
function(cw_embed target)
  cmake_parse_arguments(ARG "" "NAME" "FILES" ${ARGN})
  set(out ${PROJECT_BINARY_DIR}/embedded/embedded)
  list(JOIN ARG_FILES "|" joined)
  add_custom_command(
    OUTPUT ${out}/${ARG_NAME}.cc ${out}/${ARG_NAME}.h
    COMMAND ${CMAKE_COMMAND} -DNAME=${ARG_NAME} -DOUT=${out} "-DFILES=${joined}"
            -DROOT=${PROJECT_SOURCE_DIR}/data -P ${PROJECT_SOURCE_DIR}/cmake/Embed.cmake
    DEPENDS ${ARG_FILES} ${PROJECT_SOURCE_DIR}/cmake/Embed.cmake
    COMMENT "Embedding data/${ARG_NAME}" VERBATIM)
  target_sources(${target} PRIVATE ${out}/${ARG_NAME}.cc ${out}/${ARG_NAME}.h)
  target_include_directories(${target} PRIVATE ${PROJECT_BINARY_DIR}/embedded)
endfunction()
