# Installs into a folder of its own, builds the outside project against what was installed, and lets both programs
# check two cases: they must agree, and with the exit statuses that the cases are made for.
# Given: BUILD (the build folder), SOURCE (the project), FLAGS (compiler flags that the libraries need), CXX
set(prefix ${BUILD}/install-test/prefix)
set(outside ${BUILD}/install-test/outside)
file(REMOVE_RECURSE ${BUILD}/install-test)

function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE status OUTPUT_VARIABLE output ERROR_VARIABLE output)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "${ARGN}\n${output}\nexit status ${status}")
  endif()
endfunction()

run(${CMAKE_COMMAND} --install ${BUILD} --prefix ${prefix})
run(${CMAKE_COMMAND} -S ${SOURCE}/tests/install/outside -B ${outside} -DCMAKE_PREFIX_PATH=${prefix}
    -DCMAKE_CXX_COMPILER=${CXX} -DCMAKE_CXX_FLAGS=${FLAGS} -DCMAKE_BUILD_TYPE=Debug)
run(${CMAKE_COMMAND} --build ${outside})

# Installed headers must not need what the project keeps to itself.
file(GLOB_RECURSE headers RELATIVE ${prefix}/include/evenhead ${prefix}/include/evenhead/*.hpp)
if(NOT headers)
  message(FATAL_ERROR "No header was installed.")
endif()
set(all "")
foreach(header IN LISTS headers)
  file(STRINGS ${prefix}/include/evenhead/${header} foreign REGEX "#include <(boost|Eigen|toml|nlohmann|fmt|CLI|xlsxwriter)")
  if(foreign)
    message(FATAL_ERROR "${header} needs ${foreign}, which the package does not bring.")
  endif()
  string(APPEND all "#include \"${header}\"\n")
endforeach()
file(WRITE ${BUILD}/install-test/all_headers.cpp "${all}")
run(${CXX} -std=c++20 -fsyntax-only -I${prefix}/include/evenhead ${BUILD}/install-test/all_headers.cpp)

foreach(expected IN ITEMS corner-garden=0 contractor-layout=1)
  string(REPLACE "=" ";" expected ${expected})
  list(GET expected 0 name)
  list(GET expected 1 wanted)
  set(case ${SOURCE}/cases/${name}/case.toml)
  execute_process(COMMAND ${outside}/outside ${case} RESULT_VARIABLE status OUTPUT_VARIABLE output ERROR_VARIABLE errors)
  if(NOT status EQUAL wanted OR NOT output MATCHES "psi")
    message(FATAL_ERROR "The outside program on ${name}: exit status ${status}, not ${wanted}\n${output}${errors}")
  endif()
  message(STATUS "${name}: ${output}")
  execute_process(COMMAND ${prefix}/bin/evenhead check ${case} --quiet RESULT_VARIABLE status
                  OUTPUT_VARIABLE output ERROR_VARIABLE errors)
  if(NOT status EQUAL wanted)
    message(FATAL_ERROR "The installed program on ${name}: exit status ${status}, not ${wanted}\n${output}${errors}")
  endif()
endforeach()
