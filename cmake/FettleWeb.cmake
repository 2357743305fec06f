# The page under web/ (TypeScript, Svelte, Vite). With npm at hand it is built with everything else; without, a folder
# built elsewhere is taken (FETTLE_WEB_DIST, else web/dist), and without that the program says how to build it.
find_program(FETTLE_NPM npm)
if(FETTLE_NPM AND EXISTS ${CMAKE_SOURCE_DIR}/web/package.json)
  set(fettle_web_default ON)
else()
  set(fettle_web_default OFF)
endif()
option(FETTLE_WEB "Build the page with npm" ${fettle_web_default})
set(FETTLE_WEB_DIST "" CACHE PATH "A page built already, to be embedded instead")

# fettle_web(FILES STAMP): FILES becomes the folder of the built page (or empty), STAMP a file that is as new as the page
# (empty where nothing is built).
function(fettle_web files_variable stamp_variable)
  set(web ${CMAKE_SOURCE_DIR}/web)
  set(files "")
  set(stamp "")
  if(FETTLE_WEB_DIST)
    set(files ${FETTLE_WEB_DIST})
  elseif(FETTLE_WEB)
    if(NOT FETTLE_NPM OR NOT EXISTS ${web}/package.json)
      message(FATAL_ERROR "FETTLE_WEB needs npm and the folder web/: install npm, or configure with -DFETTLE_WEB=OFF")
    endif()
    set(files ${CMAKE_BINARY_DIR}/web/page)
    set(stamp ${CMAKE_BINARY_DIR}/web/page.stamp)
    set(packages ${CMAKE_BINARY_DIR}/web/packages.stamp)
    file(MAKE_DIRECTORY ${CMAKE_BINARY_DIR}/web)
    add_custom_command(OUTPUT ${packages}
      COMMAND ${FETTLE_NPM} ci --no-audit --no-fund
      COMMAND ${CMAKE_COMMAND} -E touch ${packages}
      DEPENDS ${web}/package.json ${web}/package-lock.json
      WORKING_DIRECTORY ${web} COMMENT "Fetching the packages of the page" VERBATIM)
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${web}/src/* ${web}/public/*)
    add_custom_command(OUTPUT ${stamp}
      COMMAND ${FETTLE_NPM} exec -- vite build --outDir ${files} --emptyOutDir --logLevel warn
      COMMAND ${CMAKE_COMMAND} -E touch ${stamp}
      DEPENDS ${packages} ${sources} ${web}/index.html ${web}/vite.config.ts ${web}/svelte.config.js ${web}/tsconfig.json
      WORKING_DIRECTORY ${web} COMMENT "Building the page" VERBATIM)
    add_custom_target(web DEPENDS ${stamp})
  elseif(EXISTS ${web}/dist/index.html)
    set(files ${web}/dist)
  endif()
  set(${files_variable} ${files} PARENT_SCOPE)
  set(${stamp_variable} ${stamp} PARENT_SCOPE)
endfunction()
