#include "signal_watch.h"

#include <pthread.h>

#include <system_error>

namespace batten::cli {
namespace {

// The signal that the watch itself is told to end with: nobody else sends it to a single thread of ours.
constexpr int end_of_watch = SIGUSR1;

bool is_ignored(int number) {
  struct sigaction now;
  return ::sigaction(number, nullptr, &now) == 0 && now.sa_handler == SIG_IGN;
}

// Waits in a thread instead of a handler: a handler may do next to nothing, and would need a global.
void watch(sigset_t watched, FileBatch* batch) {
  int number = 0;
  if (sigwait(&watched, &number) != 0 || number == end_of_watch) return;
  batch->abandon();
  std::signal(number, SIG_DFL);
  sigset_t one;
  sigemptyset(&one), sigaddset(&one, number);
  pthread_sigmask(SIG_UNBLOCK, &one, nullptr);
  std::raise(number);
}

}  // namespace

SignalWatch::SignalWatch(FileBatch* batch) {
  for (const int number : {SIGPIPE, SIGXFSZ}) std::signal(number, SIG_IGN);
  sigemptyset(&watched_);
  for (const int number : {SIGINT, SIGTERM, SIGHUP, SIGQUIT})
    if (!is_ignored(number)) sigaddset(&watched_, number);
  sigaddset(&watched_, end_of_watch);
  pthread_sigmask(SIG_BLOCK, &watched_, nullptr);
  try {
    thread_ = std::thread(watch, watched_, batch);
  } catch (const std::system_error&) {  // no more threads: a signal then ends the process at once, as is usual
    pthread_sigmask(SIG_UNBLOCK, &watched_, nullptr);
  }
}

SignalWatch::~SignalWatch() {
  if (!thread_.joinable()) return;
  pthread_kill(thread_.native_handle(), end_of_watch);
  thread_.join();
  pthread_sigmask(SIG_UNBLOCK, &watched_, nullptr);
}

}  // namespace batten::cli
