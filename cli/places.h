#pragma once
// Where the files of each scan go.

#include <string>
#include <vector>

#include "arguments.h"

namespace batten::cli {

/// Paths for one scan; overlay, proof and report are empty where none is asked for.
struct Places {
  std::string scan, svg, overlay, proof, report;
};

/// One entry for each scan. Rules: a folder that exists, or a path without the format's ending, is a folder and is made
/// when it is first needed; several scans need folders; nothing is ever written over a scan or over another result.
Result<std::vector<Places>> plan(const Arguments& arguments);

/// Makes the folder a file is going to lie in. Error: cannot_write.
std::optional<Error> make_folder_of(const std::string& path);

}  // namespace batten::cli
