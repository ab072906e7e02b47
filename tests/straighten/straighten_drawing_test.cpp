#include "straighten/straighten_drawing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <set>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "corners/weigh_corners.h"
#include "finish/finish_drawing.h"
#include "minimise/minimise_segments.h"
#include "refine/refine_curves.h"
#include "structure/find_straights.h"
#include "structure/place_nodes.h"
#include "support/edits.h"
#include "support/font_cases.h"
#include "support/letters.h"
#include "support/pencil.h"
#include "support/pencil_case.h"
#include "support/shapes.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using support::Polyline;

using support::count;
using support::expect_edits_hold;
using support::file_units;
using support::letter_h;
using support::letter_i;
using support::letter_l;

/// Four stems, 30 px wide with a scatter of 2 px; feet and tops with one of 1 px.
std::vector<Outline> scattered_row() {
  return {support::polygon(letter_h(40, 29, 31, 50, 24, 230.4, 39.6)),
          support::polygon(letter_l(190, 30.6, 100, 26, 229.5, 40.4)), support::polygon(letter_i(330, 29.4, 230, 40))};
}

Result<Conversion> drawn(const std::vector<Outline>& truth, support::Hand hand, const Options& options,
                         const char* name) {
  const support::GrayImage image =
      support::pencil_drawing(420, 270, truth, hand, false, support::Random("Straighten", name));
  return convert({image.pixels.data(), image.width, image.height, image.width}, options);
}

std::vector<Polyline> sampled(const std::vector<Outline>& outlines, double step_px = 0.5) {
  std::vector<Polyline> out;
  for (const Outline& o : outlines) out.push_back(support::points_of(o, step_px));
  return out;
}

struct FileLines {
  std::vector<std::array<long long, 3>> vertical, level;  // place, from, to
};
FileLines lines_of(const std::string& svg) {
  FileLines out;
  for (const auto& path : testing::read_svg(svg).paths)
    for (const auto& contour : path.contours)
      for (const Cubic& c : contour) {
        if (!(c[1] == c[0] && c[2] == c[3])) continue;
        const long long x0 = file_units(c[0].x), y0 = file_units(c[0].y), x1 = file_units(c[3].x),
                        y1 = file_units(c[3].y);
        if (x0 == x1) out.vertical.push_back({x0, std::min(y0, y1), std::max(y0, y1)});
        if (y0 == y1) out.level.push_back({y0, std::min(x0, x1), std::max(x0, x1)});
      }
  return out;
}

// What a file says of the row that scattered_row() draws: the places of feet and tops, and the widths of the stems.
struct DrawnRow {
  std::set<long long> feet, tops;
  std::vector<long long> widths;
};

DrawnRow row_of(const FileLines& lines) {
  const auto near = [](long long units, double px) { return std::abs(double(units) - 1000 * px) < 6000; };
  DrawnRow row;
  for (const auto& [place, from, to] : lines.level) {
    if (near(place, 230)) row.feet.insert(place);
    if (near(place, 40)) row.tops.insert(place);
  }
  for (const auto& [left, right] : {std::pair(40, 69), std::pair(119, 150), std::pair(190, 221), std::pair(330, 359)}) {
    std::optional<long long> a, b;
    for (const auto& [place, from, to] : lines.vertical) {
      if (to - from < 60000) continue;
      if (near(place, left)) a = place;
      if (near(place, right)) b = place;
    }
    if (a && b) row.widths.push_back(*b - *a);
  }
  return row;
}

