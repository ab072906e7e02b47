#include "exit_status.h"

namespace batten::cli {

ExitStatus status_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::ok:
      return all_done;
    case ErrorCode::bad_option:
      return bad_arguments;
    case ErrorCode::file_not_found:
    case ErrorCode::not_an_image:
    case ErrorCode::not_a_drawing:
    case ErrorCode::image_too_large:
    case ErrorCode::image_truncated:
    case ErrorCode::bad_pixels:
    case ErrorCode::bad_polyline:  // outlines of an SVG that lie nowhere
      return cannot_read;
    case ErrorCode::resolution_unknown:
      return resolution_unknown;
    case ErrorCode::names_mismatch:
      return names_mismatch;
    case ErrorCode::no_ink_found:
      return nothing_to_trace;
    case ErrorCode::cannot_write:
      return cannot_write;
    case ErrorCode::cancelled:
    case ErrorCode::out_of_memory:
    case ErrorCode::internal:
      return internal_failure;
  }
  return internal_failure;
}

}  // namespace batten::cli
