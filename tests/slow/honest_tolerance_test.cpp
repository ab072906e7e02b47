// The largest deviation never exceeds the tolerance without an entry in the report that says where and how much:
// measured again with code of this file alone, every sample against every edge.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "support/many_drawings.h"

namespace batten {
namespace {

double to_polyline(Point p, const std::vector<Point>& line) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Point a = line[i], b = line[(i + 1) % line.size()], d = b - a, v = p - a;
    const double dd = d.x * d.x + d.y * d.y, f = dd > 0 ? std::clamp((d.x * v.x + d.y * v.y) / dd, 0.0, 1.0) : 0;
    best = std::min(best, std::hypot(v.x - f * d.x, v.y - f * d.y));
  }
  return best;
}

/// Largest distance both ways, each sample to the nearest edge anywhere: never more than what measure() finds.
double nearest_px(const std::vector<Point>& a, const std::vector<Point>& b) {
  double worst = 0;
  for (Point p : a) worst = std::max(worst, to_polyline(p, b));
  for (Point p : b) worst = std::max(worst, to_polyline(p, a));
  return worst;
}

const Finding* exceeded(const Report& r, std::size_t outline) {
  for (const Finding& f : r.findings)
    if (f.what == Finding::What::tolerance_exceeded && f.outline == int(outline)) return &f;
  return nullptr;
}

constexpr double chords_px = 0.1;  // of the polylines and samples

TEST(HonestTolerance, OfPolylinesAgainstThePolylinesThemselves) {
  const auto all = support::fitted_glyphs(U"eR", {0.25, 1, 4});
  ASSERT_EQ(all.size(), 48u);
  std::size_t held = 0, told = 0;
  for (const support::Traced& t : all)
    for (std::size_t i = 0; i < t.loops.size(); ++i) {
      const double off = nearest_px(support::points_of(t.result.drawing.outlines[i], 0.5), t.loops[i]);
      const Finding* f = exceeded(t.result.report, i);
      if (off > t.tolerance_px + chords_px) {
        EXPECT_NE(f, nullptr) << t.name << ", outline " << i << ": " << off << " px off and not told";
        if (f) {
          EXPECT_GT(f->amount_px, off - chords_px) << t.name;
        }
      } else {
        ++held;
      }
      told += f != nullptr;
    }
  RecordProperty("held", std::to_string(held));
  EXPECT_GE(held, 70u);
  EXPECT_LE(told, 4u) << "a warning that always comes warns of nothing";
}

TEST(HonestTolerance, OfPencilDrawingsAgainstWhatTheyWereJudgedBy) {
  const auto all = support::pencil_glyphs(U"a", {0.5, 2, 4});
  ASSERT_EQ(all.size(), 24u);
  std::size_t held = 0, told = 0;
  for (const support::Traced& t : all)
    for (std::size_t i = 0; i < t.result.report.outlines.size(); ++i) {
      const OutlineReport& r = t.result.report.outlines[i];
      const double off = nearest_px(support::points_of(t.result.drawing.outlines[i], 0.5), r.judged);
      EXPECT_LE(off, r.max_px + chords_px) << t.name << ", outline " << i;
      EXPECT_LT(r.replaced_length_px, 0.5 * r.loop_length_px) << t.name << ", outline " << i;
      const Finding* f = exceeded(t.result.report, i);
      const double sigma_px = t.result.drawing.outlines[i].sigma_px;
      EXPECT_NEAR(r.known_px, 2.6 * sigma_px, 1e-9) << t.name;
      EXPECT_EQ(f != nullptr, r.max_px > t.tolerance_px + 1.5 * sigma_px) << t.name << ", outline " << i;
      if (f) {
        EXPECT_DOUBLE_EQ(f->amount_px, r.max_px);
        const double from_outline = to_polyline(f->place, support::points_of(t.result.drawing.outlines[i], 0.25));
        EXPECT_LT(std::min(from_outline, to_polyline(f->place, r.judged)), 0.3) << t.name << ": no such place";
        EXPECT_NE(f->text.find(" px off the drawing at ("), std::string::npos) << f->text;
      }
      const auto is_told = [&](Finding::What what) {
        return std::any_of(t.result.report.findings.begin(), t.result.report.findings.end(),
                           [&](const Finding& x) { return x.what == what && x.outline == int(i); });
      };
      const bool finer = is_told(Finding::What::tolerance_below_uncertainty);
      EXPECT_FALSE(finer && t.tolerance_px >= 2.25 * sigma_px) << t.name << ": known well enough";
      EXPECT_EQ(is_told(Finding::What::tolerance_widened), r.limit_px > t.tolerance_px + 1e-9)
          << t.name << ": a limit that is not the tolerance is told";
      EXPECT_EQ(r.within_tolerance, r.max_px <= t.tolerance_px && r.strayed_px <= std::max(r.limit_px, 2.0)) << t.name;
      if (!finer) ++(f ? told : held);
    }
  RecordProperty("held", std::to_string(held));
  RecordProperty("told", std::to_string(told));
  EXPECT_GT(held, 2 * told) << "what the line can tell is held by most";
}

}  // namespace
}  // namespace batten
