#pragma once
// The order of the curve stages: loops -> Conversion.

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// What a scan says, located once.
struct Located::Data {
  Loops loops;
  std::vector<Finding> findings;  ///< of the pixel stages
  double width_px = 0, height_px = 0, dpi = 0;
};

/// `begin`: share of the whole job that is done already.
Result<Conversion> fit_loops(const Loops& loops, const Options& options, const Job& job, double begin);

/// The findings in words, to a caller who listens.
inline void tell(const Job& job, const std::vector<Finding>& findings) {
  if (!job.log) return;
  for (const Finding& f : findings) job.log(level_of(f.what), f.text);
}

/// judge() within its guard; in judge_drawing.cpp.
Result<Conversion> judge_located(const Located::Data& data, const Drawing& drawing, const Options& options,
                                 const Job& job);

}  // namespace batten
