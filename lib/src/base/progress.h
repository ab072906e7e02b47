#pragma once
// How a stage reports how far it is and learns that it should stop.

#include <algorithm>

#include "batten/convert.h"

namespace batten {

/// One stage's share of the whole job. Stages call advance(0..1) and give up with cancelled() when it says so.
class Progress {
 public:
  Progress(const Job& job, Stage stage, double begin, double end)
      : job_(job), stage_(stage), begin_(begin), end_(end) {}
  bool stopped() const { return job_.stop.stop_requested(); }
  void advance(double fraction) const {
    if (job_.progress) job_.progress(stage_, begin_ + (end_ - begin_) * std::clamp(fraction, 0.0, 1.0));
  }
  Error cancelled() const { return {ErrorCode::cancelled, "The job was cancelled by its caller.", name_of(stage_)}; }
  const std::stop_token& stop_token() const { return job_.stop; }

 private:
  const Job& job_;
  Stage stage_;
  double begin_, end_;
};

}  // namespace batten
