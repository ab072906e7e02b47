// Shapes that become their own mirror image, or one another's, to the last digit of the file.
#include <gtest/gtest.h>

#include <set>

#include "batten/convert.h"
#include "batten/write.h"
#include "support/edits.h"
#include "support/pencil.h"
#include "support/shapes.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using support::count;
using support::file_units;
using support::Polyline;

/// A heart from four cubics: no published shape, only symmetric by construction; `off` moves its right half.
std::vector<Polyline> heart(double off) {
  const Point top{150, 90}, tip{150, 260};
  const auto half = [&](double sign, double more) {
    const auto p = [&](double x, double y) { return Point{150 + sign * (x - 150) + more, y}; };
    return std::vector<Cubic>{{top, p(150, 40), p(240, 20), p(250, 90)}, {p(250, 90), p(256, 150), p(190, 200), tip}};
  };
  const std::vector<Cubic> right = half(1, off), left = half(-1, 0);
  const auto turned = [](Cubic c) { return Cubic{c[3], c[2], c[1], c[0]}; };
  return {support::points_of(support::outline_from({right[0], right[1], turned(left[1]), turned(left[0])}), 0.5)};
}

void expect_mirrored(const std::string& svg) {
  for (const auto& path : testing::read_svg(svg).paths) {
    std::multiset<std::pair<long long, long long>> points;
    long long low = 1LL << 60, high = -low;
    for (const auto& contour : path.contours)
      for (const Cubic& c : contour)
        for (std::size_t k = 0; k < 3; ++k) {
          points.insert({file_units(c[k].x), file_units(c[k].y)});
          low = std::min(low, file_units(c[k].x)), high = std::max(high, file_units(c[k].x));
        }
    for (const auto& [x, y] : points)
      EXPECT_EQ(points.count({low + high - x, y}), points.count({x, y})) << "at " << x << ", " << y;
  }
}

// A mask: two eyes that are each other's image and not their own, a mouth on the axis.
std::vector<Polyline> mask() {
  const Polyline eye{{120, 100.3}, {180.4, 120}, {170, 150}, {130.2, 140}};
  Polyline other;
  for (auto p = eye.rbegin(); p != eye.rend(); ++p) other.push_back({400.5 - p->x, p->y + 0.3});
  const auto drawn = [](const Polyline& corners) { return support::points_of(support::polygon(corners), 0.5); };
  return {support::ellipse_points({200.2, 160.2}, 150, 120, 0, 0.5), drawn(eye), drawn(other),
          drawn({{160, 200}, {240.4, 200.2}, {200.3, 230}})};
}

TEST(SymmetricDrawing, ShapesAreSymmetricToTheLastDigit) {
  const Polyline a_shape{{100, 20}, {140.6, 20}, {220.3, 260}, {180, 260}, {120.4, 84}, {60, 260}, {20.5, 260}};
  const std::vector<std::vector<Polyline>> shapes{heart(0.4),
                                                  {support::points_of(support::polygon(a_shape), 0.5)},
                                                  {support::ellipse_points({200.3, 150.2}, 120, 90, 0.004, 0.5),
                                                   support::ellipse_points({200.6, 150.5}, 70, 60, 0, 0.5)},
                                                  mask(),
                                                  {support::ellipse_points({200.2, 160.2}, 150, 120, 0, 0.5),
                                                   support::ellipse_points({150.3, 130}, 30, 20, 0.02, 0.5),
                                                   support::ellipse_points({250.6, 130.3}, 30.2, 20.1, -0.02, 0.5)}};
  for (const auto& shape : shapes) {
    Options options;
    options.tolerance_px = 1;
    options.symmetry = true;
    const auto result = fit(shape, options);
    ASSERT_TRUE(result);
    EXPECT_EQ(count(*result, Edit::Kind::symmetry), 1u);
    expect_mirrored(to_svg(result->drawing));
    options.grid_px = 1;
    const auto on_grid = fit(shape, options);
    ASSERT_TRUE(on_grid);
    expect_mirrored(to_svg(on_grid->drawing));
    options.symmetry = false, options.grid_px = 0;
    const auto plain = fit(shape, options);
    ASSERT_TRUE(plain);
    EXPECT_EQ(count(*plain, Edit::Kind::symmetry), 0u) << "offered, not imposed";
  }
}

TEST(SymmetricDrawing, AShapeThatIsNotSymmetricStaysSo) {
  Options options;
  options.symmetry = true;
  const auto result = fit(heart(12), options);
  ASSERT_TRUE(result);
  EXPECT_EQ(count(*result, Edit::Kind::symmetry), 0u);
}

// Half of an outline that gives way to the image of the other half takes its straights with it: the report must not
// name what is no longer there.
TEST(SymmetricDrawing, TheReportNamesOnlyWhatIsStillThere) {
  const Outline letter_t =
      support::polygon({{60, 40}, {240, 41}, {240, 80}, {170, 80.5}, {170.5, 230}, {130, 230}, {129.5, 80}, {60, 80}});
  Options options;
  options.tolerance_px = 2;
  options.symmetry = true;
  std::size_t mirrored = 0, straightened = 0;
  for (int k = 1; k <= 5; ++k) {
    const std::string name = "t-" + std::to_string(k);
    SCOPED_TRACE(name);
    const support::GrayImage image = support::pencil_drawing(300, 270, {letter_t}, support::Hand::single, false,
                                                             support::Random("SymmetricDrawing", name));
    const auto result = convert({image.pixels.data(), image.width, image.height, image.width}, options);
    ASSERT_TRUE(result);
    support::expect_edits_hold(*result);
    mirrored += count(*result, Edit::Kind::symmetry);
    straightened += count(*result, Edit::Kind::level) + count(*result, Edit::Kind::vertical);
  }
  EXPECT_GE(mirrored, 1u) << "or nothing was tried";
  EXPECT_GE(straightened, 1u);
}

}  // namespace
}  // namespace batten
