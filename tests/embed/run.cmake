# Configures, builds and runs the embedder's project in WORK. Called by ctest with BATTEN_SOURCE, WORK, GENERATOR,
# COMPILER and LAUNCHER.
file(REMOVE_RECURSE ${WORK})
foreach(step IN ITEMS
    "${CMAKE_COMMAND};-S;${CMAKE_CURRENT_LIST_DIR};-B;${WORK};-G;${GENERATOR};-DCMAKE_BUILD_TYPE=Release;-DBATTEN_SOURCE=${BATTEN_SOURCE};-DCMAKE_CXX_COMPILER=${COMPILER};-DCMAKE_CXX_COMPILER_LAUNCHER=${LAUNCHER}"
    "${CMAKE_COMMAND};--build;${WORK};--parallel;2"
    "${WORK}/embedder")
  execute_process(COMMAND ${step} RESULT_VARIABLE status)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "Failed (${status}): ${step}")
  endif()
endforeach()
