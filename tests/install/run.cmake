# Installs batten, moves the tree, and uses it as a stranger would: find_package, pkg-config, and the command. Called by
# ctest with KIND (static, shared), BUILD (a build folder), SOURCE, WORK, GENERATOR, C_COMPILER, COMPILER, LAUNCHER and
# PYTHON. The shared kind configures and builds BUILD first; the static kind takes the build as it is.
function(run)
  execute_process(COMMAND ${ARGN} WORKING_DIRECTORY ${WORK}
    RESULT_VARIABLE status OUTPUT_VARIABLE text ERROR_VARIABLE errors)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "Failed (${status}): ${ARGN}\n${text}${errors}")
  endif()
  set(text "${text}" PARENT_SCOPE)
  set(errors "${errors}" PARENT_SCOPE)
endfunction()
function(expect pattern)
  if(NOT text MATCHES "${pattern}")
    message(FATAL_ERROR "Expected ${pattern} in:\n${text}")
  endif()
endfunction()

file(REMOVE_RECURSE ${WORK})
file(MAKE_DIRECTORY ${WORK})
set(compilers -G ${GENERATOR} -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_COMPILER=${COMPILER}
  -DCMAKE_C_COMPILER=${C_COMPILER} -DCMAKE_CXX_COMPILER_LAUNCHER=${LAUNCHER})
if(KIND STREQUAL "shared")
  # As for packages: cpack takes this build on.
  run(${CMAKE_COMMAND} -S ${SOURCE} -B ${BUILD} ${compilers} -DBUILD_SHARED_LIBS=ON -DCMAKE_INSTALL_PREFIX=/usr
    -DBATTEN_BUILD_PYTHON=ON -DBATTEN_BUILD_TESTS=OFF -DBATTEN_BUILD_BENCH=OFF)
  run(${CMAKE_COMMAND} --build ${BUILD} --parallel 2)
endif()
run(${CMAKE_COMMAND} --install ${BUILD} --prefix ${WORK}/installed)
file(RENAME ${WORK}/installed ${WORK}/moved)
file(GLOB_RECURSE pc ${WORK}/moved/*/batten.pc)
get_filename_component(pc_dir ${pc} DIRECTORY)
get_filename_component(lib_dir ${pc_dir} DIRECTORY)

# find_package
run(${CMAKE_COMMAND} -S ${SOURCE}/tests/consumer -B ${WORK}/consumer ${compilers} -DCMAKE_PREFIX_PATH=${WORK}/moved)
run(${CMAKE_COMMAND} --build ${WORK}/consumer)
run(${WORK}/consumer/trace_pixels)
expect("outline 0: 4 nodes, at most 0[.].*</svg>")
run(${WORK}/consumer/trace_file ${SOURCE}/data/quombe-sheet.png)
expect("[0-9]+ segments, at most [0-9.]+ px off")

# pkg-config
set(static)
if(KIND STREQUAL "static")
  set(static --static)
endif()
run(${CMAKE_COMMAND} -E env PKG_CONFIG_PATH=${pc_dir} pkg-config ${static} --cflags --libs batten)
separate_arguments(flags UNIX_COMMAND "${text}")
run(${C_COMPILER} -std=c11 -Wall -Wextra -pedantic -Werror ${SOURCE}/tests/consumer/trace.c
  -o ${WORK}/by_pkg_config ${flags} -lm)
run(${CMAKE_COMMAND} -E env LD_LIBRARY_PATH=${lib_dir} ${WORK}/by_pkg_config)
expect("outline 0: 4 nodes, at most 0[.].*</svg>")
run(${CMAKE_COMMAND} -E env PKG_CONFIG_PATH=${pc_dir} pkg-config ${static} --cflags --libs batten_files)
separate_arguments(flags UNIX_COMMAND "${text}")
run(${COMPILER} -std=c++20 ${SOURCE}/tests/consumer/main.cpp -o ${WORK}/files_by_pkg_config ${flags})
run(${CMAKE_COMMAND} -E env LD_LIBRARY_PATH=${lib_dir} ${WORK}/files_by_pkg_config ${SOURCE}/data/quombe-sheet.png)
expect("[0-9]+ segments, at most [0-9.]+ px off")

# The command, from the moved tree.
run(${WORK}/moved/bin/batten trace ${SOURCE}/data/quombe-sheet.png --tolerance auto --out ${WORK}/demo.svg --quiet)
file(READ ${WORK}/demo.svg text)
expect("<path.*</svg>")

if(KIND STREQUAL "shared")
  # The name that programs are linked to changes when the interface may.
  file(STRINGS ${SOURCE}/CMakeLists.txt version REGEX "^project\\(batten VERSION")
  string(REGEX REPLACE ".*VERSION ([0-9]+)\\.([0-9]+)\\..*" "\\1;\\2" version "${version}")
  list(GET version 0 soversion)
  if(soversion EQUAL 0)
    list(JOIN version . soversion)
  endif()
  foreach(name batten batten_files)
    run(objdump -p ${lib_dir}/lib${name}.so)
    expect("SONAME +lib${name}[.]so[.]${soversion}\n")
    set(own_names "(batten::|batten_|BATTEN_|(typeinfo|typeinfo name|vtable|guard variable) for batten::)")
    # Nothing but the public interface is visible: no symbol of a library that an embedder may have another version of.
    run(nm --dynamic --defined-only --demangle ${lib_dir}/lib${name}.so)
    string(REPLACE ";" "," text "${text}")
    string(REPLACE "\n" ";" symbols "${text}")
    foreach(symbol IN LISTS symbols)
      if(NOT symbol MATCHES "^[0-9a-f]+ [A-Za-z] ${own_names}")
        list(APPEND strangers "${symbol}")
      endif()
    endforeach()
    if(strangers)
      list(JOIN strangers "\n" strangers)
      message(FATAL_ERROR "lib${name}.so shows more than its interface:\n${strangers}")
    endif()
  endforeach()
  run(${PYTHON} ${SOURCE}/tests/install/through_ctypes.py ${lib_dir}/libbatten.so)
  expect("^two outlines of four nodes")
endif()
