# kerfwright_embed(TARGET NAMESPACE ns HEADER path.hpp FILES a.toml b.toml)
# Compiles texts into TARGET: each becomes `const std::string_view NAME`, NAME being the file's name without ending.
# Texts are written as arrays of bytes, so that no text can end its own literal and none is too long for one.
# This file is also the script that writes the .cpp when a text has changed.

if(CMAKE_SCRIPT_MODE_FILE)
  set(body "// Written by cmake/Embed.cmake; do not edit.\n#include \"${HEADER}\"\n\nnamespace ${NAMESPACE} {\n")
  foreach(file IN LISTS FILES)
    get_filename_component(name "${file}" NAME_WE)
    file(READ "${file}" bytes HEX)
    string(LENGTH "${bytes}" length)
    math(EXPR length "${length} / 2")
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${bytes}")
    string(APPEND body "static const char ${name}_bytes[] = {${bytes}};\n"
      "constinit const std::string_view ${name}(${name}_bytes, ${length});\n")
  endforeach()
  file(WRITE "${OUT}" "${body}} // namespace ${NAMESPACE}\n")
  return()
endif()

set(KERFWRIGHT_EMBED_SCRIPT "${CMAKE_CURRENT_LIST_FILE}")

function(kerfwright_embed target)
  cmake_parse_arguments(PARSE_ARGV 1 ARG "" "NAMESPACE;HEADER" "FILES")
  set(out "${CMAKE_CURRENT_BINARY_DIR}/${target}_embedded.cpp")
  add_custom_command(OUTPUT "${out}"
    COMMAND "${CMAKE_COMMAND}" "-DOUT=${out}" "-DNAMESPACE=${ARG_NAMESPACE}" "-DHEADER=${ARG_HEADER}"
            "-DFILES=${ARG_FILES}" -P "${KERFWRIGHT_EMBED_SCRIPT}"
    DEPENDS ${ARG_FILES} "${KERFWRIGHT_EMBED_SCRIPT}"
    COMMENT "Embedding texts into ${target}" VERBATIM)
  target_sources(${target} PRIVATE "${out}")
endfunction()