// One drawing says little: whether the last stem of four lies within what its points leave open is up to the hand that
// drew it. In every drawing what the report calls kept holds to the last digit, and no stem is far from what was aimed
// at. How often all comes out equal is counted in ten: stems in seven, feet in nine, tops in ten. The bars lie one
// below that, for stems two: in three drawings one stem is just outside, and one more may go that way with any change
// of a hundredth of a pixel.
TEST(Straighten, DrawnRowsGetEqualStemsAndOneBaseline) {
  Options options;
  options.tolerance_px = 2;
  int equal_stems = 0, one_baseline = 0, one_top = 0;
  for (int k = 1; k <= 10; ++k) {
    const std::string name = "row-" + std::to_string(k);
    SCOPED_TRACE(name);
    const auto result = drawn(scattered_row(), support::Hand::single, options, name.c_str());
    ASSERT_TRUE(result);
    ASSERT_EQ(result->drawing.outlines.size(), 3u);
    expect_edits_hold(*result);
    EXPECT_GE(count(*result, Edit::Kind::width), 1u);
    EXPECT_GE(count(*result, Edit::Kind::line), 4u);
    const DrawnRow row = row_of(lines_of(to_svg(result->drawing)));
    EXPECT_FALSE(row.feet.empty() || row.tops.empty());
    EXPECT_GE(row.widths.size(), 3u) << "stems that are vertical on both sides";
    for (const long long width : row.widths) EXPECT_NEAR(double(width) / 1000, 30, 2) << "drawn 29 to 31 px wide";
    equal_stems += row.widths.size() == 4 && std::set(row.widths.begin(), row.widths.end()).size() == 1;
    one_baseline += row.feet.size() == 1;
    one_top += row.tops.size() == 1;
  }
  EXPECT_GE(equal_stems, 5);
  EXPECT_GE(one_baseline, 8);
  EXPECT_GE(one_top, 9);
}

TEST(Straighten, TheReportNamesEachEdit) {
  Options options;
  options.tolerance_px = 2;
  const auto with = drawn(scattered_row(), support::Hand::single, options, "row-1");
  options.straighten = {false, false, false, false, false};
  const auto without = drawn(scattered_row(), support::Hand::single, options, "row-1");
  ASSERT_TRUE(with && without);
  EXPECT_TRUE(without->report.edits.empty());
  EXPECT_FALSE(with->report.edits.empty());
  expect_edits_hold(*with);
}

// What is taken for "not straightened" is put together here from the stages themselves.
TEST(Straighten, OffGivesTheUnstraightenedResultByteForByte) {
  Options options;
  options.tolerance_px = 1.5;
  options.straighten = {false, false, false, false, false};
  Loops loops;
  for (const Polyline& p : sampled(scattered_row())) {
    Loop loop;
    loop.points = p, loop.kind = Kind::filled;
    loop.sigma_px = polyline_sigma(resample(p, 0.5), 4), loop.rounding_px = 0.1,
    loop.correlation_px = 2;  // as fit() does
    loops.loops.push_back(loop);
  }
  const Job job;
  Progress progress(job, Stage::refine, 0, 1);
  const auto spaced = space_loops(loops, options, progress);
  const auto proposed = find_corners(*spaced, {}, 0, progress);
  const auto corners = weigh_corners(*spaced, *proposed, {}, progress);
  const auto straights = find_straights(*spaced, *corners, progress);
  const auto placed = place_nodes(*spaced, *corners, *straights, options, progress);
  const auto counted = minimise_segments(*spaced, *placed, options, progress);
  const auto refined = refine_curves(*spaced, *counted, options, progress);
  ASSERT_TRUE(refined);
  Drawing plain = finish_drawing(*spaced, *refined, {});
  const auto off = fit(sampled(scattered_row()), options);
  ASSERT_TRUE(off);
  plain.width_px = off->drawing.width_px, plain.height_px = off->drawing.height_px;
  EXPECT_EQ(to_svg(plain), to_svg(off->drawing));
  options.straighten = {};
  const auto on = fit(sampled(scattered_row()), options);
  ASSERT_TRUE(on);
  EXPECT_NE(to_svg(plain), to_svg(on->drawing));
}

Outline sheared(const Outline& o, double slope, double base) {
  Outline out = o;
  for (Node& n : out.nodes)
    for (Point* p : {&n.handle_before, &n.at, &n.handle_after}) p->x += slope * (base - p->y);
  return out;
}

TEST(Straighten, SlantedLettersStaySlanted) {
  const double slope = std::tan(3 * std::numbers::pi / 180);
  std::vector<Outline> row;
  for (const Outline& o : scattered_row()) row.push_back(sheared(o, slope, 230));
  Options options;
  options.tolerance_px = 1.5;
  const auto result = drawn(row, support::Hand::single, options, "slanted");
  ASSERT_TRUE(result);
  EXPECT_EQ(count(*result, Edit::Kind::vertical), 0u);
  std::size_t stems = 0;
  for (const Outline& o : result->drawing.outlines)
    for (std::size_t i = 0; i < o.nodes.size(); ++i) {
      const Point chord = o.nodes[(i + 1) % o.nodes.size()].at - o.nodes[i].at;
      if (!o.is_straight(i) || std::abs(chord.y) < 60) continue;
      ++stems;
      EXPECT_NEAR(-chord.x / chord.y, slope, 0.01) << "0.6 degrees";
    }
  EXPECT_GE(stems, 8u);
}

