// A large scan is read in a smaller copy where its lines are broad. Cut down to less than that, the same pixels are
// read as they are: what comes of both is held against the outlines that the pencil followed.
#include <gtest/gtest.h>

#include <algorithm>

#include "batten/convert.h"
#include "batten/write.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/score.h"
#include "support/shapes.h"

namespace batten {
namespace {

struct Drawn {
  support::GrayImage image;
  std::vector<Outline> truth;
};

// A letter 1,200 px tall in the upper left of a sheet of 4,200 by 3,000 px, as if scanned at 600 dpi.
Drawn draw(char32_t letter, support::Hand hand, double pencil) {
  Drawn out;
  out.truth = support::glyph(support::font_file("GoudyBookletter1911.otf"), letter, 1200, 200);
  support::Manner manner;
  for (double* length : {&manner.shortest_px, &manner.longest_px, &manner.least_overlap_px, &manner.most_overlap_px,
                         &manner.spread, &manner.waver_px, &manner.width, &manner.grain, &manner.blur})
    *length *= pencil;
  out.image = support::pencil_drawing(4200, 3000, out.truth, hand, false,
                                      support::Random("reduced", name_of(hand), unsigned(letter)), manner);
  return out;
}

support::Score traced(const Drawn& drawn, int width, int height) {
  Options options;
  options.tolerance_px = 3;
  const auto made = convert({drawn.image.pixels.data(), width, height, drawn.image.width}, options);
  EXPECT_TRUE(made.ok());
  return support::score(drawn.truth, made ? made->drawing.outlines : std::vector<Outline>{});
}

// One drawing may come out a little better or worse: strokes fall otherwise on the pixels of the copy. Together they
// are as good; measured over five, rms 9.24 px at full size and 9.32 in the copy, 136 segments and 132.
TEST(ReducedScan, ManyStrokesAreKnownAsWellInACopy) {
  double whole_px = 0, part_px = 0;
  std::size_t whole_segments = 0, part_segments = 0;
  for (const auto& [letter, hand] : {std::pair{U'R', support::Hand::multistroke},
                                     {U'g', support::Hand::multistroke},
                                     {U'k', support::Hand::loose}}) {
    const Drawn drawn = draw(letter, hand, 2);
    ASSERT_FALSE(drawn.truth.empty());
    const support::Score whole = traced(drawn, 4200, 3000), part = traced(drawn, 2400, 2000);
    EXPECT_EQ(whole.missing() + whole.extra(), 0u);
    EXPECT_LE(whole.max_px, 1.1 * part.max_px + 1);
    whole_px += whole.rms_px, part_px += part.rms_px;
    whole_segments += whole.segments, part_segments += part.segments;
  }
  EXPECT_LE(whole_px, 1.05 * part_px);
  EXPECT_LE(whole_segments, part_segments + 3);
}

TEST(ReducedScan, AThinLineIsReadAtFullSize) {
  const Drawn drawn = draw(U'R', support::Hand::single, 2);
  const support::Score whole = traced(drawn, 4200, 3000), part = traced(drawn, 2400, 2000);
  EXPECT_EQ(whole.missing() + whole.extra(), 0u);
  EXPECT_NEAR(whole.rms_px, part.rms_px, 0.02);
}

TEST(ReducedScan, PinsElsewhereDoNotChangeTheCopy) {
  const Drawn drawn = draw(U'R', support::Hand::multistroke, 2);
  Options options;
  options.tolerance_px = 3;
  const ImageView view{drawn.image.pixels.data(), 4200, 3000, drawn.image.width};
  const auto without = convert(view, options);
  options.pins.push_back({.kind = Pin::Kind::ignore, .places = {{3000, 2000}, {3500, 2000}, {3500, 2500}}});
  const auto with = convert(view, options);
  ASSERT_TRUE(without.ok() && with.ok());
  EXPECT_EQ(to_svg(with->drawing), to_svg(without->drawing));
  for (const Conversion& c : {*with, *without}) {
    const auto& findings = c.report.findings;
    EXPECT_EQ(std::count_if(findings.begin(), findings.end(),
                            [](const Finding& f) { return f.what == Finding::What::read_in_copy; }),
              1);
  }
}

}  // namespace
}  // namespace batten
