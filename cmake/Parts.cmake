# One library per folder of src/, and nothing linked that the table in src/CMakeLists.txt does not name.

add_library(kerfwright_options INTERFACE)
target_compile_options(kerfwright_options INTERFACE
  -Wall -Wextra -Wpedantic -Wshadow -Wnon-virtual-dtor
  -ffp-contract=off) # same bytes on every machine: no fused multiply-add
if(KERFWRIGHT_WERROR)
  target_compile_options(kerfwright_options INTERFACE -Werror)
endif()
if(KERFWRIGHT_SANITIZE)
  target_compile_options(kerfwright_options INTERFACE -fsanitize=${KERFWRIGHT_SANITIZE} -fno-omit-frame-pointer)
  target_link_options(kerfwright_options INTERFACE -fsanitize=${KERFWRIGHT_SANITIZE})
endif()
if(KERFWRIGHT_FUZZ)
  target_compile_options(kerfwright_options INTERFACE -fsanitize=fuzzer-no-link)
endif()

# kerfwright_part(NAME PARTS a b c LIBRARIES x y)
#   NAME       a folder of src/; every .cpp in it belongs to the library
#   PARTS      the folders it may include (transitively through their own PARTS)
#   LIBRARIES  third-party targets, private to the folder
function(kerfwright_part name)
  cmake_parse_arguments(PARSE_ARGV 1 ARG "" "" "PARTS;LIBRARIES")
  file(GLOB sources CONFIGURE_DEPENDS "${CMAKE_SOURCE_DIR}/src/${name}/*.cpp")
  if(NOT sources)
    add_library(${name} INTERFACE)
    target_link_libraries(${name} INTERFACE ${ARG_PARTS})
    target_include_directories(${name} INTERFACE "${CMAKE_SOURCE_DIR}/src")
    return()
  endif()
  add_library(${name} STATIC ${sources})
  add_library(kerfwright::${name} ALIAS ${name})
  set_target_properties(${name} PROPERTIES OUTPUT_NAME kerfwright_${name})
  target_include_directories(${name} PUBLIC "${CMAKE_SOURCE_DIR}/src")
  target_link_libraries(${name} PUBLIC ${ARG_PARTS} PRIVATE kerfwright_options ${ARG_LIBRARIES})
endfunction()
