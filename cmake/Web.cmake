# kerfwright_embed_page(TARGET)
# Builds the front end (web/) and compiles its files into TARGET: kerfwright::page::assets(), see src/page/assets.hpp.
#
# web/dist is built once for all build folders, when something in web/ is newer than it; dependencies of the lock file are
# installed when they are not what it says. -DKERFWRIGHT_WEB_DIST=FOLDER embeds a folder that was built elsewhere.
# This file is also the script that does the work at build time.

if(CMAKE_SCRIPT_MODE_FILE)
  cmake_minimum_required(VERSION 3.25)
  if(NOT DIST)
    set(DIST "${WEB}/dist")
    # Several build folders share web/: one at a time. (Locking empties the file.)
    file(LOCK "${WEB}/.build-lock" GUARD PROCESS TIMEOUT 600)
    set(installed "${WEB}/node_modules/.package-lock.json")
    if(NOT EXISTS "${installed}" OR "${WEB}/package-lock.json" IS_NEWER_THAN "${installed}")
      execute_process(COMMAND npm ci --no-audit --no-fund WORKING_DIRECTORY "${WEB}" COMMAND_ERROR_IS_FATAL ANY)
      file(TOUCH "${installed}")
    endif()
    set(built "${WEB}/node_modules/.kerfwright-built")
    file(GLOB_RECURSE sources "${WEB}/src/*" "${WEB}/public/*")
    list(FILTER sources EXCLUDE REGEX "\\.test\\.tsx?$")
    list(APPEND sources "${WEB}/index.html" "${WEB}/package-lock.json" "${WEB}/vite.config.ts" "${WEB}/tsconfig.json")
    set(stale FALSE)
    foreach(source IN LISTS sources)
      if(NOT EXISTS "${built}" OR NOT EXISTS "${DIST}/index.html" OR "${source}" IS_NEWER_THAN "${built}")
        set(stale TRUE)
        break()
      endif()
    endforeach()
    if(stale)
      file(TOUCH "${built}.begun") # so that a change during the build is seen next time
      execute_process(COMMAND npm run --silent build WORKING_DIRECTORY "${WEB}" OUTPUT_QUIET COMMAND_ERROR_IS_FATAL ANY)
      file(RENAME "${built}.begun" "${built}")
    endif()
  endif()

  file(GLOB_RECURSE files RELATIVE "${DIST}" "${DIST}/*")
  list(FILTER files EXCLUDE REGEX "\\.map$")
  list(SORT files)
  if(NOT "index.html" IN_LIST files)
    message(FATAL_ERROR "${DIST} holds no index.html")
  endif()
  set(bytes "  .section .rodata\n")
  set(declared "")
  set(table "")
  set(number 0)
  foreach(file IN LISTS files)
    # A copy of our own: web/dist may be built anew while the assembler reads.
    configure_file("${DIST}/${file}" "${OUT}/asset-${number}" COPYONLY)
    string(APPEND bytes "  .global kerfwright_asset_${number}\n  .global kerfwright_asset_${number}_end\n"
      "kerfwright_asset_${number}:\n  .incbin \"${OUT}/asset-${number}\"\nkerfwright_asset_${number}_end:\n  .byte 0\n")
    string(APPEND declared "extern const char kerfwright_asset_${number}[], kerfwright_asset_${number}_end[];\n")
    string(APPEND table "    {\"${file}\", {kerfwright_asset_${number}, std::size_t(kerfwright_asset_${number}_end - "
      "kerfwright_asset_${number})}},\n")
    math(EXPR number "${number} + 1")
  endforeach()
  file(WRITE "${OUT}/page_assets.S" "${bytes}  .section .note.GNU-stack,\"\",@progbits\n")
  file(WRITE "${OUT}/page_assets.cpp" "// Written by cmake/Web.cmake; do not edit.\n#include \"page/assets.hpp\"\n\n"
    "extern \"C\" {\n${declared}}\n\nnamespace kerfwright::page {\n\nstd::span<const Asset> assets() {\n"
    "  static const Asset all[] = {\n${table}  };\n  return all;\n}\n\n} // namespace kerfwright::page\n")
  return()
endif()

enable_language(ASM) # for .incbin: quick to compile, however large the files

set(KERFWRIGHT_WEB_SCRIPT "${CMAKE_CURRENT_LIST_FILE}")
set(KERFWRIGHT_WEB_DIST "" CACHE PATH "a built front end to embed instead of building web/")

function(kerfwright_embed_page target)
  set(web "${CMAKE_SOURCE_DIR}/web")
  if(KERFWRIGHT_WEB_DIST)
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS "${KERFWRIGHT_WEB_DIST}/*")
  else()
    find_program(NODE_PROGRAM node)
    find_program(NPM_PROGRAM npm)
    if(NOT NODE_PROGRAM OR NOT NPM_PROGRAM)
      message(FATAL_ERROR "The page's front end is built with Node 18 or later: install nodejs and npm "
        "(./dev setup does), name a built one with -DKERFWRIGHT_WEB_DIST=FOLDER, or leave the page out with "
        "-DKERFWRIGHT_PAGE=OFF.")
    endif()
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS "${web}/src/*" "${web}/public/*")
    list(FILTER sources EXCLUDE REGEX "\\.test\\.tsx?$")
    list(APPEND sources "${web}/index.html" "${web}/package-lock.json" "${web}/vite.config.ts" "${web}/tsconfig.json")
  endif()
  set(out "${CMAKE_CURRENT_BINARY_DIR}/page_assets")
  file(MAKE_DIRECTORY "${out}")
  add_custom_command(OUTPUT "${out}/page_assets.S" "${out}/page_assets.cpp"
    COMMAND "${CMAKE_COMMAND}" "-DWEB=${web}" "-DDIST=${KERFWRIGHT_WEB_DIST}" "-DOUT=${out}" -P "${KERFWRIGHT_WEB_SCRIPT}"
    DEPENDS ${sources} "${KERFWRIGHT_WEB_SCRIPT}"
    COMMENT "Building the page's front end" VERBATIM)
  target_sources(${target} PRIVATE "${out}/page_assets.S" "${out}/page_assets.cpp")
  set_source_files_properties("${out}/page_assets.S" PROPERTIES OBJECT_DEPENDS "${out}/page_assets.cpp")
endfunction()
