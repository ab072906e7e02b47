// What batten promises, one test each; README.md lists the same numbers. Outlines of open fonts go through fit(),
// pencil drawings through convert(). All distances are measured again here, four times denser than the library does.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "batten/convert.h"
#include "batten/files.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/process.h"
#include "support/score.h"
#include "support/scratch.h"
#include "support/shapes.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using Loops = std::vector<std::vector<Point>>;

struct Case {
  std::string name;
  Loops loops;
  double tolerance_px;
  Conversion result;
};

std::vector<Outline> font_glyph(const support::FontCase& c, double height_px = 300) {
  return support::glyph(support::font_file(c.font), c.character, height_px, 20);
}

Loops sampled(const std::vector<Outline>& outlines, double step_px = 0.5) {
  Loops loops;
  for (const Outline& o : outlines) loops.push_back(support::points_of(o, step_px));
  return loops;
}

/// Letters with and without counters, rounds, sharp and acute corners, straights at all angles; and shapes of formula.
std::vector<Case> fitted_cases() {
  std::vector<Case> cases;
  const auto add = [&](std::string name, Loops loops, double tolerance_px) {
    Options options;
    options.tolerance_px = tolerance_px;
    auto result = fit(loops, options);
    EXPECT_TRUE(result.ok()) << name << ": " << (result.ok() ? "" : result.error().message);
    if (result) cases.push_back({std::move(name), std::move(loops), tolerance_px, std::move(*result)});
  };
  for (const support::FontCase& c : support::font_cases(U"a3")) {
    const std::vector<Outline> truth = font_glyph(c);
    EXPECT_FALSE(truth.empty())
        << text_of(c) << ": apt-get install fonts-goudybookletter fonts-texgyre fonts-ebgaramond fonts-cantarell";
    for (const double tolerance : {0.5, 1.5})
      add(text_of(c) + " at " + std::to_string(tolerance), sampled(truth), tolerance);
  }
  for (const double radius : {4.0, 40.0, 400.0})
    add("circle " + std::to_string(radius), {support::circle_points({410, 410}, radius, 0.5)}, 1);
  add("star",
      sampled({support::polygon({{100, 10},
                                 {120, 80},
                                 {190, 80},
                                 {132, 120},
                                 {155, 190},
                                 {100, 145},
                                 {45, 190},
                                 {68, 120},
                                 {10, 80},
                                 {80, 80}})}),
      1);
  return cases;
}

class Promises : public ::testing::Test {
 protected:
  static void SetUpTestSuite() { cases() = fitted_cases(); }
  static std::vector<Case>& cases() {
    static std::vector<Case> all;
    return all;
  }
  void SetUp() override { ASSERT_GE(cases().size(), 36u); }
};

bool finite(Point p) { return std::isfinite(p.x) && std::isfinite(p.y); }

std::string bytes_of(const Conversion& c) {
  std::string bytes = to_svg(c.drawing);
  const auto add = [&](double v) { bytes.append(reinterpret_cast<const char*>(&v), sizeof v); };
  for (const Outline& o : c.drawing.outlines)
    for (const Node& n : o.nodes)
      for (const double v :
           {n.handle_before.x, n.handle_before.y, n.at.x, n.at.y, n.handle_after.x, n.handle_after.y, double(n.reason)})
        add(v);
  for (const OutlineReport& r : c.report.outlines)
    for (const double v : {r.max_px, r.rms_px, r.p95_px, r.limit_px, r.replaced_length_px}) add(v);
  for (const Finding& f : c.report.findings) bytes += f.text;
  return bytes;
}

// In the file that is written: each subpath is closed by Z and ends in the point it starts from, to the last digit.
TEST_F(Promises, P1Closed) {
  for (const Case& c : cases()) {
    ASSERT_EQ(c.result.drawing.outlines.size(), c.loops.size()) << c.name;
    for (const Outline& o : c.result.drawing.outlines)
      for (const Node& n : o.nodes)
        EXPECT_TRUE(finite(n.at) && finite(n.handle_before) && finite(n.handle_after)) << c.name;
    std::size_t contours = 0, drawn = 0;
    for (const testing::SvgPath& path : testing::read_svg(to_svg(c.result.drawing)).paths) {
      ASSERT_FALSE(path.commands.empty()) << c.name;
      EXPECT_EQ(path.commands.back(), 'Z') << c.name;
      const auto begun = std::count(path.commands.begin(), path.commands.end(), 'M');
      EXPECT_EQ(begun, std::count(path.commands.begin(), path.commands.end(), 'Z')) << c.name;
      EXPECT_EQ(begun, std::ptrdiff_t(path.contours.size())) << c.name;
      contours += path.contours.size();
      for (const std::vector<Cubic>& contour : path.contours) {
        ASSERT_GE(contour.size(), 2u) << c.name;
        for (std::size_t i = 0; i < contour.size(); ++i)
          EXPECT_EQ(contour[i][3], contour[(i + 1) % contour.size()][0]) << c.name << ", segment " << i;
        drawn += contour.size();
      }
    }
    EXPECT_EQ(contours, c.loops.size()) << c.name;
    EXPECT_EQ(c.result.report.segments, drawn) << c.name;
  }
}

