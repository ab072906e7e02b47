# clang-format leaves every C and C++ source that git lists as it is. Called by ctest with SOURCE.
# Other versions lay out some lines in other ways, so that only Debian 12's version can tell.
set(version 14)
find_program(clang_format NAMES clang-format-${version} clang-format)
if(clang_format)
  execute_process(COMMAND ${clang_format} --version OUTPUT_VARIABLE found COMMAND_ERROR_IS_FATAL ANY)
endif()
if(NOT found MATCHES "version ${version}[.]")
  message("Skipped: clang-format ${version} is not installed.")
  return()
endif()
execute_process(COMMAND git ls-files *.h *.cpp *.c *.inc WORKING_DIRECTORY ${SOURCE} OUTPUT_VARIABLE listed
  COMMAND_ERROR_IS_FATAL ANY)
string(REPLACE "\n" ";" files "${listed}")
list(REMOVE_ITEM files "")
execute_process(COMMAND ${clang_format} --dry-run --Werror ${files} WORKING_DIRECTORY ${SOURCE} RESULT_VARIABLE status)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "clang-format -i changes these files; run it on them.")
endif()
