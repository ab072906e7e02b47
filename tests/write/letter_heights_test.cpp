#include "write/letter_heights.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(LetterHeights, FlatLettersCountBeforeRounds) {
  const LetterHeights all =
      letter_heights({{"o", 512, 500}, {"x", 500, 480}, {"n", 506, 520}, {"O", 716, 700}, {"H", 700, 690}});
  EXPECT_EQ(all.x_height_px, 500);
  EXPECT_EQ(all.cap_height_px, 700);
  EXPECT_EQ(all.space_px, 260) << "half an n";
  const LetterHeights rounds = letter_heights({{"o", 512, 500}, {"C", 716, 700}, {"ampersand", 730, 800}});
  EXPECT_EQ(rounds.x_height_px, 512);
  EXPECT_EQ(rounds.cap_height_px, 716);
  EXPECT_EQ(letter_heights({{"i", 505, 200}, {"n", 506, 520}}).space_px, 200);
}

TEST(LetterHeights, NamesThatDoNotTellAreNotGuessedAt) {
  const LetterHeights none = letter_heights({{"ampersand", 700, 600}, {"one", 680, 500}, {"leaf.left", 480, 480}});
  EXPECT_EQ(none.x_height_px, 0);
  EXPECT_EQ(none.cap_height_px, 0);
  EXPECT_EQ(none.space_px, 0);
}

TEST(LetterHeights, WithoutNamesTwoClearGroupsTell) {
  const LetterHeights two = letter_heights({{"", 500}, {"", 512}, {"", 503}, {"", 700}, {"", 708}, {"", 715}});
  EXPECT_EQ(two.x_height_px, 500);
  EXPECT_EQ(two.cap_height_px, 700);
  EXPECT_EQ(two.space_px, 0);
  // One group, a spread of heights, groups too near or too far apart, a single tall letter.
  for (const std::vector<DrawnLetter>& letters : {std::vector<DrawnLetter>{{"", 500}, {"", 505}, {"", 510}, {"", 512}},
                                                  {{"", 400}, {"", 470}, {"", 550}, {"", 640}, {"", 700}},
                                                  {{"", 500}, {"", 505}, {"", 570}, {"", 575}},
                                                  {{"", 200}, {"", 205}, {"", 700}, {"", 710}},
                                                  {{"", 500}, {"", 505}, {"", 510}, {"", 700}}}) {
    EXPECT_EQ(letter_heights(letters).x_height_px, 0);
    EXPECT_EQ(letter_heights(letters).cap_height_px, 0);
  }
}

}  // namespace
}  // namespace batten
