// What a practitioner asks of handles, over many outlines: none backwards, none past the place where the tangents meet,
// no loops, no cusps, no turn to the other side that the drawing does not have (common practice, no source; why a
// handle past the meeting point makes a curve that is not convex: the variation diminishing property, Farin, "Curves
// and Surfaces for CAGD", 5th edition, 2002, "Bezier Curve Topics").
#include <gtest/gtest.h>

#include <cmath>

#include "batten/measure.h"
#include "support/many_drawings.h"
#include "support/score.h"

namespace batten {
namespace {

double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
double norm(Point a) { return std::hypot(a.x, a.y); }

/// Is a handle longer than the way to the place where the two tangents meet, where they meet in front of both ends?
bool past_meeting_point(const Cubic& c) {
  const Point chord = c[3] - c[0], h0 = c[1] - c[0], h3 = c[3] - c[2];
  const double den = cross(h0, h3);
  if (norm(h0) < 1e-9 || norm(h3) < 1e-9 || std::abs(den) < 1e-6 * norm(h0) * norm(h3)) return false;
  const double u = cross(chord, h3) / den, v = cross(h0, chord) / den;  // in handles: below 1 the handle is too long
  if (u <= 0 || v <= 0) return false;
  // A handle of a few hundredths of the chord has no direction to speak of; it is the shortest that is drawn.
  const double least = 0.065 * norm(chord);
  return (u < 1 && norm(h0) > least) || (v < 1 && norm(h3) > least);
}

/// Largest change of direction from one of 200 places of the curve to the next, degrees: a cusp turns by 180.
double sharpest_step_deg(const Cubic& c) {
  double worst = 0;
  Point before = support::derivative(c, 0);
  for (int i = 1; i <= 200; ++i) {
    const Point now = support::derivative(c, i / 200.0);
    worst = std::max(worst, std::abs(std::atan2(cross(before, now), dot(before, now))) * 180 / 3.14159265358979);
    before = now;
  }
  return worst;
}

struct Count {
  std::size_t segments = 0, curves = 0, crossing = 0;
};

/// Counts, and fails with the place for every handle that is not sound.
Count check_handles(const std::vector<support::Traced>& all) {
  Count n;
  for (const support::Traced& t : all)
    for (const Outline& o : t.result.drawing.outlines) {
      n.crossing += crosses_itself(o, 0.02);
      n.segments += o.segment_count();
      for (std::size_t i = 0; i < o.segment_count(); ++i) {
        if (o.is_straight(i)) continue;
        const Cubic c = o.segment(i);
        ++n.curves;
        const bool back =
            dot(c[1] - c[0], support::at(c, 0.25) - c[0]) <= 0 || dot(c[3] - c[2], c[3] - support::at(c, 0.75)) <= 0;
        if (back || past_meeting_point(c) || sharpest_step_deg(c) > 60)
          ADD_FAILURE() << t.name << ": segment from " << c[0].x << ", " << c[0].y << " to " << c[3].x << ", " << c[3].y
                        << (back                    ? " has a handle backwards"
                            : past_meeting_point(c) ? " has a handle past the meeting point"
                                                    : " has a cusp");
      }
    }
  return n;
}

TEST(Handles, OfFittedOutlinesAreSoundAndTurnAsTheDesignersDo) {
  const auto all = support::fitted_glyphs(U"eg&", {0.5, 2});
  ASSERT_EQ(all.size(), 48u);
  const Count n = check_handles(all);
  EXPECT_GT(n.curves, 700u);
  EXPECT_EQ(n.crossing, 0u);
  std::size_t more = 0;
  for (const support::Traced& t : all)
    for (std::size_t i = 0; i < t.truth.size(); ++i) {
      const std::size_t truth = support::turning_changes(t.truth[i]),
                        drawn = support::turning_changes(t.result.drawing.outlines[i]);
      more += drawn > truth ? drawn - truth : 0;
    }
  RecordProperty("turning_changes_too_many", std::to_string(more));
  EXPECT_LE(double(more), 0.01 * double(n.segments)) << more << " in " << n.segments << " segments";
}

TEST(Handles, OfPencilDrawingsAreSound) {
  const auto all = support::pencil_glyphs(U"Rs", {1, 2.5});
  ASSERT_EQ(all.size(), 32u);
  const Count n = check_handles(all);
  EXPECT_GT(n.curves, 300u);
  std::size_t more = 0, segments = 0;
  for (const support::Traced& t : all) {
    const support::Score s = support::score(t.truth, t.result.drawing.outlines);
    more += s.bumps, segments += s.segments;
  }
  RecordProperty("bumps", std::to_string(more));
  EXPECT_LE(double(more), 0.03 * double(segments)) << more << " in " << segments << " segments";
}

}  // namespace
}  // namespace batten