TEST(Straighten, AnIrregularDrawingIsLeftAlone) {
  // Every letter leans its own way, and stands at its own height: drawn on purpose.
  const std::vector<Outline> row = scattered_row();
  const double lean_deg[] = {4, -3, 5}, lift[] = {-7, 6, 0};
  std::vector<Outline> uneven;
  for (std::size_t i = 0; i < row.size(); ++i) {
    const Point middle{row[i].nodes[0].at.x + 40, 135};
    const Outline centred = support::moved(row[i], 1, 0, {-middle.x, -middle.y});
    uneven.push_back(support::moved(centred, 1, lean_deg[i] * std::numbers::pi / 180, {middle.x, middle.y + lift[i]}));
  }
  Options options;
  options.tolerance_px = 1.5;
  for (const bool pencil : {false, true}) {
    options.straighten = {};
    const auto on = pencil ? drawn(uneven, support::Hand::single, options, "uneven") : fit(sampled(uneven), options);
    options.straighten = {false, false, false, false, false};
    const auto off = pencil ? drawn(uneven, support::Hand::single, options, "uneven") : fit(sampled(uneven), options);
    ASSERT_TRUE(on && off);
    EXPECT_FALSE(on->report.sheet.known) << "letters that lean each their own way say nothing of the sheet";
    EXPECT_EQ(count(*on, Edit::Kind::level) + count(*on, Edit::Kind::vertical) + count(*on, Edit::Kind::line), 0u);
    ASSERT_EQ(on->drawing.outlines.size(), off->drawing.outlines.size());
    for (std::size_t k = 0; k < on->drawing.outlines.size(); ++k) {
      ASSERT_EQ(on->drawing.outlines[k].nodes.size(), off->drawing.outlines[k].nodes.size());
      for (std::size_t i = 0; i < on->drawing.outlines[k].nodes.size(); ++i) {
        const Point a = on->drawing.outlines[k].nodes[i].at, b = off->drawing.outlines[k].nodes[i].at;
        EXPECT_LT(std::hypot(a.x - b.x, a.y - b.y), 0.75)
            << "half the tolerance: sides of one letter agree on its lean";
      }
    }
    // Each letter still stands and leans as it was drawn: its left side, foot to top, from its first and last node.
    const auto nearest = [&](Point p) {
      Point best{1e300, 1e300};
      for (const Outline& o : on->drawing.outlines)
        for (const Node& n : o.nodes)
          if (std::hypot(n.at.x - p.x, n.at.y - p.y) < std::hypot(best.x - p.x, best.y - p.y)) best = n.at;
      return best;
    };
    for (std::size_t k = 0; k < uneven.size(); ++k) {
      const Point foot = uneven[k].nodes.back().at, top = uneven[k].nodes.front().at;
      const Point a = nearest(foot), b = nearest(top);
      EXPECT_LT(std::hypot(a.x - foot.x, a.y - foot.y), 1.5);
      EXPECT_LT(std::hypot(b.x - top.x, b.y - top.y), 1.5);
      EXPECT_NEAR(std::atan2(b.x - a.x, a.y - b.y) * 180 / std::numbers::pi, lean_deg[k], 0.4);
    }
  }
}

