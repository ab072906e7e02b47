# The name and the visible symbols of a shared library.
# Before 1.0.0 every minor version may break the ABI (semver.org, item 4), from then on every major one.
if(PROJECT_VERSION_MAJOR EQUAL 0)
  set(BATTEN_SOVERSION 0.${PROJECT_VERSION_MINOR})
else()
  set(BATTEN_SOVERSION ${PROJECT_VERSION_MAJOR})
endif()
set(BATTEN_SOVERSION ${BATTEN_SOVERSION} PARENT_SCOPE)  # packages carry it in their names
configure_file(cmake/exports.map.in exports.map @ONLY)

function(batten_shared_name name)
  set_target_properties(${name} PROPERTIES VERSION ${PROJECT_VERSION} SOVERSION ${BATTEN_SOVERSION})
  get_target_property(type ${name} TYPE)
  if(type STREQUAL "SHARED_LIBRARY")
    target_link_options(${name} PRIVATE -Wl,--version-script=${CMAKE_CURRENT_BINARY_DIR}/exports.map)
    set_target_properties(${name} PROPERTIES LINK_DEPENDS ${CMAKE_CURRENT_BINARY_DIR}/exports.map)
  endif()
endfunction()
