#pragma once
// batten sweep: traces one scan at several tolerances.

#include "arguments.h"
#include "batten/files.h"

namespace batten::cli {

/// Reads, traces at each tolerance and writes what was asked for; the table goes to standard output without --out.
std::optional<Error> sweep_scan(const SweepArguments& arguments, FileBatch* batch);

}  // namespace batten::cli
