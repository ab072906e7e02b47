// batten: turns scans of pencil drawings into outlines. The library does the work; declare_options.cpp says what can be
// asked for.

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <exception>
#ifdef __GLIBC__  // known once a standard header was read
#include <malloc.h>
#endif

#include "arguments.h"
#include "measure_paths.h"
#include "places.h"
#include "refit_paths.h"
#include "show.h"
#include "signal_watch.h"
#include "sweep_scan.h"
#include "trace_all.h"

namespace {

using namespace batten;
using namespace batten::cli;

int ended(const std::optional<Error>& error) {
  if (!error) return all_done;
  show_error(error->message);
  return status_of(error->code);
}

int run(int argc, const char* const* argv, FileBatch* batch) {
  const auto parsed = parse(argc, argv);
  if (const Finished* finished = std::get_if<Finished>(&parsed)) {
    if (finished->status == all_done)
      std::fputs(finished->text.c_str(), stdout);
    else
      show_error(finished->text);
    return finished->status;
  }
  if (const SweepArguments* swept = std::get_if<SweepArguments>(&parsed)) return ended(sweep_scan(*swept, batch));
  if (const MeasureArguments* measured = std::get_if<MeasureArguments>(&parsed))
    return ended(measure_paths(*measured, batch));
  if (const RefitArguments* refitted = std::get_if<RefitArguments>(&parsed))
    return ended(refit_paths(*refitted, batch));
  const Arguments& arguments = std::get<Arguments>(parsed);
  const Result<std::vector<Places>> plans = plan(arguments);
  if (!plans) {
    show_error(plans.error().message);
    return status_of(plans.error().code);
  }
  return trace_all(arguments, *plans, batch);
}

// What was printed may not have arrived.
int finished(int status) {
  if (std::fflush(stdout) == 0 && !std::ferror(stdout)) return status;
  show_error("Cannot write to standard output: it is closed, its reader has gone, or the disk is full.");
  return status == all_done ? cannot_write : status;
}

// A standard stream that was closed leaves its number to the next file that is opened, and what is printed would go
// into that file. A descriptor that cannot be written to takes the place.
void keep_numbers_taken() {
  for (const int number : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    if (::fcntl(number, F_GETFD) == -1 && errno == EBADF && ::open("/dev/null", O_RDONLY) != number) return;
}

// A sheet needs dozens of buffers of 30 MB. Fresh from the system each would be cleared page by page, a twentieth of
// all work; kept within the process they are used again. A library leaves this choice to its program.
void keep_freed_memory() {
#ifdef __GLIBC__
  mallopt(M_MMAP_THRESHOLD, 1 << 30);
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
#endif
}

}  // namespace

int main(int argc, char** argv) {
  keep_numbers_taken();
  keep_freed_memory();
  try {
    FileBatch batch;
    const SignalWatch watch(&batch);
    return finished(run(argc, argv, &batch));
  } catch (const std::exception& error) {
    show_error(std::string("An error inside batten: please report it, with the scan (") + error.what() + ").");
    return internal_failure;
  }
}
