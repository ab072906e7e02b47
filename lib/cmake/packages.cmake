# Debian packages of a shared build: cpack -G DEB. Configure with -DBUILD_SHARED_LIBS=ON -DCMAKE_INSTALL_PREFIX=/usr.
#   libbatten0.2        the library                  batten        the command
#   libbatten-files0.2  its image files, pictures    libbatten-dev headers, CMake and pkg-config files
#   python3-batten      the Python package, with -DBATTEN_BUILD_PYTHON=ON
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME batten)
set(CPACK_PACKAGE_CONTACT "The batten developers")  # dpkg asks for a maintainer, but not for an address
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION graphics)
set(CPACK_COMPONENTS_ALL libbatten libbatten-dev)
if(BATTEN_BUILD_FILES)
  list(APPEND CPACK_COMPONENTS_ALL libbatten-files)
endif()
if(BATTEN_BUILD_CLI)
  list(APPEND CPACK_COMPONENTS_ALL batten)
endif()
if(BATTEN_BUILD_PYTHON)
  list(APPEND CPACK_COMPONENTS_ALL python3-batten)
endif()

# Which of Debian's libraries a package needs is read off its binaries; how our packages need each other is said here.
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS_PRIVATE_DIRS ${PROJECT_BINARY_DIR}/lib)
set(CPACK_DEBIAN_ENABLE_COMPONENT_DEPENDS ON)
set(CPACK_COMPONENT_LIBBATTEN-FILES_DEPENDS libbatten)
set(CPACK_COMPONENT_LIBBATTEN-DEV_DEPENDS libbatten)
set(CPACK_COMPONENT_BATTEN_DEPENDS libbatten libbatten-files)
if(BATTEN_BUILD_FILES)
  list(APPEND CPACK_COMPONENT_LIBBATTEN-DEV_DEPENDS libbatten-files)
endif()

set(CPACK_DEBIAN_LIBBATTEN_PACKAGE_NAME libbatten${BATTEN_SOVERSION})
set(CPACK_DEBIAN_LIBBATTEN_PACKAGE_SECTION libs)
set(CPACK_COMPONENT_LIBBATTEN_DESCRIPTION
  "The shared library, with its C++ and C interfaces: pixels or polylines in, outlines out.")
set(CPACK_DEBIAN_LIBBATTEN-FILES_PACKAGE_NAME libbatten-files${BATTEN_SOVERSION})
set(CPACK_DEBIAN_LIBBATTEN-FILES_PACKAGE_SECTION libs)
set(CPACK_DEBIAN_LIBBATTEN-FILES_PACKAGE_DEPENDS fonts-dejavu-core)  # letters beside the nodes of an overlay
set(CPACK_COMPONENT_LIBBATTEN-FILES_DESCRIPTION "The shared library that reads image files and paints pictures.")
set(CPACK_DEBIAN_LIBBATTEN-DEV_PACKAGE_NAME libbatten-dev)
set(CPACK_DEBIAN_LIBBATTEN-DEV_PACKAGE_SECTION libdevel)
set(CPACK_COMPONENT_LIBBATTEN-DEV_DESCRIPTION "Headers, and files for CMake's find_package and for pkg-config.")
set(CPACK_DEBIAN_BATTEN_PACKAGE_NAME batten)
set(CPACK_COMPONENT_BATTEN_DESCRIPTION "The command line tool.")
if(BATTEN_BUILD_PYTHON)
  set(CPACK_DEBIAN_PYTHON3-BATTEN_PACKAGE_NAME python3-batten)
  set(CPACK_DEBIAN_PYTHON3-BATTEN_PACKAGE_SECTION python)
  set(CPACK_COMPONENT_PYTHON3-BATTEN_DEPENDS libbatten libbatten-files)
  # An extension belongs to one minor version of Python.
  math(EXPR next_minor "${BATTEN_PYTHON_MINOR} + 1")
  set(CPACK_DEBIAN_PYTHON3-BATTEN_PACKAGE_DEPENDS
    "python3 (>= 3.${BATTEN_PYTHON_MINOR}~), python3 (<< 3.${next_minor}~), python3-numpy")
  set(CPACK_COMPONENT_PYTHON3-BATTEN_DESCRIPTION "The Python package: numpy arrays in, outlines out.")
endif()

foreach(component IN LISTS CPACK_COMPONENTS_ALL)
  string(TOUPPER ${component} upper)
  install(FILES LICENSE DESTINATION share/doc/${CPACK_DEBIAN_${upper}_PACKAGE_NAME} RENAME copyright
    COMPONENT ${component})
endforeach()
include(CPack)
