#pragma once
// Plans where the files of each scan go.

#include <string>
#include <vector>

#include "arguments.h"

namespace batten::cli {

/// A file (for a font: a folder) with the outlines of one scan.
struct Place {
  Format format = Format::svg;
  std::string path;
};

/// Paths for one scan; overlay, proof and report are empty where none is asked for.
struct Places {
  std::string scan;
  std::vector<Place> outlines;
  std::string overlay, proof, report;
};

/// One entry for each scan. Rules: a folder that exists, or a path without an ending, is a folder and is made when it
/// is first needed, but what ends in .ufo is a font; several scans or formats need folders; a file's ending and
/// --format agree; nothing is ever written over a scan or over another result; options of one format need that format.
Result<std::vector<Places>> plan(const Arguments& arguments);

/// Names the clash where a result would be written over what is read, or over or into another result, however their
/// paths are spelt. Empty paths are skipped. Error: bad_option.
std::optional<Error> check_clashes(const std::vector<std::string>& read, const std::vector<std::string>& written);

}  // namespace batten::cli
