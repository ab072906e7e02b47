// Polylines, closed and open: short ones of any numbers, with folds, spikes and points twice.

#include <vector>

#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace batten;
  fuzz::Input in(bytes, size);
  Options options;
  const std::uint8_t kind = in.byte();
  if (kind & 1) options.tolerance_px = 0.25 + in.byte() / 16.0;
  if (kind & 2) options.extremes = Options::Extremes::free;
  std::vector<std::vector<Point>> closed, open;
  std::vector<Point> points;
  constexpr std::size_t most = 40;  // a few hundred executions a second; length is what fit_test's cases are for
  while (!in.empty() && points.size() < most) {
    const std::uint8_t what = in.byte();
    if (what < 8 && points.size() > 1) {
      (what < 4 ? closed : open).push_back(points), points.clear();
    } else if (what < 24 && !points.empty()) {
      points.push_back(
          points[points.size() - 1 - std::size_t(in.below(int(points.size())))]);  // back to an earlier one
    } else {
      points.push_back(in.point());
    }
  }
  (kind & 4 ? open : closed).push_back(points);
  const Result<Conversion> made = fit_lines(closed, open, options);
  if (!made) return fuzz::expect_sentence(made.error()), 0;
  fuzz::expect_sound(*made);
  fuzz::expect(made->drawing.outlines.size() == closed.size() + open.size(), "an outline for each polyline");
  for (std::size_t i = 0; i < closed.size() + open.size(); ++i)
    fuzz::expect(made->drawing.outlines[i].closed == (i < closed.size()), "in their order");
  return 0;
}
