#include "base/parallel.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <thread>
#include <vector>

namespace batten {
namespace {

TEST(Parallel, EveryPieceIsDoneOnceForAnyNumberOfThreads) {
  for (const std::size_t count : {0u, 1u, 2u, 7u, 1000u})
    for (const int threads : {-1, 0, 1, 2, 8}) {
      std::vector<std::atomic<int>> times(count);
      std::size_t last = 0;
      const std::thread::id caller = std::this_thread::get_id();
      share_out(
          count, threads, [&](std::size_t i) { ++times[i]; },
          [&](std::size_t done) {
            EXPECT_EQ(std::this_thread::get_id(), caller);
            EXPECT_GE(done, last);
            last = done;
          });
      for (const auto& n : times) EXPECT_EQ(n, 1);
      EXPECT_EQ(last, count);
    }
}

TEST(Parallel, AnExceptionReachesTheCallerAndEndsTheRest) {
  for (const int threads : {1, 4}) {
    std::atomic<int> started = 0;
    const auto work = [&](std::size_t i) {
      ++started;
      if (i == 3) throw std::runtime_error("three");
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    };
    EXPECT_THROW(share_out(10000, threads, work, [](std::size_t) {}), std::runtime_error);
    EXPECT_LT(started, 1000);
  }
}

TEST(Parallel, AnExceptionOfTheListenerLeavesNoThreadRunning) {
  std::atomic<int> running = 0;
  const auto work = [&](std::size_t) {
    ++running;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
    --running;
  };
  EXPECT_THROW(share_out(1000, 4, work, [](std::size_t) { throw std::runtime_error("heard enough"); }),
               std::runtime_error);
  EXPECT_EQ(running, 0);
}

}  // namespace
}  // namespace batten
