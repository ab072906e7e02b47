#pragma once
// The exit status of the command. The table is part of the command's contract: README.md repeats it.

#include "batten/error.h"

namespace batten::cli {

enum ExitStatus : int {
  all_done = 0,
  some_failed = 1,  ///< several scans: at least one failed, the others are done
  bad_arguments = 2,
  cannot_read = 3,       ///< missing, no picture, cut short, too large
  nothing_to_trace = 4,  ///< the sheet is blank, or all black
  cannot_write = 5,
  resolution_unknown = 6,  ///< mm asked for, but no dpi known
  names_mismatch = 7,      ///< more or fewer --names than glyphs on the sheet
  internal_failure = 70    ///< out of memory, or an error inside batten (EX_SOFTWARE of sysexits.h)
};

ExitStatus status_of(ErrorCode code);

}  // namespace batten::cli
