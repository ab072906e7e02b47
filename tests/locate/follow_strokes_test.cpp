#include "locate/follow_strokes.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "locate/locate_band.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

constexpr double two_pi = 6.283185307179586;

Profiles empty_profiles(int rows) {
  Profiles p;
  p.half = 24, p.step_px = 0.5;
  p.values = Plane<float>(2 * p.half + 1, rows);
  return p;
}

// A stroke 4 px wide whose middle runs along `middle(row)`.
template <class Middle>
void add_stroke(Profiles* p, double darkness, const Middle& middle) {
  for (int i = 0; i < p->values.height; ++i)
    for (int j = 0; j < p->values.width; ++j) {
      const double u = (p->offset(j) - middle(i)) / 2;
      p->values.row(i)[j] += float(darkness * std::exp(-u * u));
    }
}

TEST(StrokeSlopes, AreThoseOfTheStrokesWhereverTheyLie) {
  for (const double tilt : {0., 0.5, 1.5}) {
    Profiles p = empty_profiles(400);
    const auto wave = [&](int i) { return tilt * std::sin(two_pi * i / 400); };
    add_stroke(&p, 0.3, [&](int i) { return wave(i) - 2.5; });
    add_stroke(&p, 0.6, [&](int i) { return wave(i) + 3.3; });
    const std::vector<double> slopes = stroke_slopes(p, 1, 3);
    for (int i = 0; i < 400; ++i)
      EXPECT_NEAR(slopes[std::size_t(i)], tilt * two_pi / 400 * std::cos(two_pi * i / 400), 1e-3);
  }
}

TEST(StrokeSlopes, AStrokeThatBeginsHasNone) {
  Profiles p = empty_profiles(400);
  add_stroke(&p, 0.5, [](int) { return -2.; });
  Profiles other = empty_profiles(400);
  add_stroke(&other, 0.5, [](int) { return 4.; });
  for (int i = 0; i < 200; ++i)  // the second one over half of the way, with soft ends
    for (int j = 0; j < p.values.width; ++j)
      p.values.row(i)[j] += float(std::min(1., std::min(i, 199 - i) / 12.)) * other.values.row(i)[j];
  for (const double slope : stroke_slopes(p, 1, 3)) EXPECT_LT(std::abs(slope), 0.06);
}

TEST(StrokeSlopes, PaperHasNone) {
  for (const double slope : stroke_slopes(empty_profiles(50), 1, 3)) EXPECT_EQ(slope, 0);
}

// The closed form: a wave of middles passes by 1 / (1 + (reach k)^2), one of slopes by (reach k)^2 / (1 + (reach k)^2)
// of the line they belong to, k the wave number; on a grid k^2 is 2 - 2 cos k.
TEST(FollowSlopes, LongWavesComeFromTheMiddlesShortOnesFromTheSlopes) {
  const int n = 600;
  for (const int waves : {1, 3, 10, 40}) {
    const double k = two_pi * waves / n, reach = 60, k2 = 2 - 2 * std::cos(k),
                 share = reach * reach * k2 / (1 + reach * reach * k2);
    std::vector<double> wave(n), slopes(n), none(n), linked(n, 1);
    for (int i = 0; i < n; ++i) wave[std::size_t(i)] = std::sin(k * i);
    const std::vector<double> middles = follow_slopes(wave, none, linked, 1, reach);
    // Slopes whose mean over a step is exactly the step of the wave.
    for (int i = 0; i < n; ++i) slopes[std::size_t(i)] = 2 * std::tan(k / 2) * std::cos(k * i);
    const std::vector<double> sloped = follow_slopes(none, slopes, linked, 1, reach);
    for (std::size_t i = 0; i < n; ++i) {
      EXPECT_NEAR(middles[i], (1 - share) * wave[i], 1e-9);
      EXPECT_NEAR(sloped[i], share * wave[i], 1e-9);
    }
  }
}

