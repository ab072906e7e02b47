#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <sstream>

#include "batten/files.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

Sweep swept() {
  Sweep out;
  for (const auto& [tolerance, segments, rms] :
       {std::tuple{0.5, 40, 0.1}, {1., 20, 0.2}, {2., 16, 0.6}, {4., 12, 2.}}) {
    Conversion c;
    c.report.tolerance_px = tolerance, c.report.segments = std::size_t(segments), c.report.rms_px = rms;
    c.report.max_px = 3 * rms;
    OutlineReport o;
    o.nodes_by_reason[0] = 12, o.nodes_by_reason[6] = std::size_t(segments) - 12;
    c.report.least.numerical = std::size_t(segments) - 1, c.report.least.proven = 11, c.report.p95_px = 2 * rms;
    c.report.outlines = {o};
    out.conversions.push_back(c);
    out.seconds.push_back(0.25);
    out.conversions.back().report.known_px = 0.8;
    out.drawn_at.push_back(out.drawn_at.size());
  }
  out.knee = 1, out.recommended = 1;
  return out;
}

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, at);) parts.push_back(part);
  return parts;
}

TEST(WriteSweep, TheTableHasAHeadAndARowForEachTolerance) {
  const auto lines = split(to_csv(swept(), {.extremes = Options::Extremes::free, .dpi = 300}, {"a\nb.png"}), '\n');
  ASSERT_EQ(lines.size(), 10u);
  EXPECT_EQ(lines[0].rfind("# batten ", 0), 0u);
  EXPECT_EQ(lines[1], "# scan: a?b.png");
  EXPECT_EQ(lines[2], "# drawing: auto, extremes: free, dpi: 300");
  const auto head = split(lines[5], ',');
  EXPECT_EQ(head[0], "tolerance_px");
  EXPECT_EQ(head.back(), "mark");
  for (std::size_t i = 6; i < 10; ++i)
    EXPECT_EQ(std::count(lines[i].begin(), lines[i].end(), ','), std::ptrdiff_t(head.size()) - 1);
  const auto row = split(lines[7], ',');
  EXPECT_EQ(row[0], "1.0000");
  EXPECT_EQ(row[1], "20");
  EXPECT_EQ(head[2] + " " + row[2], "fewest_found 19");
  EXPECT_EQ(head[3] + " " + row[3], "fewest_proven 11");
  EXPECT_EQ(head[head.size() - 4] + " " + row[row.size() - 4], "p95_px 0.4000");
  EXPECT_EQ(row.back(), "knee recommended");
  EXPECT_EQ(head[head.size() - 7] + " " + row[row.size() - 7], "known_px 0.8000");
  EXPECT_EQ(head[head.size() - 6] + " " + row[row.size() - 6], "drawn_at_px 1.0000");
}

TEST(WriteSweep, ARowThatKeepsAFinerOnesDrawingSaysSo) {
  Sweep sweep = swept();
  sweep.drawn_at[2] = 1;
  const auto lines = split(to_csv(sweep, {}, {}), '\n');
  const auto row = split(lines[8], ',');
  EXPECT_EQ(row[0], "2.0000");
  EXPECT_EQ(row[row.size() - 5], "1.0000") << "no mark, no last field";
}

TEST(WriteSweep, TheChartMarksWhatIsFinerThanTheLineIsKnown) {
  const std::string words = ">finer than the line is known (0.80 px)<";
  EXPECT_NE(to_plot_svg(swept()).find(words), std::string::npos) << "0.5 px is";
  Sweep known = swept();
  for (Conversion& c : known.conversions) c.report.known_px = 0.5;
  EXPECT_EQ(to_plot_svg(known).find("finer than"), std::string::npos);
  for (Conversion& c : known.conversions) c.report.known_px = 5;
  EXPECT_NE(to_plot_svg(known).find(">finer than the line is known (5.00 px)<"), std::string::npos) << "all of it";
}

// A drawing of no outlines has no deviation, and a caller may ask for any tolerance.
TEST(WriteSweep, WhatIsNoNumberIsNotWrittenAsOne) {
  Sweep sweep = swept();
  const double infinite = std::numeric_limits<double>::infinity();
  sweep.conversions[0].report.rms_px = sweep.conversions[0].report.max_px = infinite;
  sweep.conversions[1].report.rms_px = sweep.conversions[1].report.p95_px = std::nan("");
  sweep.conversions[1].report.tolerance_px = 1e307, sweep.conversions[2].report.max_px = 1e300;
  for (const std::string& text : {to_csv(sweep), to_plot_svg(sweep)})
    for (const char* word : {"inf", "nan", "=\"\""})
      EXPECT_EQ(text.find(word), std::string::npos) << word << "\n" << text;
  EXPECT_NE(to_plot_svg(sweep).find("unknown px"), std::string::npos);
}

TEST(WriteSweep, TheChartIsAnSvgThatLibrsvgDraws) {
  const Scratch scratch;
  const std::string svg = scratch.put("plot.svg", to_plot_svg(swept())), png = scratch / "plot.png";
  ASSERT_EQ(run("rsvg-convert", {svg, "-o", png}).status, 0);
  const Result<Picture> drawn = read_picture(png);
  ASSERT_TRUE(drawn.ok());
  EXPECT_EQ(drawn->width, 760);
  std::size_t teal = 0;
  const int channels = drawn->format == PixelFormat::rgba8 ? 4 : 3;
  for (std::size_t i = 0; i + 2 < drawn->bytes.size(); i += std::size_t(channels))
    teal += drawn->bytes[i] < 60 && drawn->bytes[i + 1] > 60 && drawn->bytes[i + 1] < 130 && drawn->bytes[i + 2] < 120;
  EXPECT_GT(teal, 200u) << "the curve of the rms";
  EXPECT_NE(contents(svg).find(">knee: 1 px<"), std::string::npos);
}

TEST(WriteSweep, ASingleToleranceAndAnExactFitStillMakeAChart) {
  Sweep one = swept();
  one.conversions.resize(1), one.seconds.resize(1);
  one.conversions[0].report.rms_px = 0, one.conversions[0].report.max_px = 0;
  one.knee.reset(), one.recommended = 0;
  const std::string svg = to_plot_svg(one);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(svg.find("inf"), std::string::npos);
  EXPECT_EQ(to_plot_svg({}).find("nan"), std::string::npos);
}

}  // namespace
}  // namespace batten
