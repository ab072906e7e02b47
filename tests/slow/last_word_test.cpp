// The last word on what is delivered, by code of this file alone: the written SVG is read back and held against the
// located lines, both ways, every sample against every edge. No outline lies farther off than the larger of its limit
// and 2 px but at the tips that the report lists, and none crosses itself.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "batten/files.h"
#include "batten/write.h"
#include "support/many_drawings.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using Line = std::vector<Point>;

double squared_to_edge(Point p, Point a, Point b) {
  const Point d = b - a, v = p - a;
  const double dd = d.x * d.x + d.y * d.y, f = dd > 0 ? std::clamp((d.x * v.x + d.y * v.y) / dd, 0.0, 1.0) : 0;
  return (v.x - f * d.x) * (v.x - f * d.x) + (v.y - f * d.y) * (v.y - f * d.y);
}

double off_px(Point p, const Line& line, bool closed) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + (closed ? 0 : 1) < line.size(); ++i)
    best = std::min(best, squared_to_edge(p, line[i], line[(i + 1) % line.size()]));
  return std::sqrt(best);
}

Line samples_of(const std::vector<Cubic>& contour, bool closed) {
  Line out;
  for (const Cubic& c : contour) {
    const double chord = std::hypot(c[3].x - c[0].x, c[3].y - c[0].y);
    const int n = std::clamp(int(2 * chord), 8, 4000);
    for (int k = 0; k < n; ++k) {
      const double t = double(k) / n, s = 1 - t;
      out.push_back(s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3]);
    }
  }
  if (!closed) out.push_back(contour.back()[3]);
  return out;
}

double length_of(const Line& line) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i)
    sum += std::hypot(line[i + 1].x - line[i].x, line[i + 1].y - line[i].y);
  return sum;
}

bool crosses(Point a, Point b, Point c, Point d) {
  const auto side = [](Point o, Point p, Point q) { return (p.x - o.x) * (q.y - o.y) - (p.y - o.y) * (q.x - o.x); };
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

bool crosses_itself_here(const Line& p) {
  for (std::size_t i = 0; i < p.size(); ++i)
    for (std::size_t k = i + 2; k < p.size(); ++k) {
      if (i == 0 && k + 1 == p.size()) continue;
      const Point a = p[i], b = p[i + 1], c = p[k], d = p[(k + 1) % p.size()];
      if (std::max(a.x, b.x) < std::min(c.x, d.x) || std::max(c.x, d.x) < std::min(a.x, b.x) ||
          std::max(a.y, b.y) < std::min(c.y, d.y) || std::max(c.y, d.y) < std::min(a.y, b.y))
        continue;
      if (crosses(a, b, c, d)) return true;
    }
  return false;
}

// The delivered contour that is outline i: the one with the same nodes.
const std::vector<Cubic>* delivered(const testing::Svg& svg, const Outline& o) {
  constexpr double rounded_px = 0.002;  // the file is rounded to thousandths
  const auto is_same = [&](const std::vector<Cubic>& contour) {
    if (contour.size() != o.segment_count()) return false;
    for (std::size_t i = 0; i < contour.size(); ++i) {
      const Cubic c = o.segment(i);
      for (std::size_t k = 0; k < 4; ++k)
        if (std::hypot(c[k].x - contour[i][k].x, c[k].y - contour[i][k].y) > rounded_px) return false;
    }
    return true;
  };
  for (const testing::SvgPath& path : svg.paths)
    for (const auto& contour : path.contours)
      if (is_same(contour)) return &contour;
  return nullptr;
}

struct Seen {
  std::size_t outlines = 0, tips = 0, straights_over = 0, long_together = 0;
};

// A straight is held to 1.4 times what the line can tell: a long stem wavers more than that says.
constexpr double straights = 1.4;
constexpr double rounding_px = 0.1;  // of samples and of the file

void check(const Conversion& c, const std::string& name, Seen* seen) {
  const testing::Svg svg = testing::read_svg(to_svg(c.drawing));
  for (std::size_t i = 0; i < c.drawing.outlines.size(); ++i) {
    const Outline& o = c.drawing.outlines[i];
    const OutlineReport& r = c.report.outlines[i];
    const std::string where = name + ", outline " + std::to_string(i);
    const std::vector<Cubic>* contour = delivered(svg, o);
    ASSERT_NE(contour, nullptr) << where << " is not in the file";
    const Line line = samples_of(*contour, o.closed);
    const double around_px = length_of(line), limit_px = std::max(r.limit_px, 2.0), band_px = std::max(o.band_px, 2.0);
    const bool has_straight =
        std::any_of(contour->begin(), contour->end(), [](const Cubic& s) { return s[1] == s[0] && s[2] == s[3]; });
    const double allowed_px = limit_px * (has_straight ? straights : 1) + rounding_px;
    double together_px = 0;
    for (const Tip& tip : r.tips) {
      ASSERT_LT(tip.node, o.nodes.size()) << where;
      EXPECT_LE(tip.length_px, 3 * band_px + rounding_px) << where;
      together_px += tip.length_px;
    }
    // What is stated of a tip may lie within its own length and a band of it.
    const auto is_stated = [&](Point p) {
      return std::any_of(r.tips.begin(), r.tips.end(), [&](const Tip& tip) {
        const Point at = o.nodes[tip.node].at;
        return std::hypot(p.x - at.x, p.y - at.y) <= tip.along_px + 2 * band_px;
      });
    };
    double worst = 0;
    Point at;
    const auto hold = [&](const Line& from, const Line& to) {
      for (const Point p : from)
        if (const double off = off_px(p, to, o.closed); off > worst && !is_stated(p)) worst = off, at = p;
    };
    hold(line, r.located), hold(r.located, line);
    EXPECT_LE(worst, allowed_px) << where << " at (" << at.x << ", " << at.y << "), limit " << r.limit_px;
    seen->long_together += together_px > std::max(0.05 * around_px, band_px) + rounding_px;
    if (o.closed) {
      EXPECT_FALSE(crosses_itself_here(line)) << where;
    }
    ++seen->outlines, seen->tips += r.tips.size(), seen->straights_over += worst > limit_px + rounding_px;
  }
}

TEST(LastWord, OnLettersDrawnInPencil) {
  Seen seen;
  for (const support::Traced& t : support::pencil_glyphs(U"aR", {1, 3})) check(t.result, t.name, &seen);
  RecordProperty("tips", std::to_string(seen.tips));
  RecordProperty("straights_over", std::to_string(seen.straights_over));
  EXPECT_GT(seen.outlines, 40u);
  EXPECT_GT(seen.tips, 0u) << "nothing rounded";
  EXPECT_LT(seen.straights_over, seen.outlines / 5) << "few straights waver as much as they may";
  EXPECT_EQ(seen.long_together, 0u) << "tips are a twentieth of an outline at most, or a band of a short one";
}

TEST(LastWord, OnAPageAndOnARealDrawing) {
  for (const char* file : {"/quombe-sheet.png", "/hdbpmn-ex00-writer0025.jpg"}) {
    const Result<Picture> picture = read_picture(BATTEN_DATA_DIR + std::string(file));
    ASSERT_TRUE(picture.ok());
    const Result<Conversion> made = convert(picture->view(), {.threads = 2});
    ASSERT_TRUE(made.ok());
    Seen seen;
    check(*made, file, &seen);
    EXPECT_GT(seen.outlines, 5u);
    EXPECT_LE(seen.long_together, seen.outlines / 20) << "where two corners of writing lie a band apart";
  }
}

}  // namespace
}  // namespace batten
