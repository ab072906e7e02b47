#pragma once
// Shares independent pieces of work out to threads.

#include <cstddef>
#include <functional>
#include <vector>

namespace batten {

/// How many threads work where as many as the machine has cores are asked for (0); otherwise as many as are asked for.
int thread_count(int asked);

/// Calls work(i) once for each i below `count`, on up to `threads` threads, the caller's among them, in no order that
/// may matter. `after` hears on the caller's thread, now and then, how many are done. The first exception of `work`
/// ends the rest and is thrown again here, when no thread is running any more.
void share_out(std::size_t count, int threads, const std::function<void(std::size_t)>& work,
               const std::function<void(std::size_t)>& after);

/// The same in falling order of `sizes`, one for each piece: a long one that begins last would leave the others idle.
void share_out_by_size(const std::vector<double>& sizes, int threads, const std::function<void(std::size_t)>& work,
                       const std::function<void(std::size_t)>& after);

}  // namespace batten
