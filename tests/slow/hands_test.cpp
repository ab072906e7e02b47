// Letters of open fonts (Debian's fonts-texgyre) drawn by simulated hands, each of which once came out with an outline
// missing, in pieces or twice: `bench/hands` draws them all.
#include <gtest/gtest.h>

#include "batten/convert.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/score.h"
#include "support/shapes.h"

namespace batten {
namespace {

struct Letter {
  const char* what;
  const char* font;
  char32_t letter;
  support::Hand hand;
  support::Drawer drawer;
  double height_px, tolerance_px;
};
void PrintTo(const Letter& l, std::ostream* out) { *out << l.what; }

class Hands : public ::testing::TestWithParam<Letter> {};

TEST_P(Hands, TheLetterComesWhole) {
  const Letter& l = GetParam();
  const std::vector<Outline> truth =
      support::glyph(support::font_file(std::string(l.font) + ".otf"), l.letter, l.height_px, 40);
  ASSERT_FALSE(truth.empty());
  support::Random random("hands", std::string(l.font) + name_of(l.hand), unsigned(l.letter) * 8 + unsigned(l.drawer));
  const support::Extent size = support::extent_of(truth, 40);
  const support::Manner manner = support::manner_of(l.drawer, random);
  const support::GrayImage image =
      support::pencil_drawing(size.width, size.height, truth, l.hand, false, random, manner);
  Options options;
  options.tolerance_px = l.tolerance_px;
  const auto traced = convert({image.pixels.data(), image.width, image.height, image.width}, options);
  ASSERT_TRUE(traced.ok());
  const support::Score score = support::score(truth, traced->drawing.outlines);
  EXPECT_EQ(score.missing(), 0u);
  EXPECT_EQ(score.extra(), 0u);
  EXPECT_EQ(traced->drawing.outlines.size(), truth.size());
  EXPECT_LT(score.max_px, 12);
}

constexpr Letter letters[] = {
    {"APaleStretchOfALine", "texgyretermes-regular", U'G', support::Hand::single, support::Drawer::nervous, 420, 1},
    {"TwoPaleStretches", "texgyretermes-regular", U'a', support::Hand::single, support::Drawer::nervous, 420, 1},
    {"CountersInASoftLead", "texgyreheros-regular", U'B', support::Hand::multistroke, support::Drawer::soft, 520, 1.5},
    {"ATipLedAstray", "texgyrecursor-regular", U'y', support::Hand::loose, support::Drawer::feeling, 640, 2},
};

INSTANTIATE_TEST_SUITE_P(Pencil, Hands, ::testing::ValuesIn(letters), [](const auto& info) { return info.param.what; });

}  // namespace
}  // namespace batten
