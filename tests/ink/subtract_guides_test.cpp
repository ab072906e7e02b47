#include "ink/subtract_guides.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::mean;
using testing::PencilSheet;

struct Outcome {
  Ink before;
  GuidedInk after;
  std::vector<Finding> findings;
};

Outcome run(const ImageView& view) {
  const Job job;
  Progress progress(job, Stage::guides, 0, 1);
  Outcome out;
  auto scan = load_scan(view, progress);
  auto ink = separate_ink(*scan, progress);
  out.before = *ink;
  auto guided = subtract_guides(std::move(*ink), progress, &out.findings);
  EXPECT_TRUE(guided.ok());
  out.after = std::move(*guided);
  return out;
}

TEST(Guides, RuledLinesAreSubtractedAndKeptStemsStay) {
  PencilSheet sheet(900, 500);
  sheet.line({6, 120}, {894, 126}, 1.2, 0.25);
  sheet.line({6, 380}, {894, 386}, 1.2, 0.25);
  sheet.box(200, 122, 300, 382);  // letters that stand on the lines
  sheet.box(400, 123, 600, 384);
  const Outcome o = run(sheet.scan(21).view());
  ASSERT_EQ(o.after.guides.size(), 2u);
  EXPECT_NEAR(o.after.guides[0].y0_px + 450 * o.after.guides[0].slope, 123, 0.3);
  EXPECT_NEAR(o.after.guides[1].y0_px + 450 * o.after.guides[1].slope, 383, 0.3);
  EXPECT_NEAR(o.after.guides[0].slope, 6 / 888., 0.0008);
  EXPECT_EQ(o.findings.size(), 2u);
  EXPECT_EQ(o.findings[0].what, Finding::What::guide_removed);
  // A bare stretch loses the line; the bars of the letters on it keep nine tenths of theirs.
  const PixelBox bare{650, 122, 200, 6}, bar{420, 381, 160, 6};
  EXPECT_GT(mean(o.before.ink, bare), 0.02);
  EXPECT_NEAR(mean(o.after.ink.ink, bare), 0, 0.2 * mean(o.before.ink, bare));
  EXPECT_GT(mean(o.after.ink.ink, bar), 0.9 * mean(o.before.ink, bar));
}

TEST(Guides, BarsOfALetterAreNoGuides) {
  PencilSheet sheet(640, 640);  // one large letter: level bars over four fifths of the picture
  sheet.box(60, 60, 580, 160, 3, 0.35);
  sheet.box(60, 480, 580, 580, 3, 0.35);
  const Outcome o = run(sheet.scan(22).view());
  EXPECT_TRUE(o.after.guides.empty());
  EXPECT_EQ(o.after.ink.ink.values, o.before.ink.values);
}

TEST(Guides, SquaredPaperIsTakenOutBothWays) {
  PencilSheet sheet(900, 700);
  for (int i = 1; i < 14; ++i) sheet.line({0, i * 50. + 3}, {900, i * 50. + 1}, 1.5, 0.3);
  for (int i = 1; i < 18; ++i) sheet.line({i * 50. + 2, 0}, {i * 50. + 4, 700}, 1.5, 0.3);
  sheet.box(220, 170, 480, 430);
  const Outcome o = run(sheet.scan(23).view());
  EXPECT_TRUE(o.after.guides.empty());
  ASSERT_EQ(o.findings.size(), 1u);
  EXPECT_NE(o.findings[0].text.find("its 30 lines"), std::string::npos) << o.findings[0].text;
  EXPECT_LT(mean(o.after.ink.ink, {600, 600, 200, 100}), 0.25 * mean(o.before.ink, {600, 600, 200, 100}));
  EXPECT_GT(mean(o.after.ink.ink, {219, 210, 3, 180}), 0.8 * mean(o.before.ink, {219, 210, 3, 180}));
}

TEST(Guides, ALineDrawnAlongAPrintedOneStays) {
  PencilSheet sheet(900, 700);
  for (int i = 1; i < 14; ++i) sheet.line({0, i * 50. + 3}, {900, i * 50. + 1}, 1.5, 0.3);
  for (int i = 1; i < 18; ++i) sheet.line({i * 50. + 2, 0}, {i * 50. + 4, 700}, 1.5, 0.3);
  sheet.box(202, 102, 602, 402);  // on printed lines, all four sides
  const Outcome o = run(sheet.scan(23).view());
  ASSERT_EQ(o.findings.size(), 1u);
  EXPECT_GT(mean(o.after.ink.ink, {300, 100, 250, 4}), 0.6 * mean(o.before.ink, {300, 100, 250, 4}));
  EXPECT_GT(mean(o.after.ink.ink, {202, 150, 3, 200}), 0.6 * mean(o.before.ink, {202, 150, 3, 200}));
  EXPECT_LT(mean(o.after.ink.ink, {650, 100, 200, 6}), 0.25 * mean(o.before.ink, {650, 100, 200, 6}));
}

TEST(Guides, SmallAndBarePicturesPassThrough) {
  EXPECT_TRUE(run(PencilSheet(20, 20).scan(1).view()).after.guides.empty());
  EXPECT_TRUE(run(PencilSheet(500, 300).scan(1).view()).after.guides.empty());
}

}  // namespace
}  // namespace batten
