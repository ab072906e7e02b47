#include "ink/fit_lattice.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ink/follow_lattice.h"

namespace batten {
namespace {

constexpr int strips_across = 40, height = 1000;

// Lines of given places, 3 px broad; amplitude 1 summed across. What is printed is known exactly.
Strips printed(const std::vector<std::vector<double>>& lines) {
  Strips out;
  out.mean = Plane<float>(strips_across, height);
  for (const auto& line : lines)
    for (int s = 0; s < strips_across; ++s)
      for (int y = std::max(0, int(line[s]) - 5); y <= std::min(height - 1, int(line[s]) + 5); ++y)
        out.mean.at(s, y) += float(std::exp(-0.5 * (y - line[s]) * (y - line[s])) / std::sqrt(2 * M_PI));
  out.sharp = out.mean;
  out.noise = 0.01;
  return out;
}

std::vector<double> line_of(double (*place)(double number, double x), double number) {
  std::vector<double> out;
  for (int s = 0; s < strips_across; ++s) out.push_back(place(number, Strips{}.middle_px(s)));
  return out;
}

GuideTrack track_of(const std::vector<double>& y) {
  GuideTrack t;
  t.y_px = y;
  t.seen.assign(y.size(), true);
  t.gain.assign(y.size(), 1);
  t.amplitude_px = 1;
  t.at_zero_px = y.front();
  t.slope = (y.back() - y.front()) / (Strips::strip_px * (strips_across - 1.));
  return t;
}

// A sheet that lies askew, in perspective and bent: pitch 50 px, growing by 4 % down the sheet; arched by 6 px.
double bent(double number, double x) {
  const double u = (x - 640) / 640;
  return 20 + 50 * number + 0.1 * number * number + 8 * u + 6 * u * u + 0.3 * number * u;
}

// So many printed lines, all found, and one more drawn between two of them.
std::optional<Lattice> lattice_with_drawn_line(int count, double drawn) {
  std::vector<std::vector<double>> lines;
  std::vector<GuideTrack> found;
  for (int k = 0; k < count; ++k) {
    lines.push_back(line_of(bent, k));
    found.push_back(track_of(lines.back()));
    if (k < drawn && drawn < k + 1) found.push_back(track_of(line_of(bent, drawn)));
  }
  return fit_lattice(printed(lines), found, 12);
}

TEST(Lattice, LinesThatWereDrawnOverAreFoundWhereTheyMustRun) {
  std::vector<std::vector<double>> lines;
  std::vector<GuideTrack> found;
  for (int k = 0; k < 18; ++k) {
    lines.push_back(line_of(bent, k));
    if (k % 3 != 1) found.push_back(track_of(lines.back()));  // the others were drawn over
  }
  const auto lattice = fit_lattice(printed(lines), found, 12);
  ASSERT_TRUE(lattice);
  EXPECT_EQ(lattice->found, 12u);
  EXPECT_NEAR(lattice->pitch_px, 51.7, 0.5);
  for (const auto& line : lines) {
    double nearest = 1e300;
    for (const auto& y : lattice->y_px) {
      double off = 0;
      for (int s = 0; s < strips_across; ++s) off = std::max(off, std::abs(y[s] - line[s]));
      nearest = std::min(nearest, off);
    }
    EXPECT_LT(nearest, 0.3);
  }
}

TEST(Lattice, ADrawnLineBetweenIsNoneOfThem) {
  const auto lattice = lattice_with_drawn_line(14, 6.4);
  ASSERT_TRUE(lattice);
  EXPECT_EQ(lattice->found, 14u);
  for (const auto& y : lattice->y_px) EXPECT_GT(std::abs(y[20] - line_of(bent, 6.4)[20]), 15);
}

// Where a line is drawn half-way between two printed ones all distances are whole multiples of that half as well.
TEST(Lattice, ALineDrawnHalfWayBetweenDoesNotHalveThePitch) {
  const auto lattice = lattice_with_drawn_line(18, 11.5);
  ASSERT_TRUE(lattice);
  EXPECT_NEAR(lattice->pitch_px, 51.7, 0.5);
  EXPECT_EQ(lattice->found, 18u);
}

TEST(Lattice, LinesRuledForLettersAreNone) {
  // Base line, waist line and cap line of four rows, as a letterer rules them: no one pitch.
  std::vector<GuideTrack> tracks;
  for (int row = 0; row < 4; ++row)
    for (const double y : {60., 106., 170.})
      tracks.push_back(track_of(std::vector<double>(strips_across, 230 * row + y)));
  EXPECT_FALSE(fit_lattice(printed({}), tracks, 5));
}

TEST(Lattice, DarknessIsThatOfThePrintAlone) {
  std::vector<std::vector<double>> lines;
  std::vector<GuideTrack> tracks;
  for (int k = 0; k < 14; ++k) lines.push_back(line_of(bent, k)), tracks.push_back(track_of(lines.back()));
  Strips strips = printed(lines);
  const auto lattice = fit_lattice(strips, tracks, 12);
  ASSERT_TRUE(lattice);
  // A pencil follows line 5 over more than half of its way; line 9 ends at a margin.
  for (int s = 0; s < 24; ++s)
    for (int d = -2; d <= 2; ++d) strips.mean.at(s, int(std::lround(lines[5][s])) + d) += 0.3f;
  for (int s = 30; s < strips_across; ++s)
    for (int d = -5; d <= 5; ++d) strips.mean.at(s, int(std::lround(lines[9][s])) + d) = 0;
  const std::vector<GuideTrack> out = follow_lattice(strips, *lattice);
  const auto nearest = [&](double y) {
    return *std::min_element(out.begin(), out.end(), [&](const GuideTrack& a, const GuideTrack& b) {
      return std::abs(a.y_px[20] - y) < std::abs(b.y_px[20] - y);
    });
  };
  const GuideTrack five = nearest(lines[5][20]), nine = nearest(lines[9][20]);
  for (int s = 0; s < strips_across; ++s) {
    EXPECT_NEAR(five.gain[s], 1, 0.15);
    EXPECT_EQ(five.seen[s], s >= 24) << s;
    if (s < 29) {
      EXPECT_NEAR(nine.gain[s], 1, 0.1);
    } else if (s > 31) {
      EXPECT_LT(nine.gain[s], 0.1);
    }
    EXPECT_NEAR(five.y_px[s], lines[5][s], 0.5);
  }
}

}  // namespace
}  // namespace batten
