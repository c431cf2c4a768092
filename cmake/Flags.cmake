# cw_flags: warnings and numerics for our own targets only; libraries come in as SYSTEM.
option(CW_WERROR "Treat warnings as errors (the ci preset turns it on)" OFF)
set(CW_SANITIZE "" CACHE STRING "Sanitizers for -fsanitize=, for example address,undefined")
option(CW_HARDENING "Checked containers and checked C library calls (the release preset)" OFF)

# ccache and mold make builds quicker; neither is needed.
find_program(CW_CCACHE ccache)
if(CW_CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CW_CCACHE})
endif()
find_program(CW_MOLD mold)
# Link-time optimisation stays with the compiler's own linker.
if(CW_MOLD AND NOT CMAKE_INTERPROCEDURAL_OPTIMIZATION)
  add_link_options(-fuse-ld=mold)
endif()

add_library(cw_flags INTERFACE)
target_compile_features(cw_flags INTERFACE cxx_std_20)
target_compile_options(
  cw_flags
  INTERFACE -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wnon-virtual-dtor
            -Wold-style-cast -Woverloaded-virtual -Wdouble-promotion -Wformat=2
            -Wimplicit-fallthrough
            # Golden numbers must agree between builds: no contraction, no fast math.
            -fno-fast-math -ffp-contract=off)
if(CW_WERROR)
  target_compile_options(cw_flags INTERFACE -Werror)
endif()
if(CW_SANITIZE)
  add_compile_options(-fsanitize=${CW_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  add_link_options(-fsanitize=${CW_SANITIZE})
endif()
if(CW_HARDENING)
  # glibc's checks need an optimised build.
  add_compile_definitions(_GLIBCXX_ASSERTIONS $<$<NOT:$<CONFIG:Debug>>:_FORTIFY_SOURCE=2>)
endif()
