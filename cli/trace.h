#pragma once
// Makes the files of one scan.

#include <functional>
#include <mutex>

#include "arguments.h"
#include "batten/files.h"
#include "places.h"
#include "prepare.h"

namespace batten::cli {

/// What tracing one scan gave.
struct Traced {
  Conversion conversion;
  std::string line;             ///< the summary
  std::vector<Output> written;  ///< without their bytes
};

/// What a scan shares with others that are traced at the same time.
struct Company {
  FileBatch* batch = nullptr;
  std::mutex* writing = nullptr;  ///< held while files are written; null: nobody else writes
  /// Called with what tracing the scan needs, bytes, once its size is known; may wait. Null: nobody to wait for.
  std::function<void(double)> claim;
  std::string job;  ///< what the report says of scan and options; empty: nothing
};

/// Reads, traces and writes. All files of the scan appear together or none does.
Result<Traced> trace(const Arguments& arguments, const Places& places, const Company& company);

/// Prints the summary and the warnings, unless quiet.
void tell(const Arguments& arguments, const Places& places, const Traced& traced);

}  // namespace batten::cli
