# cw_embed_page(TARGET): compiles the workbench's page into the target.
#
# CW_PAGE=AUTO  builds web/ with npm where both are here, else embeds a plain page that says how to get it
#         ON    fails where the page cannot be built
#         OFF   the plain page
# CW_PAGE_DIR=DIR  embeds a page that is built already (a folder with index.html and assets/)
set(CW_PAGE AUTO CACHE STRING "Build the workbench's page: AUTO, ON or OFF")
set_property(CACHE CW_PAGE PROPERTY STRINGS AUTO ON OFF)
set(CW_PAGE_DIR "" CACHE PATH "A built page to embed instead of building web/")

function(cw_embed_page target)
  set(web ${PROJECT_SOURCE_DIR}/web)
  set(plain ${PROJECT_SOURCE_DIR}/src/server/plain)
  set(out ${PROJECT_BINARY_DIR}/page)
  find_program(CW_NPM npm)
  if(CW_PAGE_DIR)
    file(GLOB_RECURSE inputs CONFIGURE_DEPENDS ${CW_PAGE_DIR}/*)
    set(mode given)
  elseif(CW_PAGE STREQUAL "OFF" OR NOT EXISTS ${web}/package-lock.json OR NOT CW_NPM)
    if(CW_PAGE STREQUAL "ON")
      message(FATAL_ERROR "CW_PAGE=ON, but npm or web/package-lock.json is not here")
    endif()
    set(inputs ${plain}/index.html)
    set(mode plain)
  else()
    file(GLOB_RECURSE inputs CONFIGURE_DEPENDS ${web}/src/* ${web}/public/*)
    file(GLOB more CONFIGURE_DEPENDS ${web}/*.json ${web}/*.ts ${web}/*.js ${web}/*.html)
    list(APPEND inputs ${more} ${plain}/index.html)
    set(mode build)
  endif()
  message(STATUS "Workbench page: ${mode}")
  add_custom_command(
    OUTPUT ${out}/page_files.cc
    COMMAND ${CMAKE_COMMAND} -DMODE=${mode} -DNPM=${CW_NPM} -DWEB=${web} -DPLAIN=${plain} -DOUT=${out}
            -DGIVEN=${CW_PAGE_DIR} -DREQUIRED=${CW_PAGE}
            -P ${PROJECT_SOURCE_DIR}/cmake/BuildPage.cmake
    DEPENDS ${inputs} ${PROJECT_SOURCE_DIR}/cmake/BuildPage.cmake
    COMMENT "Embedding the workbench's page (${mode})" VERBATIM)
  target_sources(${target} PRIVATE ${out}/page_files.cc)
endfunction()
