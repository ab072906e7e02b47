# Builds at_once with one sanitizer and runs it. Called by ctest with SANITIZE, BATTEN_SOURCE, WORK, GENERATOR,
# COMPILER, C_COMPILER and LAUNCHER, or with SANITIZE and PROGRAM, which is at_once as built already.
if(NOT PROGRAM)
  execute_process(COMMAND ${CMAKE_COMMAND} -S ${CMAKE_CURRENT_LIST_DIR} -B ${WORK} -G ${GENERATOR}
    -DBATTEN_SANITIZE=${SANITIZE} -DBATTEN_SOURCE=${BATTEN_SOURCE} -DCMAKE_BUILD_TYPE=None
    -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_C_COMPILER=${C_COMPILER} -DCMAKE_CXX_COMPILER_LAUNCHER=${LAUNCHER}
    COMMAND_ERROR_IS_FATAL ANY OUTPUT_QUIET)
  execute_process(COMMAND ${CMAKE_COMMAND} --build ${WORK} --parallel 2 COMMAND_ERROR_IS_FATAL ANY OUTPUT_QUIET)
  set(PROGRAM ${WORK}/at_once)
endif()
# OpenCV and its thread pool are not built with the sanitizer: what they do among themselves can't be seen or judged.
set(environment "TSAN_OPTIONS=ignore_noninstrumented_modules=1 halt_on_error=1" "ASAN_OPTIONS=detect_leaks=1")
set(program ${CMAKE_COMMAND} -E env ${environment} ${PROGRAM})
execute_process(COMMAND ${program} RESULT_VARIABLE status OUTPUT_VARIABLE text ERROR_VARIABLE errors)
if(errors MATCHES "unexpected memory mapping")  # kernels with more random bits than g++ 12's sanitizer knows
  execute_process(COMMAND setarch -R ${program} RESULT_VARIABLE status OUTPUT_VARIABLE text ERROR_VARIABLE errors)
endif()
if(NOT status EQUAL 0 OR NOT errors STREQUAL "")
  message(FATAL_ERROR "${SANITIZE} (${status}):\n${text}${errors}")
endif()
