// Pencil drawings of our own generator, traced and compared with what the pencil aimed at. The cases and their bars are
// the rows of data/pencil_cases.txt, so that a loss of quality fails here; `bench/pencil_scores` prints the same as a
// table.
#include <gtest/gtest.h>

#include <ostream>
#include <set>

#include "batten/convert.h"
#include "support/demo.h"
#include "support/pencil_case.h"

namespace batten {
namespace support {
void PrintTo(const PencilCase& c, std::ostream* out) { *out << c.name; }
}  // namespace support
namespace {

std::vector<support::PencilCase> all_cases() {
  std::string fault;
  std::vector<support::PencilCase> cases = support::read_cases(BATTEN_DATA_DIR "/pencil_cases.txt", &fault);
  EXPECT_EQ(fault, "");
  return cases;
}

Result<Conversion> trace(const support::GrayImage& image, double tolerance_px) {
  Options options;
  options.tolerance_px = tolerance_px;
  return convert({image.pixels.data(), image.width, image.height, image.width}, options);
}

/// What is never allowed, whatever the drawing.
void expect_clean(const support::Score& s) {
  EXPECT_EQ(s.kinks, 0u);
  EXPECT_EQ(s.wrong_way, 0u);
  EXPECT_EQ(s.open, 0u);
  EXPECT_EQ(s.start_off_corner, 0u);
  EXPECT_EQ(s.handles_on_axis, s.handles_near_axis);
}

TEST(PencilCaseList, HasEveryKindOfDrawing) {
  const auto cases = all_cases();
  EXPECT_GE(cases.size(), 12u);
  std::set<std::string> names;
  std::set<support::Hand> hands;
  bool photo = false, page = false, construction = false, shadow = false;
  std::set<support::Ruling> rulings;
  for (const auto& c : cases) {
    EXPECT_TRUE(names.insert(c.name).second) << c.name << " twice";
    hands.insert(c.hand);
    photo |= c.photo, page |= c.page;
    construction |= c.construction, shadow |= c.shadow;
    if (c.ruling) rulings.insert(*c.ruling);
  }
  EXPECT_EQ(hands.size(), 6u);
  EXPECT_TRUE(photo && page && construction && shadow);
  EXPECT_EQ(rulings.size(), 2u);
}

class PencilCases : public ::testing::TestWithParam<support::PencilCase> {};

TEST_P(PencilCases, KeepTheirBars) {
  const support::PencilCase& c = GetParam();
  const support::Drawn drawn = support::draw_case(c);
  ASSERT_FALSE(drawn.truth.empty()) << "missing font " << c.font;
  const auto result = trace(drawn.image, c.tolerance_px);
  ASSERT_TRUE(result.ok()) << result.error().message;
  const support::Score s = support::score(drawn.truth, result->drawing.outlines);
  SCOPED_TRACE(c.name + ": " + text_of(s));
  EXPECT_LE(s.missing() + s.extra(), c.outlines_off);
  EXPECT_LE(s.nodes(), c.nodes);
  EXPECT_LE(s.rms_px, c.rms_px);
  EXPECT_LE(s.max_px, c.max_px);
  EXPECT_LE(s.truth_corners - s.corners_found, c.corners_lost);
  EXPECT_LE(s.false_corners, c.false_corners);
  EXPECT_LE(s.missed_extremes, c.missed_extremes);
  EXPECT_LE(s.bumps, c.bumps);
  EXPECT_LE(s.crossing, c.crossing);
  expect_clean(s);
  for (const Outline& o : result->drawing.outlines)
    EXPECT_EQ(o.kind,
              c.hand == support::Hand::clean || c.hand == support::Hand::shaded ? Kind::filled : Kind::outlined);
}

INSTANTIATE_TEST_SUITE_P(All, PencilCases, ::testing::ValuesIn(all_cases()),
                         [](const ::testing::TestParamInfo<support::PencilCase>& info) {
                           std::string name = info.param.name;
                           for (char& ch : name)
                             if (ch == '-') ch = '_';
                           return name;
                         });

TEST(PencilDemo, TheDemoSheet) {
  const support::Demo demo = support::demo_sheet();
  ASSERT_FALSE(demo.truth.outlines.empty()) << "apt-get install fonts-goudybookletter";
  const auto result = trace(demo.image, 1.5);
  ASSERT_TRUE(result.ok()) << result.error().message;
  const support::Score s = support::score(demo.truth.outlines, result->drawing.outlines);
  SCOPED_TRACE(text_of(s));
  EXPECT_EQ(s.missing() + s.extra(), 0u);
  EXPECT_LE(s.nodes(), 1.1);
  EXPECT_LE(s.rms_px, 1.6);
  expect_clean(s);
  std::size_t filled = 0;
  for (const Outline& o : result->drawing.outlines) filled += o.kind == Kind::filled;
  EXPECT_EQ(filled, 2u);  // the leaves
}

}  // namespace
}  // namespace batten