TEST(FollowSlopes, NoLineNearByCostsLess) {
  std::mt19937 random(4);
  const auto uniform = [&] { return double(random()) / 4294967296. - 0.5; };
  const std::size_t n = 40;
  std::vector<double> middles(n), slopes(n), linked(n);
  for (std::size_t i = 0; i < n; ++i)
    middles[i] = uniform(), slopes[i] = uniform(), linked[i] = i == 9 ? 0 : 0.5 + uniform();
  const auto cost = [&](const std::vector<double>& d) {
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) {
      const std::size_t j = (i + 1) % n;
      sum += std::pow((d[i] - middles[i]) / 7, 2);
      sum += linked[i] * std::pow((d[j] - d[i]) / 2 - (slopes[i] + slopes[j]) / 2, 2);
    }
    return sum;
  };
  const std::vector<double> best = follow_slopes(middles, slopes, linked, 2, 7);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<double> other = best;
    for (double& d : other) d += 1e-3 * uniform();
    EXPECT_LT(cost(best), cost(other));
  }
}

TEST(LinksAlong, CutAtCornersNotInRounds) {
  // A square of 100 px with corners rounded by 4 px, and a circle of 60 px; W is 10.
  Polyline square, circle;
  for (int side = 0; side < 4; ++side) {
    const double a = two_pi * side / 4;
    for (double s = -46; s <= 46; ++s)
      square.push_back({50 * std::cos(a) - s * std::sin(a), 50 * std::sin(a) + s * std::cos(a)});
    for (double t = 0; t < two_pi / 4; t += 0.25) {
      const Point centre{46 * (std::cos(a) - std::sin(a)), 46 * (std::sin(a) + std::cos(a))};
      square.push_back({centre.x + 4 * std::cos(a + t), centre.y + 4 * std::sin(a + t)});
    }
  }
  for (double t = 0; t < two_pi; t += 1 / 60.) circle.push_back({60 * std::cos(t), 60 * std::sin(t)});
  for (const double link : links_along(normals(circle), 10)) EXPECT_GT(link, 0.95);
  const std::vector<double> linked = links_along(normals(square), 10);
  for (std::size_t i = 0; i < square.size(); ++i) {
    const double corner = std::hypot(std::abs(square[i].x) - 50, std::abs(square[i].y) - 50);
    if (corner < 6) {
      EXPECT_LT(linked[i], 0.05);
    } else if (corner > 20) {
      EXPECT_GT(linked[i], 0.99);
    }
  }
}

// Strokes that lie off the outline on either side and begin and end at different places: their mean steps aside at each
// end.
TEST(LocateBands, FollowsTheStrokesPastTheirEnds) {
  double followed = 0, mean = 0;
  for (unsigned seed = 1; seed <= 5; ++seed) {
    std::mt19937 random(seed);
    const auto uniform = [&] { return double(random()) / 4294967296. - 0.5; };
    testing::PencilSheet sheet(560, 560);
    struct Stroke {
      double from, to, radius;
    };
    std::vector<Stroke> strokes;
    for (int k = 0; k < 32; ++k) {  // four deep all round
      const double from = two_pi * k / 32 + 0.1 * uniform(), off = 10 * uniform();
      strokes.push_back({from, from + two_pi / 8, 200 + off});
      Point last{};
      for (int i = 0; i <= 40; ++i) {
        const double a = from + (two_pi / 8) * i / 40, r = strokes.back().radius;
        const Point p{280 + r * std::cos(a), 280 + r * std::sin(a)};
        if (i) sheet.line(last, p, 3.5, 0.35);
        last = p;
      }
    }
    Polyline circle;
    for (double a = 0; a < two_pi; a += 1 / 200.)
      circle.push_back({279.5 + 200 * std::cos(a), 279.5 + 200 * std::sin(a)});
    const auto located = locate_bands({circle}, sheet.ink, {12, 0.01}, {});
    for (const Point& p : located[0]) {
      followed += std::pow(std::hypot(p.x - 279.5, p.y - 279.5) - 200, 2) / double(located[0].size());
      double sum = 0, count = 0;
      for (const Stroke& s : strokes) {  // the mean of the strokes that pass here
        const double along = std::fmod(std::atan2(p.y - 279.5, p.x - 279.5) - s.from + 3 * two_pi, two_pi);
        if (along < s.to - s.from) sum += s.radius - 200, ++count;
      }
      mean += std::pow(sum / count, 2) / double(located[0].size());
    }
  }
  EXPECT_LT(std::sqrt(followed), 0.85 * std::sqrt(mean));
}

}  // namespace
}  // namespace batten
