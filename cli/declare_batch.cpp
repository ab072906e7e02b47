#include "declare_batch.h"

#include <CLI/CLI.hpp>

#include "parse_values.h"

namespace batten::cli {
namespace {

constexpr const char* group = "Many scans";

template <class Take>
void add(CLI::App& trace, const char* name, const char* type, const char* help, Take take) {
  trace.add_option_function<std::string>(name, take, help)->type_name(type)->group(group);
}

[[noreturn]] void refuse(const std::string& option, const std::string& text) {
  throw CLI::ValidationError(option + ": " + text);
}

}  // namespace

void declare_batch(CLI::App& trace, BatchArguments& batch) {
  add(trace, "--threads", "N",
      "How many threads share the scans, and the outlines of the last ones. [one for each core]",
      [&batch](const std::string& text) {
        batch.threads = number<int>(text).value_or(0);
        if (batch.threads < 1 || batch.threads > 64)
          refuse("--threads", text + " is out of range: give a whole number from 1 to 64.");
      });
  add(trace, "--memory", "SIZE",
      "How much memory all scans that are open at once may need, such as 1GB: large ones wait for\n"
      "one another. One scan alone is traced whatever it needs. [what the machine has]",
      [&batch](const std::string& text) {
        const Result<double> bytes = parse_memory(text);
        if (!bytes) throw CLI::ValidationError(bytes.error().message);
        batch.open_memory_bytes = *bytes;
      });
  trace
      .add_flag("--skip-done", batch.skip_done,
                "Leave out scans whose results are there already, made from the same pixels and options by\n"
                "the same version, as their report says; needs --report.")
      ->group(group);
  add(trace, "--table", "FILE.csv", "Write one row of figures for each scan, and why one failed. [none]",
      [&batch](const std::string& text) {
        if (!has_ending(text, ".csv")) refuse("--table", text + ": the name must end in .csv.");
        batch.table = text;
      });
  add(trace, "--shard", "I/N",
      "Trace every N-th scan only, beginning with the I-th, so that N machines or jobs with the same\n"
      "list share the work. [1/1]",
      [&batch](const std::string& text) {
        const std::size_t slash = text.find('/');
        const auto part = [&](std::size_t from, std::size_t length) {
          return slash == std::string::npos ? 0 : number<int>(text.substr(from, length)).value_or(0);
        };
        batch.shard = part(0, slash), batch.shards = part(slash + 1, std::string::npos);
        if (batch.shard < 1 || batch.shards < batch.shard)
          refuse("--shard", text + " is no share: give two whole numbers such as 1/4, the first no larger.");
      });
}

std::string what_decides(const CLI::App& trace) {
  std::string out;
  for (const CLI::Option* option : trace.get_options()) {
    const std::string name = option->get_name();
    const bool place = name == "--out" || name == "--overlay" || name == "--proof" || name == "--report";
    if (option->count() == 0 || name == "SCAN" || name == "--quiet" || name == "--most-memory" || place ||
        option->get_group() == group)
      continue;
    for (const std::string& value : option->results()) out += name + "=" + value + "\n";
  }
  return out;
}

}  // namespace batten::cli
