#pragma once
// What the files of the C interface share. They use nothing but the public C++ interface of the library.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <memory>
#include <new>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "batten/batten.h"
#include "batten/batten_judge.h"
#include "batten/batten_loops.h"
#include "batten/convert.h"
#include "batten/handles.h"
#include "batten/sweep.h"

struct batten_stop {
  std::stop_source source;
};

struct batten_located {
  batten::Located located;
  std::vector<batten::LocatedLoop> loops;  // of the same
};

struct batten_pins {
  std::vector<batten::Pin> pins;
};

struct batten_drawing {
  batten::Conversion conversion;
  std::vector<std::vector<double>> nodes;          // for each outline six numbers a node
  std::vector<std::vector<std::int32_t>> reasons;  // for each outline one a node
};

struct batten_sweep {
  std::vector<std::unique_ptr<batten_drawing>> drawings;  // one for each tolerance
  batten::Sweep sweep;                                    // without its conversions, which are in `drawings`
};

namespace batten::c {

// The least that a caller's job must hold is its first version. Structs grow at the end only.
inline constexpr std::size_t first_job_size = offsetof(batten_job, stop) + sizeof(batten_stop*);

/// Copies the caller's struct over our defaults: fields that an older caller does not know keep their default.
template <class T>
T taken(const T* theirs, T defaults) {
  if (theirs) std::memcpy(&defaults, theirs, std::min(theirs->struct_size, sizeof(T)));
  return defaults;
}

/// Copies our struct into the caller's, as far as that one reaches.
template <class T>
int given(T ours, T* theirs) {
  if (!theirs || theirs->struct_size <= sizeof(std::size_t)) return 0;
  ours.struct_size = theirs->struct_size;
  std::memcpy(theirs, &ours, std::min(theirs->struct_size, sizeof(T)));
  return 1;
}

/// A located line as C sees it: its points are where they are.
batten_loop loop_for(const LocatedLoop& loop);

/// As much of the text as there is room for; size > 0.
void copy_text(const std::string& text, char* to, std::size_t size);

inline Error bad(const char* sentence, const char* place) { return {ErrorCode::bad_option, sentence, place}; }

Result<Options> options_from(const batten_options* theirs);
Result<ImageView> image_from(const batten_image* theirs);

/// Presents a job of the caller's as one of ours. Their callback and their stop both stop a source that belongs to this
/// job alone, so that a callback that cancels does not stop other jobs.
class BorrowedJob {
 public:
  explicit BorrowedJob(const batten_job& theirs) : theirs_(theirs) {
    job_.stop = stop_.get_token();
    if (theirs_.threads != 0) job_.threads = theirs_.threads;
    if (theirs_.stop) passed_on_.emplace(theirs_.stop->source.get_token(), PassOn{&stop_});
    if (theirs_.progress)
      job_.progress = [this](Stage stage, double fraction) {
        if (theirs_.progress(theirs_.user, std::int32_t(stage), fraction) == 0) stop_.request_stop();
      };
    if (theirs_.log)
      job_.log = [this](Level level, std::string_view text) {
        theirs_.log(theirs_.user, std::int32_t(level), std::string(text).c_str());
      };
  }
  BorrowedJob(const BorrowedJob&) = delete;
  BorrowedJob& operator=(const BorrowedJob&) = delete;
  const Job& job() const { return job_; }

 private:
  struct PassOn {
    std::stop_source* to;
    void operator()() const { to->request_stop(); }
  };
  batten_job theirs_;
  std::stop_source stop_;
  Job job_;
  std::optional<std::stop_callback<PassOn>> passed_on_;
};

std::unique_ptr<batten_drawing> handle_of(Conversion&& conversion);
std::unique_ptr<batten_located> handle_of(Located&& located);
std::unique_ptr<batten_sweep> handle_of(Sweep&& sweep);

/// What all entry points do: read options and job, do the work, hand out the result. No exception passes.
template <class Handle, class Work>
std::int32_t run(const batten_options* options, const batten_job* job, Handle** out, batten_error* error,
                 Work&& work) noexcept {
  if (out) *out = nullptr;
  if (error) *error = batten_error{};
  try {
    if (!out) return tell(bad("A place for the result is needed.", "out"), error);
    if (job && job->struct_size < first_job_size) return tell(bad("Set struct_size first.", "batten_job"), error);
    const auto taken_options = options_from(options);
    if (!taken_options) return tell(taken_options.error(), error);
    const BorrowedJob borrowed(taken(job, batten_job{}));
    auto made = work(*taken_options, borrowed.job());
    if (!made) return tell(made.error(), error);
    *out = handle_of(std::move(*made)).release();
    return BATTEN_OK;
  } catch (const std::bad_alloc&) {
    if (error) error->code = BATTEN_OUT_OF_MEMORY, std::strcpy(error->message, "There is not enough memory.");
    return BATTEN_OUT_OF_MEMORY;
  } catch (...) {
    if (error) error->code = BATTEN_INTERNAL, std::strcpy(error->message, "An error inside batten: please report it.");
    return BATTEN_INTERNAL;
  }
}

}  // namespace batten::c
