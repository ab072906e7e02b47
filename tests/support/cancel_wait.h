#pragma once
// How long a job takes to end after it was asked to.

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <ctime>
#include <iterator>
#include <thread>
#include <vector>

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

/// A moment of a job: after so many words of its progress, and then so much CPU time. The words are the same in every
/// run of the same work; CPU time is not, on a machine that runs slower at one time than at another.
struct Moment {
  int after_words = 0;
  double then_s = 0;
};

/// CPU time from the request to the return, when asked at the moment `when`; below 0: the job was over before.
template <class Work>
double wait_s(Moment when, Work&& work) {
  std::stop_source stop;
  Job job;
  job.stop = stop.get_token();
  int words = 0;
  std::atomic<double> reached{-1};  // when the last of the words was said
  if (when.after_words == 0) reached = cpu_seconds();
  job.progress = [&](Stage, double) {
    if (++words == when.after_words) reached = cpu_seconds();
  };
  std::atomic<double> asked{0};
  std::atomic<bool> over{false};
  std::thread other([&] {
    while (!over && (reached < 0 || cpu_seconds() - reached < when.then_s))
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
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
double steady_wait_s(Moment when, Work&& work) {
  double least = wait_s(when, work);
  for (int again = 0; again < 2 && least > longest_cancel_s; ++again) least = std::min(least, wait_s(when, work));
  return least;
}

/// One run of a job, watched: the stage and the CPU time since the start of each word of its progress.
struct Watched {
  struct Word {
    Stage stage;
    double at_s;
  };
  std::vector<Word> words;
  double whole_s = 0;

  /// The moment that was `at_s` after the start, told by the last word before it.
  Moment moment(double at_s) const {
    const auto next = std::find_if(words.begin(), words.end(), [&](const Word& word) { return word.at_s > at_s; });
    return {int(next - words.begin()), at_s - (next == words.begin() ? 0 : std::prev(next)->at_s)};
  }
};

template <class Work>
Watched watch(Work&& work) {
  Watched watched;
  Job job;
  const double begin = cpu_seconds();
  job.progress = [&](Stage stage, double) { watched.words.push_back({stage, cpu_seconds() - begin}); };
  EXPECT_TRUE(work(job).ok());
  watched.whole_s = cpu_seconds() - begin;
  return watched;
}

/// The longest over `moments` spread evenly over the CPU time of the job.
template <class Work>
double longest_wait_s(int moments, Work&& work) {
  const Watched watched = watch(work);
  double longest = 0;
  int cancelled = 0;
  for (int k = 0; k < moments; ++k) {
    const double wait = steady_wait_s(watched.moment(watched.whole_s * (k + 0.5) / moments), work);
    cancelled += wait >= 0;
    longest = std::max(longest, wait);
  }
  EXPECT_GE(cancelled, moments / 2);
  return longest;
}

}  // namespace batten::support
