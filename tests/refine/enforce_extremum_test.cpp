#include "refine/enforce_extremum.h"

#include <gtest/gtest.h>

#include "support/drafts.h"
#include "support/random.h"

namespace batten {
namespace {

const Point centre{200, 150};

struct Boxed {
  SpacedLoop loop;
  DraftLoop draft;
  std::stop_token stop;

  void run() {
    const EditContext c{loop, true, stop};
    for (int pass = 0; pass < 4; ++pass)
      for (std::size_t i = 0; i < draft.size(); ++i) enforce_extremum(c, &draft, i);
  }
  double error_px() const { return local_error(loop, draft, Window::all(draft)).max_px; }
  double deepest_px() const {
    double most = 0;
    for (std::size_t i = 0; i < draft.size(); ++i) most = std::max(most, poke(cubic_of(draft, i)).depth_px);
    return most;
  }
  const DraftNode* at(Reason reason) const {
    for (const DraftNode& j : draft.nodes)
      if (j.reason == reason) return &j;
    return nullptr;
  }
  int straights() const {
    return int(
        std::count_if(draft.segments.begin(), draft.segments.end(), [](const DraftSegment& p) { return p.straight; }));
  }
};

// A loop of a pencil band 12 px wide, `drawn` the truth, `drafted` what was made of it so far.
Boxed band(const Outline& drawn, const Outline& drafted) {
  Boxed b{support::exact_loop(support::points_of(drawn, 0.1), 3), {}, {}};
  b.loop.band_px = b.loop.scale_px = 12, b.loop.sigma_px = 1;
  b.draft = support::draft_of(b.loop, drafted);
  return b;
}

Point on_circle(double radius, double deg) {
  return centre + radius * Point{std::cos(radians(deg)), std::sin(radians(deg))};
}

// One cubic for an arc, by the usual handles.
Cubic arc(double radius, double from_deg, double to_deg) {
  const double k = 4.0 / 3 * std::tan(radians(to_deg - from_deg) / 4) * radius;
  const Point p = on_circle(radius, from_deg), q = on_circle(radius, to_deg);
  return {p, p + k * direction(radians(from_deg + 90)), q - k * direction(radians(to_deg + 90)), q};
}

Cubic line(Point p, Point q) { return {p, p, q, q}; }

TEST(EnforceExtremum, AnExtremeWithoutANodeGetsOne) {
  const Outline circle = support::circle(centre, 100, 3, support::standard_handle(3), 1, 0.4);
  Boxed b{support::exact_loop(support::circle_points(centre, 100, 0.1), 0.5), {}, {}};
  b.draft = support::draft_of(b.loop, circle);
  for (DraftNode& j : b.draft.nodes) j.reason = Reason::added;
  ASSERT_GE(b.deepest_px(), 1);
  b.run();
  EXPECT_LT(b.deepest_px(), 0.21);
  EXPECT_LE(b.error_px(), 0.5);
}

// The rightmost place lies 12.6 px before the end of a long straight: too near for two nodes a band apart.
TEST(EnforceExtremum, AStraightLeavesRoomForTheExtremeBesideIt) {
  const Point join = on_circle(60, 12), far = join + 150.0 * direction(radians(102));
  const Outline drawn =
      support::outline_from({arc(60, -90, 12), line(join, far), line(far, on_circle(60, 180)), arc(60, 180, 270)});
  Boxed b = band(drawn, drawn);
  ASSERT_GT(b.deepest_px(), 1);
  b.run();
  EXPECT_LT(b.deepest_px(), 0.21);
  EXPECT_LE(b.error_px(), 3);
  const DraftNode* right = b.at(Reason::extreme_right);
  ASSERT_TRUE(right);
  EXPECT_LT(distance(right->at, on_circle(60, 0)), 2);
  EXPECT_NEAR(std::abs(wrap_angle(right->angle)), pi / 2, 1e-12);
  EXPECT_EQ(b.straights(), 2) << "what is straight stays so";
}

TEST(EnforceExtremum, AStraightThatIsNoneEndsAtTheExtremeAsACurve) {
  const Outline drawn = support::circle(centre, 60, 4, support::standard_handle(4));
  const Point p = on_circle(60, 2), q = on_circle(60, 16);
  Boxed b = band(drawn, support::outline_from({arc(60, -90, 2), line(p, q), arc(60, 16, 180), arc(60, 180, 270)}));
  for (DraftNode& j : b.draft.nodes)
    if (j.corner) j.corner = false, j.reason = Reason::straight_end;  // its ends turn by 7 degrees
  settle_angles(&b.draft);
  ASSERT_GT(b.deepest_px(), 0.4);
  const std::size_t nodes = b.draft.size();
  b.run();
  EXPECT_LT(b.deepest_px(), 0.21);
  EXPECT_EQ(b.straights(), 0);
  EXPECT_LE(b.draft.size(), nodes + 1) << "at most the one at the bottom, which had none either";
  ASSERT_TRUE(b.at(Reason::extreme_right));
  EXPECT_LT(distance(b.at(Reason::extreme_right)->at, on_circle(60, 0)), 3);
}

TEST(EnforceExtremum, ANodeIsAnExtremeOnlyIfTheOutlineTurnsBackThere) {
  // Wavering loops, whose drafts are led by their straights: where a node was set, it must be where it says.
  support::Random r("EnforceExtremum", "turns back");
  int set = 0;
  for (int k = 0; k < 60; ++k) {
    const double end = r.uniform(4, 40), half = r.uniform(20, 60);
    const Point join = on_circle(60, end), far = join + 90.0 * direction(radians(90 + end));
    Boxed b = band(
        support::outline_from({arc(60, -90, end), line(join, far), line(far, on_circle(60, 180)), arc(60, 180, 270)}),
        support::outline_from({arc(60, -90, end), line(join, far), line(far, on_circle(60, 180)), arc(60, 180, 270)}));
    for (std::size_t i = 0; i < b.loop.curve.size(); ++i)
      b.loop.curve.points[i].x += 2.5 * std::sin(double(i) * b.loop.curve.step_px / half + double(k));
    b.run();
    for (std::size_t i = 0; i < b.draft.size(); ++i) {
      const DraftNode& j = b.draft.nodes[i];
      if (j.reason != Reason::extreme_right) continue;
      ++set;
      EXPECT_LT(evaluate(cubic_of(b.draft, b.draft.previous(i)), 0.75).x, j.at.x + 0.2) << k;
      EXPECT_LT(evaluate(cubic_of(b.draft, i), 0.25).x, j.at.x + 0.2) << k;
    }
  }
  EXPECT_GT(set, 30);
}

}  // namespace
}  // namespace batten
