#pragma once
// The options of batten trace that are about many scans.

#include "arguments.h"

namespace batten::cli {

void declare_batch(CLI::App& trace, BatchArguments& batch);

/// All options that were typed and can change a result, as text: not the scans, the places of results, or how many
/// scans are traced at once.
std::string what_decides(const CLI::App& trace);

}  // namespace batten::cli
