#include "job.h"

namespace batten::python {

PythonJob::PythonJob(py::object progress, py::object log, const Stop* stop)
    : progress_(std::move(progress)), log_(std::move(log)) {
  job_.stop = stop_.get_token();
  if (stop) {
    theirs_ = stop->source;
    passed_on_.emplace(theirs_->get_token(), PassOn{&stop_});
  }
  job_.progress = [this](Stage stage, double fraction) { report(stage, fraction); };
  if (!log_.is_none())
    job_.log = [this](Level level, std::string_view text) {
      call_python([&] { log_(level == Level::warning ? "warning" : "info", py::str(text.data(), text.size())); });
    };
}

template <class Call>
void PythonJob::call_python(Call&& call) {
  if (raised_) return;
  const py::gil_scoped_acquire lock;
  try {
    if (PyErr_CheckSignals() != 0) throw py::error_already_set();
    call();
  } catch (const py::error_already_set& e) {
    raised_.emplace(e);
    stop_.request_stop();
  }
}

void PythonJob::report(Stage stage, double fraction) {
  if (progress_.is_none()) {
    // Nobody listens, but Ctrl-C should. The lock is not taken more often than a person could notice.
    const auto now = std::chrono::steady_clock::now();
    if (now - looked_ < std::chrono::milliseconds(50)) return;
    looked_ = now;
    return call_python([] {});
  }
  call_python([&] {
    if (progress_(name_of(stage), fraction).is(py::bool_(false))) stop_.request_stop();
  });
}

void bind_job(py::module_& m) {
  py::class_<Stop>(
      m, "Stop",
      "Ends jobs from any thread: hand one to a call as `stop` and call request() elsewhere. The call then\n"
      "raises batten.Cancelled, within 0.1 s for a page at 300 dpi. One may serve several jobs.")
      .def(py::init<>())
      .def(
          "request", [](const Stop& s) { s.source->request_stop(); }, "Asks the jobs to end; it cannot be taken back.")
      .def_property_readonly(
          "requested", [](const Stop& s) { return s.source->stop_requested(); }, "Has request() been called?")
      .def("__repr__",
           [](const Stop& s) { return s.source->stop_requested() ? "<batten.Stop requested>" : "<batten.Stop>"; });
}

}  // namespace batten::python
