#pragma once
// A job whose callbacks are Python's.

#include <chrono>
#include <memory>
#include <optional>
#include <stop_token>
#include <utility>

#include "bind.h"

namespace batten::python {

/// What Python's Stop holds. Jobs share it, so that it may be dropped while one runs.
struct Stop {
  std::shared_ptr<std::stop_source> source = std::make_shared<std::stop_source>();
};

/// Runs work without the interpreter's lock and takes it back for callbacks. A progress callback that returns False
/// cancels, and so does Ctrl-C; one that raises cancels, and what it raised comes out of the call.
class PythonJob {
 public:
  PythonJob(py::object progress, py::object log, const Stop* stop);
  PythonJob(const PythonJob&) = delete;
  PythonJob& operator=(const PythonJob&) = delete;

  /// work(job) -> Result<T>
  template <class Work>
  auto run(Work&& work) {
    auto result = [&] {
      const py::gil_scoped_release released;
      return work(job_);
    }();
    if (raised_) throw py::error_already_set(*raised_);
    return taken(std::move(result));
  }

 private:
  struct PassOn {
    std::stop_source* to;
    void operator()() const { to->request_stop(); }
  };
  template <class Call>
  void call_python(Call&& call);
  void report(Stage stage, double fraction);

  py::object progress_, log_;
  std::shared_ptr<std::stop_source> theirs_;
  std::stop_source stop_;  // of this job alone: a callback that cancels does not stop others
  Job job_;
  std::optional<py::error_already_set> raised_;
  std::chrono::steady_clock::time_point looked_ = std::chrono::steady_clock::now();
  std::optional<std::stop_callback<PassOn>> passed_on_;
};

}  // namespace batten::python
