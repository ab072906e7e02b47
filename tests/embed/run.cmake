# Configures, builds and runs the embedder's project in WORK. Called by ctest with BATTEN_SOURCE, WORK, GENERATOR,
# COMPILER and LAUNCHER.
file(REMOVE_RECURSE ${WORK})
function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE status)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "Failed (${status}): ${ARGN}")
  endif()
endfunction()
run(${CMAKE_COMMAND} -S ${CMAKE_CURRENT_LIST_DIR} -B ${WORK} -G ${GENERATOR} -DBATTEN_SOURCE=${BATTEN_SOURCE}
  -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_CXX_COMPILER_LAUNCHER=${LAUNCHER})
run(${CMAKE_COMMAND} --build ${WORK} --parallel 2)
run(${WORK}/embedder)
