#pragma once
// batten refit.

#include "arguments.h"
#include "batten/files.h"

namespace batten::cli {

/// Refits the paths of an SVG file, writes the new one and says what changed.
std::optional<Error> refit_paths(const RefitArguments& arguments, FileBatch* batch);

}  // namespace batten::cli
