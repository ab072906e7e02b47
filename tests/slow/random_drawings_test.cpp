// What is promised, on drawings nobody drew: rounds, polygons and both in one, with and without counters, from a seed
// that is printed. BATTEN_DRAWINGS says how many (40), BATTEN_SEED where they begin (1).

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <numbers>
#include <set>

#include "batten/files.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "support/random.h"
#include "support/scratch.h"
#include "support/shapes.h"

namespace batten {
namespace {

using support::Random;
using Loop = std::vector<Point>;
using Map = std::function<Point(Point)>;

// A ring of radii: waves of a few lengths, or corners with straights between them, or the one on one side and the other
// on the other.
Loop random_ring(Random& random, Point centre, double size) {
  const int kind = random.below(3), corners = 3 + random.below(6);
  double wave[6], phase[6];
  for (int k = 2; k < 6; ++k) wave[k] = random.uniform(0, 0.24 / k), phase[k] = random.uniform(0, 2 * std::numbers::pi);
  std::vector<Point> vertices;
  const double turn = random.uniform(0, 2 * std::numbers::pi);
  for (int i = 0; i < corners; ++i) {
    const double angle = turn + 2 * std::numbers::pi * (i + random.uniform(-0.25, 0.25)) / corners;
    vertices.push_back(random.uniform(0.55, 1) * size * Point{std::cos(angle), std::sin(angle)});
  }
  const auto round = [&](double angle) {
    double r = 0.75;
    for (int k = 2; k < 6; ++k) r += wave[k] * std::cos(k * angle + phase[k]);
    return r * size * Point{std::cos(angle), std::sin(angle)};
  };
  Loop coarse;
  for (int i = 0; i < 720; ++i) {
    const double angle = i * std::numbers::pi / 360;
    if (kind == 0 || (kind == 2 && i < 360)) coarse.push_back(round(angle));
  }
  if (kind == 1) coarse = vertices;
  if (kind == 2)
    coarse.push_back(-0.6 * size * Point{1, 0} + 0.5 * size * Point{0, -1}),
        coarse.push_back({0.5 * size, -0.6 * size});
  Loop out;
  for (std::size_t i = 0; i < coarse.size(); ++i) {
    const Point a = coarse[i], b = coarse[(i + 1) % coarse.size()];
    const double steps = std::max(1.0, std::ceil(std::hypot(b.x - a.x, b.y - a.y) / 0.5));
    for (double k = 0; k < steps; ++k) out.push_back(centre + a + (k / steps) * (b - a));
  }
  return out;
}

std::vector<Loop> random_drawing(Random& random) {
  std::vector<Loop> loops;
  const int shapes = 1 + random.below(3);
  for (int i = 0; i < shapes; ++i) {
    const double size = random.uniform(40, 180);
    const Point centre{220 + 450.0 * i, 220};
    loops.push_back(random_ring(random, centre, size));
    if (random.below(2) == 0) continue;
    Loop counter = random_ring(random, centre, 0.25 * size);
    std::reverse(counter.begin(), counter.end());
    loops.push_back(std::move(counter));
  }
  return loops;
}

std::size_t count_of(const Conversion& c, Finding::What what, int outline) {
  return std::size_t(std::count_if(c.report.findings.begin(), c.report.findings.end(),
                                   [&](const Finding& f) { return f.what == what && f.outline == outline; }));
}

class RandomDrawings : public ::testing::Test {
 protected:
  static int setting(const char* name, int otherwise) {
    const char* text = std::getenv(name);
    return text ? std::atoi(text) : otherwise;
  }
  // Calls `each` with every drawing and a tolerance, and names the seed where it fails.
  template <class Each>
  void for_each(Each each) {
    const int first = setting("BATTEN_SEED", 1), count = setting("BATTEN_DRAWINGS", 40);
    for (int seed = first; seed < first + count && !HasFatalFailure(); ++seed) {
      SCOPED_TRACE("seed " + std::to_string(seed));
      Random random("RandomDrawings", "drawing", std::uint64_t(seed));
      const std::vector<Loop> loops = random_drawing(random);
      each(loops, (const double[]){0.5, 1, 2}[seed % 3]);
    }
  }
};

TEST_F(RandomDrawings, KeepEveryPromise) {
  std::size_t outlines = 0, axis_handles = 0, exceeded = 0;
  const testing::Scratch scratch;
  for_each([&](const std::vector<Loop>& loops, double tolerance) {
    const auto made = fit(loops, {.tolerance_px = tolerance});
    ASSERT_TRUE(made) << made.error().message;
    ASSERT_EQ(made->drawing.outlines.size(), loops.size());
    std::size_t segments = 0;
    for (std::size_t i = 0; i < loops.size(); ++i) {
      const Outline& o = made->drawing.outlines[i];
      EXPECT_TRUE(o.closed);
      segments += o.segment_count();
      EXPECT_EQ(o.segment_count(), o.nodes.size());
      const bool counter = signed_area_px2(o) < 0;
      EXPECT_EQ(counter, o.parent >= 0);
      if (counter) {
        EXPECT_EQ(o.parent, int(i) - 1);
      }
      if (count_of(*made, Finding::What::tolerance_exceeded, int(i)) > 0)
        ++exceeded;
      else
        EXPECT_LE(made->report.outlines[i].max_px, std::max(tolerance, made->report.outlines[i].limit_px) + 1e-6);
      if (crosses_itself(o)) {
        EXPECT_EQ(count_of(*made, Finding::What::crossing_outline, int(i)), 1u);
      }
      for (const Node& n : o.nodes) {
        const bool upright = n.reason == Reason::extreme_left || n.reason == Reason::extreme_right;
        const bool level = n.reason == Reason::extreme_top || n.reason == Reason::extreme_bottom;
        if (upright) {
          EXPECT_TRUE(n.handle_before.x == n.at.x && n.handle_after.x == n.at.x);
        }
        if (level) {
          EXPECT_TRUE(n.handle_before.y == n.at.y && n.handle_after.y == n.at.y);
        }
        axis_handles += upright || level;
      }
      ++outlines;
    }
    EXPECT_EQ(segments, made->report.segments);
    Drawing sheet = made->drawing;
    sheet.width_px = 1400, sheet.height_px = 440;
    const auto file = read_outlines(scratch.put("a.svg", to_svg(sheet)));
    ASSERT_TRUE(file) << file.error().message;
    std::size_t in_file = 0;
    for (const Outline& o : file->drawing.outlines) in_file += o.segment_count();
    EXPECT_EQ(in_file, segments) << "the report agrees with the file";
  });
  std::printf("%zu outlines, %zu handles on an axis, %zu over the tolerance and reported\n", outlines, axis_handles,
              exceeded);
  EXPECT_LE(exceeded * 50, outlines) << "at most one in fifty";
}

TEST_F(RandomDrawings, ALooserToleranceGivesNoMoreSegments) {
  std::size_t pairs = 0, more = 0;
  for_each([&](const std::vector<Loop>& loops, double tolerance) {
    const auto fine = fit(loops, {.tolerance_px = tolerance}), loose = fit(loops, {.tolerance_px = 2 * tolerance});
    ASSERT_TRUE(fine && loose);
    for (std::size_t i = 0; i < loops.size(); ++i) {
      ++pairs;
      if (loose->report.outlines[i].segments > fine->report.outlines[i].segments) ++more;
    }
  });
  std::printf("%zu pairs, %zu with more segments at twice the tolerance\n", pairs, more);
  // None is what is wanted; 5 of 173 was measured: the fewest segments are found by search, not by proof.
  EXPECT_LE(more * 100, 5 * pairs);
}

// The same drawing turned, mirrored or moved has the same outline within 0.05 px and as many nodes: of 173 outlines
// 162, 170 and 170 were measured, and 172 with as many nodes. A doubled one, at twice the tolerance, is seen at twice
// the resolution: the windows by which corners and straights are found are in px of the scan, as its noise is, so that
// other corners are found. 126 of 173 had as many nodes.
TEST_F(RandomDrawings, TheSameDrawingHasTheSameOutline) {
  const struct {
    const char* name;
    Map map;
    double scale;
    std::size_t least_percent, least_percent_as_many;
  } maps[] = {{"turned",
               [](Point p) {
                 return Point{600 - p.y, p.x};
               },
               1, 90, 97},
              {"mirrored",
               [](Point p) {
                 return Point{1500 - p.x, p.y};
               },
               1, 95, 97},
              {"moved",
               [](Point p) {
                 return Point{p.x + 137, p.y + 41};
               },
               1, 95, 97},
              {"doubled", [](Point p) { return 2 * p; }, 2, 0, 60}};
  for (const auto& [name, map, scale, least_percent, least_percent_as_many] : maps) {
    std::size_t all = 0, same = 0, as_many = 0;
    for_each([&, &map = map, scale = scale](const std::vector<Loop>& loops, double tolerance) {
      std::vector<Loop> mapped = loops;
      for (Loop& loop : mapped)
        for (Point& p : loop) p = map(p);
      const auto plain = fit(loops, {.tolerance_px = tolerance}),
                 other = fit(mapped, {.tolerance_px = scale * tolerance});
      ASSERT_TRUE(plain && other);
      for (std::size_t i = 0; i < loops.size(); ++i) {
        const Outline& o = plain->drawing.outlines[i];
        Loop points;
        for (std::size_t k = 0; k < o.segment_count(); ++k) {
          const Cubic c = o.segment(k);
          for (double t = 0; t < 1; t += 1.0 / 64) {
            const double s = 1 - t;
            points.push_back(map(s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]));
          }
        }
        ++all;
        as_many += other->drawing.outlines[i].nodes.size() == o.nodes.size();
        same += other->drawing.outlines[i].nodes.size() == o.nodes.size() &&
                measure(other->drawing.outlines[i], points, 0.25).max_px <= 0.05 * scale + 0.02;
      }
    });
    std::printf("%s: of %zu outlines %zu have as many nodes, %zu are the same\n", name, all, as_many, same);
    EXPECT_GE(same * 100, least_percent * all) << name;
    EXPECT_GE(as_many * 100, least_percent_as_many * all) << name;
  }
}

}  // namespace
}  // namespace batten
