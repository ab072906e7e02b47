#include "base/parallel.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <numeric>
#include <system_error>
#include <thread>
#include <vector>

namespace batten {
namespace {

struct Shared {
  std::size_t count;
  const std::function<void(std::size_t)>& work;
  std::atomic<std::size_t> next{0}, done{0};
  std::mutex guard;
  std::exception_ptr failure;

  // Takes the next piece; false when there is none left.
  bool step() {
    const std::size_t i = next++;
    if (i >= count) return false;
    try {
      work(i);
    } catch (...) {
      const std::lock_guard lock(guard);
      if (!failure) failure = std::current_exception();
      next = count;
    }
    ++done;
    return true;
  }
};

}  // namespace

int thread_count(int asked) {
  // The standard library counts the cores that the process may use, or 0 where it cannot tell. More than 64 threads
  // find no work in a drawing.
  constexpr unsigned most = 64;
  return asked > 0 ? asked : int(std::clamp(std::thread::hardware_concurrency(), 1u, most));
}

void share_out(std::size_t count, int threads, const std::function<void(std::size_t)>& work,
               const std::function<void(std::size_t)>& after) {
  Shared shared{count, work};
  {
    std::vector<std::jthread> helpers;  // joined at the end of this block, whatever happens
    for (std::size_t i = 1; i < std::min<std::size_t>(count, static_cast<std::size_t>(std::max(threads, 1))); ++i) {
      try {
        helpers.emplace_back([&shared] {
          while (shared.step()) {
          }
        });
      } catch (const std::system_error&) {
        break;  // no more threads to be had: those that run do the work
      }
    }
    try {
      while (shared.step()) after(shared.done);
    } catch (...) {
      shared.next = count;
      throw;
    }
  }
  if (shared.failure) std::rethrow_exception(shared.failure);
  after(count);
}

void share_out_by_size(const std::vector<double>& sizes, int threads, const std::function<void(std::size_t)>& work,
                       const std::function<void(std::size_t)>& after) {
  std::vector<std::size_t> order(sizes.size());
  std::iota(order.begin(), order.end(), std::size_t(0));
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return sizes[a] > sizes[b]; });
  share_out(
      order.size(), threads, [&](std::size_t k) { work(order[k]); }, after);
}

}  // namespace batten
