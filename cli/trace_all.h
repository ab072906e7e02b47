#pragma once
// batten trace: all scans that were named, on one pool of threads.

#include "arguments.h"
#include "batten/files.h"
#include "places.h"

namespace batten::cli {

/// Traces all scans, says what came of each in the order in which they were named, then what failed and the sum of
/// all, and writes the table. Returns how the command ends. Nothing but what is printed depends on the number of
/// threads.
ExitStatus trace_all(const Arguments& arguments, std::vector<Places> plans, FileBatch* batch);

}  // namespace batten::cli
