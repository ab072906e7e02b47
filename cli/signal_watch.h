#pragma once
// Lets an interrupted run end without leaving temporary files behind.

#include <csignal>
#include <thread>

#include "batten/files.h"

namespace batten::cli {

/// While it lives, SIGINT, SIGTERM, SIGHUP and SIGQUIT first discard what `batch` has not committed, or let a commit
/// finish that has begun, and then end the process as they would have without. Those that were ignored stay so. A
/// reader that has gone and a limit on the size of files become errors of writing. To be made before other threads.
class SignalWatch {
 public:
  explicit SignalWatch(FileBatch* batch);
  ~SignalWatch();
  SignalWatch(const SignalWatch&) = delete;

 private:
  sigset_t watched_;
  std::thread thread_;
};

}  // namespace batten::cli
