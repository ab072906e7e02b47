#pragma once
// What locate() finds, behind the public handle; and what every entry point of the library does alike.

#include <exception>
#include <new>
#include <optional>
#include <utility>

#include "base/loops.h"
#include "base/parallel.h"
#include "batten/convert.h"

namespace batten {

/// The located lines of one scan.
struct Located::Data {
  Loops loops;
  std::optional<Loops> unpinned;  ///< as they would be without pins about the scan, where there are some
  std::vector<Finding> findings;  ///< of the pixel stages
  double width_px = 0, height_px = 0, dpi = 0;
};

/// Tells the findings in words to a caller who listens.
inline void tell(const Job& job, const std::vector<Finding>& findings) {
  if (!job.log) return;
  for (const Finding& f : findings) job.log(level_of(f.what), f.text);
}

/// Checks the options and runs `work` with them, the number of threads in place of what stands for it. The one place
/// where an exception of a library below turns into an error.
template <class Value = Conversion, class Work>
Result<Value> guarded(const Options& options, const Job& job, Work&& work) {
  try {
    Options o = options;
    o.threads = job.threads.value_or(options.threads);
    if (auto e = check(o)) return *e;
    o.threads = thread_count(o.threads);
    return work(std::as_const(o));
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory,
                 "There is not enough memory for this: use a part of the scan, or scan at a lower resolution.", ""};
  } catch (const std::exception& e) {
    return Error{ErrorCode::internal,
                 std::string("An error inside batten (") + e.what() + "): please report it, with the scan.", ""};
  }
}

}  // namespace batten
