set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_EXPORT_COMPILE_COMMANDS ON)
set(CMAKE_COLOR_DIAGNOSTICS ON)

find_program(FETTLE_CCACHE ccache)
if(FETTLE_CCACHE)
  # With precompiled headers ccache asks for these (its manual, "Precompiled headers").
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CMAKE_COMMAND} -E env CCACHE_SLOPPINESS=pch_defines,time_macros ${FETTLE_CCACHE})
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    add_compile_options(-fpch-preprocess)
  endif()
endif()

# Every target of the project takes its flags from here.
add_library(fettle_flags INTERFACE)
target_compile_options(fettle_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wnon-virtual-dtor -Wold-style-cast
  -Wimplicit-fallthrough -Werror)

if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
  # GCC 12 warns of overlapping and endless copies inside std::string's own functions (GCC bug 105651), the more so where
  # they come from a precompiled header.
  target_compile_options(fettle_flags INTERFACE -Wno-restrict -Wno-stringop-overflow -Wno-array-bounds)
endif()

if(FETTLE_SANITIZE)
  add_compile_options(-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
  add_link_options(-fsanitize=address,undefined)
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    # The sanitizers' own code makes GCC see uses of what is not set where there are none.
    target_compile_options(fettle_flags INTERFACE -Wno-maybe-uninitialized)
  endif()
endif()
if(FETTLE_FUZZ)
  add_compile_options(-fsanitize=fuzzer-no-link)
endif()
