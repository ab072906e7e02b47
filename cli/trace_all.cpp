#include "trace_all.h"

#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>

#include "batch_table.h"
#include "batten/version.h"
#include "batten/write.h"
#include "prepare.h"
#include "show.h"
#include "trace.h"

namespace batten::cli {
namespace {

// What the scans that are open at once need of the memory that they may have.
class Memory {
 public:
  explicit Memory(double most_bytes) : most_(most_bytes) {}
  // Waits until there is room; what is larger than all there is waits until it is alone.
  void take(double bytes) {
    std::unique_lock lock(guard_);
    freed_.wait(lock, [&] { return taken_ <= 0 || taken_ + bytes <= most_; });
    taken_ += bytes;
  }
  void give_back(double bytes) {
    const std::lock_guard lock(guard_);
    taken_ -= bytes;
    freed_.notify_all();
  }

 private:
  double most_, taken_ = 0;
  std::mutex guard_;
  std::condition_variable freed_;
};

// Says what became of scans in the order in which they were named, as soon as all before are done, and on a terminal
// how many are left.
class Order {
 public:
  Order(std::size_t count, bool quiet)
      : said_(count), shows_(!quiet && count > 1 && isatty(STDERR_FILENO)), begin_(std::chrono::steady_clock::now()) {}
  void done(std::size_t which, std::function<void()> say) {
    const std::lock_guard lock(guard_);
    said_[which] = std::move(say);
    ++done_;
    clear();
    for (; next_ < said_.size() && said_[next_]; ++next_) said_[next_](), said_[next_] = [] {};
    if (shows_ && done_ < said_.size()) show();
  }

 private:
  void clear() {
    if (shows_) std::fputs("\r\033[K", stderr);
  }
  void show() {
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin_).count();
    const double left = seconds / double(done_) * double(said_.size() - done_);
    const std::string line = std::to_string(done_) + " of " + std::to_string(said_.size()) + " scans done, some " +
                             (left < 90 ? decimal(left, 0) + " s" : decimal(left / 60, 0) + " min") + " left";
    std::fputs(line.c_str(), stderr);
    std::fflush(stderr);
  }

  std::vector<std::function<void()>> said_;
  std::size_t next_ = 0, done_ = 0;
  bool shows_;
  std::chrono::steady_clock::time_point begin_;
  std::mutex guard_;
};

std::string bytes_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// Which pixels, which options and pins, which version: the same name means the same results.
std::string job_of(const Arguments& arguments, const std::string& scan) {
  const std::string pins = arguments.pins.empty() ? "" : bytes_of(arguments.pins);
  return name_of_bytes(bytes_of(scan)) + "-" + name_of_bytes(arguments.batch.asked + pins + BATTEN_VERSION);
}

bool all_there(const Places& places) {
  std::error_code ignored;
  const auto there = [&](const std::string& path) { return path.empty() || std::filesystem::exists(path, ignored); };
  return there(places.overlay) && there(places.proof) &&
         std::all_of(places.outlines.begin(), places.outlines.end(), [&](const Place& p) { return there(p.path); });
}

// What became of one scan.
struct Fate {
  TableRow row;
  bool skipped = false;
  ExitStatus status = all_done;
};

class Batch {
 public:
  Batch(const Arguments& arguments, const std::vector<Places>& plans, FileBatch* files)
      : arguments_(arguments),
        plans_(plans),
        files_(files),
        fates_(plans.size()),
        memory_(arguments.batch.open_memory_bytes > 0 ? arguments.batch.open_memory_bytes : memory_of_machine()),
        order_(plans.size(), arguments.quiet) {}

  const std::vector<Fate>& run() {
    const int threads = threads_of(arguments_);
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < std::min(plans_.size(), std::size_t(threads)); ++i) {
      try {
        helpers.emplace_back([this] { work(); });
      } catch (const std::system_error&) {
        break;  // no more threads to be had: those that run do the work
      }
    }
    work();
    helpers.clear();  // joins them
    return fates_;
  }

 private:
  void work() {
    for (std::size_t i = next_++; i < plans_.size(); i = next_++) one(i);
  }

