#pragma once
// batten trace: makes the files of one scan.

#include "arguments.h"
#include "places.h"

namespace batten::cli {

/// Reads, traces and writes; prints the summary and the warnings unless quiet. The outlines are written last; a file
/// that is there is whole.
std::optional<Error> trace(const Arguments& arguments, const Places& places);

}  // namespace batten::cli