// The picture of the row turned by OpenCV's warpAffine about its middle, clockwise on screen.
support::GrayImage turned_scan(double deg, const std::string& name) {
  support::GrayImage image = support::pencil_drawing(420, 270, scattered_row(), support::Hand::single, false,
                                                     support::Random("Straighten", name));
  const cv::Mat flat(image.height, image.width, CV_8U, image.pixels.data());
  cv::Mat out;
  cv::warpAffine(flat, out, cv::getRotationMatrix2D({image.width / 2.f, image.height / 2.f}, -deg, 1), flat.size(),
                 cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  image.pixels.assign(out.data, out.data + out.total());
  return image;
}

SheetTurn turn_of(double deg, const std::string& name) {
  const support::GrayImage scan = turned_scan(deg, name);
  Options options;
  options.tolerance_px = 1.5;
  const auto result = convert({scan.pixels.data(), scan.width, scan.height, scan.width}, options);
  EXPECT_TRUE(result);
  if (!result) return {};
  EXPECT_FALSE(result->report.sheet.undone);
  EXPECT_EQ(count(*result, Edit::Kind::vertical), 0u) << "the outlines lie on the scan as they were drawn";
  return result->report.sheet;
}

// Stems that a hand drew lean by themselves, by so much that one drawing was reported 0.12 degrees off. Of the same
// drawing laid askew both ways half the difference is the turn, and half the sum is the hand's.
TEST(Straighten, ASheetLaidAskewIsReported) {
  double hand_deg = 0;
  for (int k = 1; k <= 5; ++k) {
    const std::string name = "row-" + std::to_string(k);
    const SheetTurn right = turn_of(2.3, name), left = turn_of(-2.3, name);
    ASSERT_TRUE(right.known && left.known) << name;
    EXPECT_NEAR(0.5 * (right.deg - left.deg), 2.3, 0.05) << name;
    EXPECT_LT(std::abs(right.deg - 2.3), 3 * right.sd_deg) << name << ": within what the report says of itself";
    EXPECT_LT(std::abs(left.deg + 2.3), 3 * left.sd_deg) << name;
    hand_deg += 0.5 * (right.deg + left.deg) / 5;
  }
  EXPECT_NEAR(hand_deg, 0, 0.1) << "no side is preferred";
}

TEST(Straighten, ASheetLaidAskewIsTurnedBack) {
  for (const double deg : {2.3, -2.3}) {
    const support::GrayImage scan = turned_scan(deg, "row-1");
    Options options;
    options.tolerance_px = 1.5;
    options.deskew = true;
    const auto vertical = convert({scan.pixels.data(), scan.width, scan.height, scan.width}, options);
    ASSERT_TRUE(vertical);
    EXPECT_TRUE(vertical->report.sheet.undone);
    EXPECT_NEAR(vertical->report.sheet.deg, deg, 0.2);
    const FileLines lines = lines_of(to_svg(vertical->drawing));
    EXPECT_GE(
        std::count_if(lines.vertical.begin(), lines.vertical.end(), [](const auto& l) { return l[2] - l[1] > 60000; }),
        8);
  }
}

TEST(Straighten, GridCoordinatesAreWholeMultiplesAndStillEqual) {
  for (const double grid : {1.0, 0.25, 2.0}) {
    Options options;
    options.tolerance_px = 1.5;
    options.grid_px = grid;
    std::vector<Polyline> shapes = sampled(scattered_row());
    shapes.push_back(support::circle_points({460.3, 150.7}, 60.2, 0.5));
    const auto result = fit(shapes, options);
    ASSERT_TRUE(result);
    for (const Outline& o : result->drawing.outlines)
      for (const Node& n : o.nodes)
        for (Point p : {n.handle_before, n.at, n.handle_after})
          for (double v : {p.x, p.y}) EXPECT_EQ(v / grid, std::round(v / grid));
    EXPECT_GE(count(*result, Edit::Kind::width), 2u);
    for (const Edit& e : result->report.edits) {
      if (!e.kept || e.kind != Edit::Kind::width) continue;
      const auto at = [&](std::size_t i) {
        return result->drawing.outlines[std::size_t(e.nodes[i].outline)].nodes[std::size_t(e.nodes[i].node)].at;
      };
      const Point one = at(2) - at(0), other = at(6) - at(4);
      EXPECT_TRUE(one.x == other.x || one.y == other.y);
    }
    for (const Node& n : result->drawing.outlines.back().nodes)
      EXPECT_TRUE((n.handle_before.x == n.at.x && n.handle_after.x == n.at.x) ||
                  (n.handle_before.y == n.at.y && n.handle_after.y == n.at.y))
          << "extremes stay exactly level or vertical";
  }
}

TEST(Straighten, RoundingMovesLessThanAHundredth) {
  Options options;
  options.tolerance_px = 1.5;
  const auto result = fit(sampled(scattered_row()), options);
  ASSERT_TRUE(result);
  for (const Outline& o : result->drawing.outlines)
    for (const Node& n : o.nodes)
      EXPECT_NEAR(n.at.x * 1000, std::round(n.at.x * 1000), 1e-6) << "what the file says is what was judged";
}

TEST(Straighten, RoundsKeepTheirOvershoot) {
  // Two rounds that pass the feet of the stem by 3.0 and 3.5 px.
  std::vector<Polyline> row{support::points_of(support::polygon(letter_i(20, 30, 230, 40)), 0.5),
                            support::points_of(support::polygon(letter_i(430, 30, 230, 40)), 0.5),
                            support::circle_points({160, 135}, 98, 0.5),
                            support::circle_points({340, 135.2}, 98.3, 0.5)};
  Options options;
  options.tolerance_px = 1.5;
  const auto result = fit(row, options);
  ASSERT_TRUE(result);
  EXPECT_GE(count(*result, Edit::Kind::overshoot), 2u) << "at the feet and at the tops";
  std::set<double> lowest;
  for (std::size_t k : {2u, 3u}) {
    double y = 0;
    for (const Node& n : result->drawing.outlines[k].nodes) y = std::max(y, n.at.y);
    EXPECT_NEAR(y, 233.2, 0.5);
    lowest.insert(y);
  }
  EXPECT_EQ(lowest.size(), 1u);
}

// Common practice, no source: a handle meant to be level or vertical is exactly so; 3 degrees are what the eye takes
// for meant. Edits must not bring a handle between two curves so near an axis and leave it there.
TEST(Straighten, NoHandleBetweenCurvesIsLeftNearAnAxis) {
  Options options;
  options.tolerance_px = 1.5;
  std::size_t edits = 0, handles = 0;
  for (const support::FontCase& c : support::font_cases(U"aGk")) {
    support::PencilCase drawing;
    drawing.name = text_of(c), drawing.font = c.font.substr(0, c.font.find('.')),
    drawing.characters = std::string(1, char(c.character));
    drawing.hand = support::Hand::single, drawing.height_px = 300;
    const support::GrayImage image = support::draw_case(drawing).image;
    const auto result = convert({image.pixels.data(), image.width, image.height, image.width}, options);
    ASSERT_TRUE(result) << text_of(c) << ": " << result.error().message;
    edits += std::size_t(
        std::count_if(result->report.edits.begin(), result->report.edits.end(), [](const Edit& e) { return e.kept; }));
    for (const Outline& o : result->drawing.outlines)
      for (std::size_t i = 0; i < o.nodes.size(); ++i) {
        const Node& n = o.nodes[i];
        if (!n.smooth || o.is_straight(i) || o.is_straight((i + o.nodes.size() - 1) % o.nodes.size())) continue;
        const double deg = std::atan2(n.handle_after.y - n.at.y, n.handle_after.x - n.at.x) * 180 / 3.14159265358979;
        const double off_deg = std::abs(deg - 90 * std::round(deg / 90));
        handles += off_deg < 3;
        EXPECT_FALSE(off_deg > 0.02 && off_deg < 3)
            << text_of(c) << " at " << n.at.x << ", " << n.at.y << ": " << off_deg;
      }
  }
  EXPECT_GT(edits, 20u);
  EXPECT_GT(handles, 80u);
}

TEST(Straighten, DirectionAndStart) {
  const std::vector<Polyline> shapes{sampled({support::polygon({{20, 20}, {120, 20}, {120, 100}, {20, 100}})})[0],
                                     support::circle_points({70, 60}, 25, 0.5)};
  Options options;
  options.direction = Options::Direction::anticlockwise;
  options.start = Options::Start::extreme;
  const auto result = fit(shapes, options);
  ASSERT_TRUE(result);
  EXPECT_LT(signed_area_px2(result->drawing.outlines[0]), 0);
  EXPECT_GT(signed_area_px2(result->drawing.outlines[1]), 0) << "counters run the other way";
  EXPECT_EQ(result->drawing.outlines[1].nodes[0].reason, Reason::extreme_bottom);
  EXPECT_EQ(result->drawing.outlines[0].nodes[0].reason, Reason::corner) << "without extremes the corner stays";
}

TEST(Straighten, SameBytesForAnyThreadCount) {
  Options options;
  options.tolerance_px = 1.5;
  const auto one = fit(sampled(scattered_row()), options);
  options.threads = 3;
  const auto three = fit(sampled(scattered_row()), options);
  ASSERT_TRUE(one && three);
  EXPECT_EQ(to_svg(one->drawing), to_svg(three->drawing));
}

}  // namespace
}  // namespace batten