TEST_F(Promises, P2WithinToleranceBothWays) {
  int exact = 0;
  for (const Case& c : cases())
    for (std::size_t i = 0; i < c.loops.size(); ++i) {
      const Deviation d = measure(c.result.drawing.outlines[i], c.loops[i], 0.0625);
      const OutlineReport& r = c.result.report.outlines[i];
      const bool reported = std::any_of(
          c.result.report.findings.begin(), c.result.report.findings.end(),
          [&](const Finding& f) { return f.what == Finding::What::tolerance_exceeded && f.outline == int(i); });
      EXPECT_LE(r.limit_px, std::max(c.tolerance_px, 1e-9)) << c.name << ": points of a formula have no uncertainty";
      // 0.1 px: chords of the polyline and of the outline's samples.
      if (!reported) {
        EXPECT_LE(d.max_px, c.tolerance_px + 0.1)
            << c.name << ", outline " << i << " at " << d.worst.x << ", " << d.worst.y;
      } else {
        EXPECT_LE(d.max_px, r.max_px + 0.1) << c.name << ", outline " << i << ": further off than the report says";
      }
      exact += d.max_px <= c.tolerance_px + 0.1;
    }
  EXPECT_GE(exact, 45) << "of 52 outlines";
}

TEST_F(Promises, P3NestingAndDirectionKept) {
  for (const Case& c : cases())
    for (std::size_t i = 0; i < c.loops.size(); ++i) {
      const Outline& o = c.result.drawing.outlines[i];
      double twice = 0;
      for (std::size_t k = 0; k < c.loops[i].size(); ++k) {
        const Point a = c.loops[i][k], b = c.loops[i][(k + 1) % c.loops[i].size()];
        twice += a.x * b.y - a.y * b.x;
      }
      EXPECT_EQ(signed_area_px2(o) > 0, twice > 0) << c.name << ", outline " << i;
      EXPECT_NEAR(signed_area_px2(o), twice / 2, c.tolerance_px * double(c.loops[i].size())) << c.name;
      for (std::size_t k = 0; k < i; ++k) EXPECT_FALSE(cross_each_other(o, c.result.drawing.outlines[k])) << c.name;
    }
}

TEST_F(Promises, P4NoSelfCrossing) {
  for (const Case& c : cases())
    for (std::size_t i = 0; i < c.loops.size(); ++i)
      EXPECT_FALSE(crosses_itself(c.result.drawing.outlines[i], 0.02)) << c.name << ", outline " << i;
}

TEST_F(Promises, P5SmoothExceptAtCorners) {
  std::size_t smooth = 0, corners = 0;
  for (const Case& c : cases())
    for (const Outline& o : c.result.drawing.outlines)
      for (std::size_t i = 0; i < o.nodes.size(); ++i) {
        const double turn = support::turn_deg(o, i);
        EXPECT_EQ(o.nodes[i].smooth, o.nodes[i].reason != Reason::corner) << c.name << " node " << i;
        if (o.nodes[i].smooth) {
          ++smooth;
          EXPECT_LT(turn, 0.05) << c.name << " node " << i << " at " << o.nodes[i].at.x << ", " << o.nodes[i].at.y;
        } else {
          ++corners;
        }
      }
  EXPECT_GT(smooth, 400u);
  EXPECT_GT(corners, 150u);
}

TEST_F(Promises, P6SameBytesForAnyThreadCountAndFromRunToRun) {
  const std::vector<Outline> truth = font_glyph({"texgyrebonum-bold.otf", U'R'}, 220);
  const support::Extent size = support::extent_of(truth, 20);
  for (const support::Hand hand : {support::Hand::shaded, support::Hand::multistroke}) {
    const support::GrayImage image =
        support::pencil_drawing(size.width, size.height, truth, hand, false, support::Random("Promises", "P6"));
    const ImageView view{image.pixels.data(), image.width, image.height, image.width};
    Options options;
    options.tolerance_px = 1.5;
    const auto once = convert(view, options), again = convert(view, options);
    options.threads = 3;
    const auto threaded = convert(view, options);
    ASSERT_TRUE(once && again && threaded);
    EXPECT_TRUE(bytes_of(*once) == bytes_of(*again)) << name_of(hand);
    EXPECT_TRUE(bytes_of(*once) == bytes_of(*threaded)) << name_of(hand);
  }
  for (std::size_t i = 0; i < cases().size(); i += 7) {
    Options options;
    options.tolerance_px = cases()[i].tolerance_px;
    options.threads = 2;
    const auto again = fit(cases()[i].loops, options);
    ASSERT_TRUE(again);
    EXPECT_TRUE(bytes_of(cases()[i].result) == bytes_of(*again)) << cases()[i].name;
  }
}

