# The order of the layers; a layer may use only layers that stand before it.
set(FETTLE_LAYER_ORDER
  quantity metrology mechanism gasflow build stations pull study ledger counsel record serve cli)

# fettle_layer(NAME SOURCES a.cpp b.cpp USES quantity metrology LIBRARIES Eigen3::Eigen PRECOMPILE <Eigen/Dense>)
# makes the static library fettle_NAME from src/NAME. USES names layers, LIBRARIES outside ones; PRECOMPILE names large
# headers of libraries that most of its sources include anyway.
function(fettle_layer name)
  cmake_parse_arguments(LAYER "" "" "SOURCES;USES;LIBRARIES;PRECOMPILE" ${ARGN})
  list(FIND FETTLE_LAYER_ORDER ${name} own_place)
  if(own_place EQUAL -1)
    message(FATAL_ERROR "layer '${name}' has no place in FETTLE_LAYER_ORDER")
  endif()
  add_library(fettle_${name} STATIC ${LAYER_SOURCES})
  target_include_directories(fettle_${name} PUBLIC ${CMAKE_SOURCE_DIR}/src)
  target_link_libraries(fettle_${name} PRIVATE fettle_flags PUBLIC ${LAYER_LIBRARIES})
  target_precompile_headers(fettle_${name} PRIVATE ${LAYER_PRECOMPILE})
  foreach(used IN LISTS LAYER_USES)
    list(FIND FETTLE_LAYER_ORDER ${used} used_place)
    if(used_place EQUAL -1 OR NOT used_place LESS own_place)
      message(FATAL_ERROR "layer '${name}' may not use '${used}': it may use only the layers above it")
    endif()
    target_link_libraries(fettle_${name} PUBLIC fettle_${used})
  endforeach()
  fettle_check_includes(${name} "${LAYER_USES}")
endfunction()

# All layers share one include root, so that the linker alone would not notice a header-only
# trespass: a source that includes another layer's header must name that layer in USES.
function(fettle_check_includes name uses)
  file(GLOB_RECURSE files CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/*.h ${CMAKE_CURRENT_SOURCE_DIR}/*.cpp)
  foreach(file IN LISTS files)
    file(STRINGS ${file} lines REGEX "^#include \"[a-z]+/")
    foreach(line IN LISTS lines)
      string(REGEX REPLACE "^#include \"([a-z]+)/.*" "\\1" included "${line}")
      if(NOT included STREQUAL name AND NOT included IN_LIST uses)
        message(FATAL_ERROR "${file} includes a header of layer '${included}', which '${name}' does not use")
      endif()
    endforeach()
  endforeach()
endfunction()

# One precompiled header for all test programs: reading it takes a tenth of the time of reading what it holds.
function(fettle_test_headers)
  file(WRITE ${CMAKE_BINARY_DIR}/test_headers.cpp.in "")
  configure_file(${CMAKE_BINARY_DIR}/test_headers.cpp.in ${CMAKE_BINARY_DIR}/test_headers.cpp COPYONLY)
  add_library(fettle_test_headers OBJECT ${CMAKE_BINARY_DIR}/test_headers.cpp)
  target_link_libraries(fettle_test_headers PRIVATE fettle_flags GTest::gtest_main GTest::gmock rapidcheck
    nlohmann_json::nlohmann_json fmt::fmt Eigen3::Eigen)
  target_precompile_headers(fettle_test_headers PRIVATE
    <gmock/gmock.h> <gtest/gtest.h> <rapidcheck.h> <nlohmann/json.hpp> <fmt/format.h> <map> <functional> <optional> <random>)
endfunction()

# fettle_test(NAME SOURCES a_test.cpp USES metrology LIBRARIES rapidcheck): one test program,
# its cases discovered by ctest.
function(fettle_test name)
  cmake_parse_arguments(TEST "" "" "SOURCES;USES;LIBRARIES" ${ARGN})
  add_executable(${name} ${TEST_SOURCES})
  target_include_directories(${name} PRIVATE ${CMAKE_SOURCE_DIR}/tests)
  foreach(used IN LISTS TEST_USES)
    target_link_libraries(${name} PRIVATE fettle_${used})
  endforeach()
  target_link_libraries(${name} PRIVATE fettle_flags GTest::gtest_main GTest::gmock rapidcheck nlohmann_json::nlohmann_json fmt::fmt
    Eigen3::Eigen ${TEST_LIBRARIES})
  target_precompile_headers(${name} REUSE_FROM fettle_test_headers)
  gtest_discover_tests(${name} DISCOVERY_TIMEOUT 60)
endfunction()

# fettle_fuzz(NAME SOURCE x.cpp USES build CORPUS dir): a libFuzzer program, and a ctest that runs
# it over its corpus for a short bounded time.
function(fettle_fuzz name)
  cmake_parse_arguments(FUZZ "" "SOURCE;CORPUS;SECONDS" "USES" ${ARGN})
  if(NOT FETTLE_FUZZ)
    return()
  endif()
  if(NOT FUZZ_SECONDS)
    set(FUZZ_SECONDS 20)
  endif()
  add_executable(${name} ${FUZZ_SOURCE})
  foreach(used IN LISTS FUZZ_USES)
    target_link_libraries(${name} PRIVATE fettle_${used})
  endforeach()
  target_link_libraries(${name} PRIVATE fettle_flags)
  target_link_options(${name} PRIVATE -fsanitize=fuzzer)
  # New finds go to the build tree; the corpus of the repository is only read.
  file(MAKE_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/${name}_found)
  add_test(NAME ${name} COMMAND ${name} -max_total_time=${FUZZ_SECONDS} -max_len=65536 -timeout=10 -rss_limit_mb=2048
    -print_final_stats=1 ${CMAKE_CURRENT_BINARY_DIR}/${name}_found ${FUZZ_CORPUS})
endfunction()
