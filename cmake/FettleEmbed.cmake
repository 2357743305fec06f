# fettle_embed(NAME FOLDER dir [ENDING .json] [DEPENDS stamp]): writes NAME.cpp into the build tree, which embeds the
# files of the folder and defines fettle::serve::NAME(). No folder, or none there: a source that embeds nothing.
function(fettle_embed name)
  cmake_parse_arguments(EMBED "" "FOLDER;ENDING" "DEPENDS" ${ARGN})
  set(source ${CMAKE_CURRENT_BINARY_DIR}/${name}.cpp)
  set(files)
  if(EMBED_FOLDER AND EXISTS "${EMBED_FOLDER}")
    # What a stamp stands for is made while building and cannot be listed now.
    if(NOT EMBED_DEPENDS)
      file(GLOB_RECURSE files CONFIGURE_DEPENDS "${EMBED_FOLDER}/*${EMBED_ENDING}")
    endif()
  endif()
  add_custom_command(OUTPUT ${source}
    COMMAND embed ${source} ${name} "${EMBED_ENDING}" "${EMBED_FOLDER}"
    DEPENDS embed ${files} ${EMBED_DEPENDS}
    COMMENT "Embedding ${name}" VERBATIM)
endfunction()
