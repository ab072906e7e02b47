// Corners decided by the ink, on drawings whose outlines are known by construction. Lengths in band widths W: what the
// eye can tell in a band depends on its width, not on px.
#include "corners/weigh_corners.h"

#include <gtest/gtest.h>

#include <cmath>

#include "api/pixel_pipeline.h"
#include "base/pixel_grid.h"
#include "support/pencil.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Hand;

struct Read {
  SpacedLoops loops;
  Corners proposed, weighed;
  Plane<float> ink;
};

Read read(const std::vector<Outline>& drawn, Hand hand, int number, int size = 460) {
  const support::GrayImage image =
      support::pencil_drawing(size, size, drawn, hand, false, support::Random("WeighCorners", name_of(hand), number));
  Options options;
  options.tolerance_px = 2;
  const Job job;
  std::vector<Finding> findings;
  const ImageView view{image.pixels.data(), image.width, image.height, image.width, PixelFormat::gray8};
  auto loops = loops_from_pixels(view, options, job, findings);
  EXPECT_TRUE(loops.ok()) << loops.error().message;
  Read out;
  Progress progress(job, Stage::corners, 0, 1);
  out.loops = *space_loops(*loops, options, progress);
  out.proposed = *find_corners(out.loops, loops->ink, loops->ink_noise, progress);
  out.weighed = *weigh_corners(out.loops, out.proposed, loops->ink, progress);
  out.ink = std::move(loops->ink);
  return out;
}

std::vector<Corner> accepted(const Read& r) {
  std::vector<Corner> out;
  for (const auto& loop : r.weighed.of_loop)
    for (const Corner& c : loop)
      if (c.accepted) out.push_back(c);
  return out;
}

double nearest(const std::vector<Corner>& corners, Point p) {
  double best = 1e9;
  for (const Corner& c : corners) best = std::min(best, distance(c.apex, p));
  return best;
}

double band_of(Hand hand, int number) {
  return read({support::circle({230, 230}, 150, 4, support::standard_handle(4))}, hand, number)
      .loops.loops.at(0)
      .band_px;
}

std::vector<Point> turned(std::vector<Point> points, double deg, Point about = {230, 230}) {
  for (Point& p : points) {
    const Point d = p - about, t = direction(radians(deg));
    p = about + Point{d.x * t.x - d.y * t.y, d.x * t.y + d.y * t.x};
  }
  return points;
}

TEST(WeighCorners, FourPlainCornersAndNoMore) {
  const auto square = turned({{80, 80}, {380, 80}, {380, 380}, {80, 380}}, 11);
  int lost = 0;
  for (const Hand hand : {Hand::single, Hand::multistroke, Hand::loose})
    for (int number = 0; number < 3; ++number) {
      const Read r = read({support::polygon(square)}, hand, number);
      const double w = r.loops.loops.at(0).band_px;
      EXPECT_LE(accepted(r).size(), 4u) << name_of(hand) << " " << number;
      for (Point p : square) lost += nearest(accepted(r), p) > 0.6 * w;
    }
  // One of these 36 corners was drawn by two strokes that end apart, cut off like the corner of an envelope.
  EXPECT_LE(lost, 1);
}

TEST(WeighCorners, ASideOfOneAndAHalfBandsKeepsItsTwoCorners) {
  int right = 0, places = 0;
  double worst = 0;
  for (const Hand hand : {Hand::single, Hand::multistroke})
    for (int number = 0; number < 4; ++number) {
      const double w = band_of(hand, number);
      // A step in a long side. (The end of a narrow tongue would be no test of corners: its two walls fuse.)
      const double s = 1.5 * w;
      const auto step = turned({{90, 90}, {250, 90}, {250, 90 + s}, {380, 90 + s}, {380, 370}, {90, 370}}, 7);
      const Read r = read({support::polygon(step)}, hand, number);
      places += 2;
      for (int k : {1, 2}) {
        const double off = nearest(accepted(r), step[std::size_t(k)]);
        right += off < 0.6 * w;
        worst = std::max(worst, off / w);
      }
    }
  EXPECT_GE(right, places - 2) << "of " << places << ", worst " << worst << " W";
}

