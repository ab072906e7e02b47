#pragma once
// batten trace: makes the files of one scan.

#include "arguments.h"
#include "batten/files.h"
#include "places.h"

namespace batten::cli {

/// Reads, traces and writes; prints the summary and the warnings unless quiet. All files of the scan appear together
/// or none does.
std::optional<Error> trace(const Arguments& arguments, const Places& places, FileBatch* batch);

}  // namespace batten::cli
