#pragma once
// One scan from file to files.

#include "arguments.h"
#include "places.h"

namespace batten::cli {

/// Reads, traces and writes; prints the summary and the warnings unless quiet. The SVG is written last but one thing is
/// sure: a file that is there is whole.
std::optional<Error> trace(const Arguments& arguments, const Places& places);

}  // namespace batten::cli