  void one(std::size_t i) {
    const Places& places = plans_[i];
    Fate& fate = fates_[i];
    Arguments arguments = arguments_;
    // While there are scans enough for all threads each has one; the last ones share what is left.
    const std::size_t left = plans_.size() - i;
    arguments.batch.threads = std::max(1, threads_of(arguments_) / int(std::min<std::size_t>(left, 64)));
    arguments.quiet |= plans_.size() > 1;  // one line for all shows the progress
    Company company{files_, &writing_, {}, {}};
    double claimed = 0;
    company.claim = [&](double bytes) { memory_.take(bytes), claimed = bytes; };
    if (!places.report.empty()) company.job = job_of(arguments_, places.scan);
    std::optional<TableRow> kept;
    if (arguments_.batch.skip_done && all_there(places)) kept = row_of_report(places.report, company.job);
    if (kept) {
      fate.row = *kept, fate.skipped = true;
      order_.done(i, [] {});
    } else {
      Result<Traced> traced = guarded_trace(arguments, places, company);
      memory_.give_back(claimed);
      if (traced) {
        fate.row = row_of(traced->conversion);
        order_.done(i, [this, &places, traced = std::make_shared<Traced>(std::move(*traced))] {
          tell(arguments_, places, *traced);
        });
      } else {
        fate.row.error = traced.error().message, fate.status = status_of(traced.error().code);
        order_.done(i, [] {});  // said at the end, where no other line hides it
      }
    }
    fate.row.scan = places.scan;
  }

  // An exception must not end a thread: it is the fault of one scan.
  static Result<Traced> guarded_trace(const Arguments& arguments, const Places& places, const Company& company) {
    try {
      return trace(arguments, places, company);
    } catch (const std::bad_alloc&) {
      return Error{ErrorCode::out_of_memory,
                   places.scan + ": there is not enough memory: give --memory less, or scan at a lower resolution.",
                   ""};
    } catch (const std::exception& error) {
      return Error{ErrorCode::internal,
                   places.scan + ": an error inside batten: please report it, with the scan (" + error.what() + ").",
                   ""};
    }
  }

  const Arguments& arguments_;
  const std::vector<Places>& plans_;
  FileBatch* files_;
  std::vector<Fate> fates_;
  Memory memory_;
  Order order_;
  std::mutex writing_;
  std::atomic<std::size_t> next_{0};
};

void show_sum(const std::vector<Fate>& fates, double seconds) {
  std::size_t failed = 0, skipped = 0, outlines = 0, nodes = 0;
  double most_px = 0;
  for (const Fate& fate : fates) {
    failed += !fate.row.error.empty(), skipped += fate.skipped;
    outlines += fate.row.outlines + fate.row.lines, nodes += fate.row.nodes;
    most_px = std::max(most_px, fate.row.max_px);
  }
  std::string text = counted(fates.size(), "scan") + ": " + std::to_string(fates.size() - failed - skipped) + " traced";
  if (skipped > 0) text += ", " + std::to_string(skipped) + " done before";
  if (failed > 0) text += ", " + std::to_string(failed) + " failed";
  text += "; " + counted(outlines, "outline") + " and lines, " + counted(nodes, "node") + ", deviation at most " +
          decimal(most_px, 2) + " px, " + decimal(seconds, 1) + " s";
  std::fprintf(stderr, "%s\n", text.c_str());
}

// Only every so many-th scan is this job's.
std::vector<std::size_t> own_numbers(std::size_t count, const BatchArguments& batch) {
  std::vector<std::size_t> out;
  for (std::size_t k = std::size_t(batch.shard); k <= count; k += std::size_t(batch.shards)) out.push_back(k);
  return out;
}

}  // namespace

ExitStatus trace_all(const Arguments& arguments, std::vector<Places> plans, FileBatch* files) {
  const auto begin = std::chrono::steady_clock::now();
  const bool several = plans.size() > 1;
  const std::vector<std::size_t> numbers = own_numbers(plans.size(), arguments.batch);
  std::vector<Places> own;
  for (const std::size_t number : numbers) own.push_back(std::move(plans[number - 1]));
  Batch batch(arguments, own, files);
  const std::vector<Fate>& fates = batch.run();
  ExitStatus status = all_done;
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < fates.size(); ++i) {
    rows.push_back(fates[i].row);
    rows.back().number = numbers[i];
    if (fates[i].status != all_done) status = several ? some_failed : fates[i].status;
  }
  // On standard error beside the progress, so that standard output has a line for each scan and no other.
  if (several && !arguments.quiet)
    show_sum(fates, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
  for (const TableRow& row : rows)
    if (!row.error.empty()) show_error(row.error);
  if (arguments.batch.table.empty()) return status;
  if (const auto error = write_together({{arguments.batch.table, to_csv(rows)}}, files)) {
    show_error(error->message);
    return status_of(error->code);
  }
  return status;
}

}  // namespace batten::cli