TEST(WeighCorners, AcuteTipsLieOnTheTip) {
  for (const Hand hand : {Hand::single, Hand::multistroke, Hand::loose})
    for (int number = 0; number < 3; ++number) {
      // Inner angle 30 degrees: the direction turns by 150.
      const double half = radians(15), length = 330;
      const auto wedge = turned({{60, 230},
                                 {60 + length * std::cos(half), 230 - length * std::sin(half)},
                                 {60 + length * std::cos(half), 230 + length * std::sin(half)}},
                                20);
      const Read r = read({support::polygon(wedge)}, hand, number);
      const double w = r.loops.loops.at(0).band_px;
      EXPECT_LT(nearest(accepted(r), wedge[0]), 0.6 * w) << name_of(hand) << " " << number;
      EXPECT_EQ(accepted(r).size(), 3u) << name_of(hand) << " " << number;
    }
}

Outline rounded_square(double radius) {
  const double a = 80, b = 380, k = radius * (1 - support::standard_handle(4));
  const auto line = [](Point p, Point q) { return Cubic{p, p, q, q}; };
  return support::outline_from({
      line({a + radius, a}, {b - radius, a}),
      {Point{b - radius, a}, {b - k, a}, {b, a + k}, {b, a + radius}},
      line({b, a + radius}, {b, b - radius}),
      {Point{b, b - radius}, {b, b - k}, {b - k, b}, {b - radius, b}},
      line({b - radius, b}, {a + radius, b}),
      {Point{a + radius, b}, {a + k, b}, {a, b - k}, {a, b - radius}},
      line({a, b - radius}, {a, a + radius}),
      {Point{a, a + radius}, {a, a + k}, {a + k, a}, {a + radius, a}},
  });
}

TEST(WeighCorners, RoundsAreNotCorners) {
  int called = 0, rounds = 0;
  for (const Hand hand : {Hand::single, Hand::multistroke})
    for (int number = 0; number < 4; ++number) {
      const double w = band_of(hand, number);
      const Read r = read({rounded_square(2 * w)}, hand, number);
      called += int(accepted(r).size()), rounds += 4;
      EXPECT_TRUE(accepted(read({rounded_square(5 * w)}, hand, number)).empty()) << name_of(hand) << " " << number;
    }
  EXPECT_LE(called, rounds / 8) << "of " << rounds << " rounds of two bands' radius";
}

// Where the two bands of a notch have fused, the loop turns back long before its tip, and another side of the drawing
// may pass nearer to the tip than the loop does. The ink there belongs to the notch all the same.
TEST(WeighCorners, ANotchEndsAtItsTipAlsoBesideAnotherSide) {
  double worst = 0;
  for (const Hand hand : {Hand::multistroke, Hand::loose})
    for (int number = 0; number < 4; ++number) {
      const double w = band_of(hand, number), reach = 250, half = radians(11);
      const Point tip{170, 200};
      const Point upper = tip + reach * Point{std::cos(half), -std::sin(half)},
                  lower = tip + reach * Point{std::cos(half), std::sin(half)};
      const double below = tip.y + 1.5 * w;
      const auto notched = turned({{60, 80},
                                   {upper.x, 80},
                                   upper,
                                   tip,
                                   lower,
                                   {lower.x, lower.y + 3 * w},
                                   {tip.x + 3 * w, below + w},
                                   {60, below}},
                                  8);
      const Read r = read({support::polygon(notched)}, hand, number);
      const double off = nearest(accepted(r), notched[3]) / r.loops.loops.at(0).band_px;
      worst = std::max(worst, off);
      EXPECT_LT(off, 1) << name_of(hand) << " " << number;
    }
  EXPECT_LT(worst, 0.8) << "widths";
}

