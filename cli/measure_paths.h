#pragma once
// batten measure: judges outlines that are there already.

#include "arguments.h"
#include "batten/files.h"

namespace batten::cli {

/// Reads the SVG and what it belongs to, prints the figures and the findings, writes proof and report.
std::optional<Error> measure_paths(const MeasureArguments& arguments, FileBatch* batch);

}  // namespace batten::cli