TEST_F(Promises, P7EveryFallbackIsReported) {
  std::size_t told = 0;
  for (const Case& c : cases()) {
    const Report& r = c.result.report;
    ASSERT_EQ(r.outlines.size(), c.loops.size()) << c.name;
    for (const Finding& f : r.findings) {
      EXPECT_FALSE(f.text.empty()) << c.name;
      EXPECT_EQ(f.text.find('\n'), std::string::npos) << c.name;
      EXPECT_LT(f.outline, int(c.loops.size())) << c.name;
      ++told;
    }
    for (std::size_t i = 0; i < r.outlines.size(); ++i) {
      const bool exceeded = r.outlines[i].max_px > r.outlines[i].limit_px;
      const bool reported = std::any_of(r.findings.begin(), r.findings.end(), [&](const Finding& f) {
        return f.what == Finding::What::tolerance_exceeded && f.outline == int(i);
      });
      EXPECT_EQ(exceeded, reported) << c.name << ", outline " << i;
      std::size_t nodes = 0;
      for (const std::size_t n : r.outlines[i].nodes_by_reason) nodes += n;
      EXPECT_EQ(nodes, c.result.drawing.outlines[i].nodes.size()) << c.name;
    }
  }
  // A tolerance that cannot be held must be told: points that jump to and fro by 3 px cannot be followed smoothly.
  std::vector<Point> jagged = support::circle_points({120, 120}, 80, 0.5);
  for (std::size_t i = 0; i < jagged.size(); ++i) jagged[i] = jagged[i] + Point{(i % 2) * 3.0, 0};
  Options options;
  options.tolerance_px = 0.25;
  const auto result = fit(Loops{jagged}, options);
  ASSERT_TRUE(result);
  EXPECT_FALSE(result->report.findings.empty());
  RecordProperty("findings", std::to_string(told));
}

std::vector<std::string> files_below(const std::string& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder))
    names.push_back(std::filesystem::relative(entry.path(), folder).string());
  std::sort(names.begin(), names.end());
  return names;
}

// Runs of the command that fail at several points: what lay there before lies there after, whole, and nothing else.
TEST_F(Promises, P8AFileIsThereWholeOrNotAtAll) {
  const testing::Scratch scratch;
  const support::GrayImage image =
      support::pencil_drawing(240, 240, {support::polygon({{40, 40}, {200, 60}, {120, 200}})}, support::Hand::shaded,
                              false, support::Random("Promises", "P8"));
  const Result<std::string> png = to_png({image.pixels.data(), image.width, image.height, image.width});
  ASSERT_TRUE(png.ok());
  const std::string scan = scratch.put("scan.png", *png);
  scratch.put("blank.png", *to_png({std::string(90000, '\xff').data(), 300, 300, 300}));
  scratch.put("cut.png", png->substr(0, png->size() / 2));
  scratch.put("old.svg", "drawn before");
  scratch.put("taken/file", "in the way of a font");
  std::filesystem::create_directory(scratch / "folder.svg");
  const std::vector<std::string> before = files_below(scratch.path());
  const std::vector<std::vector<std::string>> failing = {
      {scratch / "cut.png", "--out", scratch / "old.svg"},    // cannot be read
      {scratch / "blank.png", "--out", scratch / "old.svg"},  // nothing to trace
      {scan, "--out", scratch / "old.svg", "--tolerance", "nan"},
      {scan, "--out", scratch / "missing.svg", "--tolerance", "1mm"},  // no known resolution
      {scan, "--out", scratch / "taken", "--format", "svg,ufo", "--names", "A,B,C"},
      {scan, "--out", scratch / "folder.svg/", "--overlay", scratch / "scan.png"},
      {scan, "--out", scratch / "old.svg/below/scan.svg"}};  // below a file there is no folder
  for (const std::vector<std::string>& arguments : failing) {
    std::vector<std::string> all = arguments;
    all.insert(all.begin(), "trace");
    const testing::Ran ran = testing::run(BATTEN_CLI, all);
    EXPECT_NE(ran.status, 0) << arguments[2];
    EXPECT_FALSE(ran.err.empty());
    EXPECT_EQ(files_below(scratch.path()), before) << ran.err;
    EXPECT_EQ(testing::contents(scratch / "old.svg"), "drawn before") << ran.err;
  }
  // A run that succeeds leaves the whole file and no other.
  EXPECT_EQ(testing::run(BATTEN_CLI, {"trace", scan, "--out", scratch / "old.svg"}).status, 0);
  EXPECT_EQ(files_below(scratch.path()), before);
  EXPECT_EQ(testing::read_svg(testing::contents(scratch / "old.svg")).paths.size(), 1u);
}

}  // namespace
}  // namespace batten
