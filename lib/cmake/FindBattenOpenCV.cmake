# Finds two libraries of OpenCV 4, core and imgproc, as BattenOpenCV::core and BattenOpenCV::imgproc.
# OpenCV's own CMake files would do the same, but Debian's insist that all of OpenCV's 55 modules are installed
# (libopencv-dev), which takes 250 packages more and twice the download.
find_path(BattenOpenCV_INCLUDE_DIR opencv2/imgproc.hpp PATH_SUFFIXES opencv4)
find_library(BattenOpenCV_core_LIBRARY opencv_core)
find_library(BattenOpenCV_imgproc_LIBRARY opencv_imgproc)
mark_as_advanced(BattenOpenCV_INCLUDE_DIR BattenOpenCV_core_LIBRARY BattenOpenCV_imgproc_LIBRARY)

if(EXISTS "${BattenOpenCV_INCLUDE_DIR}/opencv2/core/version.hpp")
  set(BattenOpenCV_VERSION)
  foreach(part MAJOR MINOR REVISION)
    file(STRINGS "${BattenOpenCV_INCLUDE_DIR}/opencv2/core/version.hpp" line REGEX "#define CV_VERSION_${part} ")
    string(REGEX MATCH "[0-9]+" number "${line}")
    list(APPEND BattenOpenCV_VERSION ${number})
  endforeach()
  list(JOIN BattenOpenCV_VERSION . BattenOpenCV_VERSION)
endif()

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(BattenOpenCV
  REQUIRED_VARS BattenOpenCV_core_LIBRARY BattenOpenCV_imgproc_LIBRARY BattenOpenCV_INCLUDE_DIR
  VERSION_VAR BattenOpenCV_VERSION
  REASON_FAILURE_MESSAGE "On Debian, install libopencv-core-dev and libopencv-imgproc-dev")

if(BattenOpenCV_FOUND AND NOT TARGET BattenOpenCV::core)
  foreach(module core imgproc)
    add_library(BattenOpenCV::${module} UNKNOWN IMPORTED)
    set_target_properties(BattenOpenCV::${module} PROPERTIES
      IMPORTED_LOCATION "${BattenOpenCV_${module}_LIBRARY}"
      INTERFACE_INCLUDE_DIRECTORIES "${BattenOpenCV_INCLUDE_DIR}")
  endforeach()
  set_target_properties(BattenOpenCV::imgproc PROPERTIES INTERFACE_LINK_LIBRARIES BattenOpenCV::core)
endif()
