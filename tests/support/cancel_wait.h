#pragma once
// How long a job takes to end after it was asked to.

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <ctime>
#include <limits>
#include <thread>

#include "batten/convert.h"

namespace batten::support {

/// CPU time of the whole process: what a busy machine takes away does not count.
inline double cpu_seconds() {
  timespec t{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return double(t.tv_sec) + 1e-9 * double(t.tv_nsec);
}

/// The 100 ms that are promised hold for optimised builds; without optimisation, and under a sanitizer, the same work
/// takes up to twenty times as long, and what is tested is that a stop is heard at all.
#if defined(__OPTIMIZE__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
constexpr double longest_cancel_s = 0.1;
#else
constexpr double longest_cancel_s = 2;
#endif

/// CPU time from the request to the return, when asked `when_s` after the start; below 0: the job was over before.
template <class Work>
double wait_s(double when_s, Work&& work) {
  std::stop_source stop;
  Job job;
  job.stop = stop.get_token();
  const double start = cpu_seconds();
  std::atomic<double> asked{0};
  std::atomic<bool> over{false};
  std::thread other([&] {
    while (!over && cpu_seconds() - start < when_s) std::this_thread::sleep_for(std::chrono::milliseconds(1));
    asked = cpu_seconds();
    stop.request_stop();
  });
  const auto result = work(job);
  const double end = cpu_seconds();
  over = true;
  other.join();
  if (result.ok()) return -1;
  EXPECT_EQ(result.error().code, ErrorCode::cancelled);
  return end - asked;
}

/// The same, the least of three tries if the first is too long: a stretch without a look at the stop is there every
/// time, a neighbour that empties the caches is not.
template <class Work>
double steady_wait_s(double when_s, Work&& work) {
  double least = wait_s(when_s, work);
  for (int again = 0; again < 2 && least > longest_cancel_s; ++again) least = std::min(least, wait_s(when_s, work));
  return least;
}

/// The longest over `moments` spread evenly over the CPU time of the job.
template <class Work>
double longest_wait_s(int moments, Work&& work) {
  const double begin = cpu_seconds();
  EXPECT_TRUE(work(Job{}).ok());
  const double whole = cpu_seconds() - begin;
  double longest = 0;
  int cancelled = 0;
  for (int k = 0; k < moments; ++k) {
    const double wait = steady_wait_s(whole * (k + 0.5) / moments, work);
    cancelled += wait >= 0;
    longest = std::max(longest, wait);
  }
  EXPECT_GE(cancelled, moments / 2);
  return longest;
}

}  // namespace batten::support