Outline foot(double w) {
  // A stem runs through a round of one band's radius into a short rise that ends in a corner.
  const double k = w * (1 - support::standard_handle(4));
  const Point corner{200 + 2.2 * w, 330 - 0.9 * w};
  const auto line = [](Point p, Point q) { return Cubic{p, p, q, q}; };
  const Point start{200, 330 - w}, bottom{200 + w, 330};
  const Point low = corner + Point{80, 95};
  return support::outline_from({line({380, 80}, {380, low.y}),
                                line({380, low.y}, low),
                                line(low, corner),
                                {corner, corner + Point{-0.5 * w, 0.6 * w}, bottom + Point{0.4 * w, 0}, bottom},
                                {bottom, {200 + k, 330}, {200, 330 - k}, start},
                                line(start, {200, 80}),
                                line({200, 80}, {380, 80})});
}

TEST(WeighCorners, ACornerBesideATightRoundIsOne) {
  int lost = 0, places = 0;
  for (const Hand hand : {Hand::single, Hand::multistroke})
    for (int number = 0; number < 4; ++number) {
      const double w = band_of(hand, number);
      const Outline drawn = foot(w);
      const Read r = read({drawn}, hand, number);
      ++places;
      lost += nearest(accepted(r), {200 + 2.2 * w, 330 - 0.9 * w}) > 0.6 * w;
    }
  EXPECT_LE(lost, 2) << "of " << places;
}

TEST(WeighCorners, NoCornerLiesWhereThereIsNoInk) {
  for (int number = 0; number < 3; ++number) {
    // Two sides that meet at 12 degrees: where the arms cross is badly known.
    const auto needle = turned({{50, 230}, {400, 195}, {400, 265}}, -30);
    for (const Hand hand : {Hand::single, Hand::multistroke, Hand::shaded}) {
      const Read r = read({support::polygon(needle)}, hand, number);
      EXPECT_GE(accepted(r).size(), 2u) << name_of(hand) << " " << number << ": the two at the far end are plain";
      for (const Corner& c : accepted(r)) {
        double most = 0;
        const double w = std::max(3.0, r.loops.loops.at(0).band_px);
        for (double y = -w; y <= w; ++y)
          for (double x = -w; x <= w; ++x)
            if (std::hypot(x, y) <= w) most = std::max<double>(most, sample_page(r.ink, c.apex + Point{x, y}));
        EXPECT_GT(most, 0.1) << name_of(hand) << " " << number << " at " << c.apex.x << ", " << c.apex.y;
      }
    }
  }
}

TEST(WeighCorners, CrispShapesKeepCornersOfAShortSideApart) {
  const auto step = turned({{90, 90}, {250, 90}, {250, 98}, {380, 98}, {380, 370}, {90, 370}}, 7);
  const Read r = read({support::polygon(step)}, Hand::clean, 0);
  ASSERT_EQ(accepted(r).size(), step.size());
  for (Point p : step) EXPECT_LT(nearest(accepted(r), p), 0.5);
}

TEST(WeighCorners, WithoutInkNothingChanges) {
  Read r = read({support::polygon({{80, 80}, {380, 90}, {200, 380}})}, Hand::multistroke, 0);
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const auto same = weigh_corners(r.loops, r.proposed, {}, progress);
  ASSERT_TRUE(same.ok());
  ASSERT_EQ(same->of_loop.size(), 1u);
  ASSERT_EQ(same->of_loop[0].size(), r.proposed.of_loop[0].size());
  ASSERT_GE(same->of_loop[0].size(), 3u) << "the triangle's corners";
  for (std::size_t i = 0; i < same->of_loop[0].size(); ++i) {
    EXPECT_EQ(same->of_loop[0][i].apex, r.proposed.of_loop[0][i].apex);
    EXPECT_EQ(same->of_loop[0][i].accepted, r.proposed.of_loop[0][i].accepted);
    EXPECT_FALSE(same->of_loop[0][i].weighed());
  }
}

TEST(WeighCorners, StopsWhenAsked) {
  Read r = read({support::polygon({{80, 80}, {380, 90}, {200, 380}})}, Hand::multistroke, 0);
  std::stop_source stop;
  stop.request_stop();
  Job job;
  job.stop = stop.get_token();
  Progress progress(job, Stage::corners, 0, 1);
  const auto stopped = weigh_corners(r.loops, r.proposed, r.ink, progress);
  ASSERT_FALSE(stopped.ok());
  EXPECT_EQ(stopped.error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace batten
