# What an installed tree holds: libraries, headers, battenConfig.cmake and batten.pc. The components are the packages of
# packages.cmake.
include(CMakePackageConfigHelpers)

set(config_dir ${CMAKE_INSTALL_LIBDIR}/cmake/batten)
set(pc_dir ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
# A tree can be moved: everything is found from where the .pc file lies.
file(RELATIVE_PATH BATTEN_PC_UP /prefix/${pc_dir} /prefix)

function(batten_install_library name component)
  install(TARGETS ${name} EXPORT ${name}Targets
    LIBRARY COMPONENT ${component} NAMELINK_COMPONENT libbatten-dev
    ARCHIVE COMPONENT libbatten-dev
    FILE_SET HEADERS COMPONENT libbatten-dev)
  install(EXPORT ${name}Targets NAMESPACE batten:: DESTINATION ${config_dir} COMPONENT libbatten-dev)
  configure_file(cmake/${name}.pc.in ${name}.pc @ONLY)
  install(FILES ${CMAKE_CURRENT_BINARY_DIR}/${name}.pc DESTINATION ${pc_dir} COMPONENT libbatten-dev)
endfunction()

get_target_property(type batten TYPE)
if(type STREQUAL "SHARED_LIBRARY")
  set(BATTEN_PC_DEFINE " -DBATTEN_SHARED")
endif()
batten_install_library(batten libbatten)
if(BATTEN_BUILD_FILES)
  list(JOIN BATTEN_CODEC_MODULES " " BATTEN_CODEC_MODULES)
  # The tool and this library find the other one beside themselves, wherever the tree lies.
  set_target_properties(batten_files PROPERTIES INSTALL_RPATH "$ORIGIN")
  batten_install_library(batten_files libbatten-files)
endif()

configure_package_config_file(cmake/battenConfig.cmake.in battenConfig.cmake INSTALL_DESTINATION ${config_dir})
write_basic_package_version_file(battenConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES
  ${CMAKE_CURRENT_BINARY_DIR}/battenConfig.cmake ${CMAKE_CURRENT_BINARY_DIR}/battenConfigVersion.cmake
  cmake/FindBattenOpenCV.cmake
  DESTINATION ${config_dir} COMPONENT libbatten-dev)
