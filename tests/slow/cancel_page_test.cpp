// Cancelling a whole page, A4 at 300 dpi, at many moments of every stage.
#include <gtest/gtest.h>

#include <map>

#include "support/cancel_wait.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/pencil_sheet.h"
#include "support/shapes.h"

namespace batten {
namespace {

constexpr int width = 3508, height = 2480;  // A4 across, 300 dpi

// Squared paper, a frame round everything that makes one patch of the page, and letters.
testing::PencilSheet squared_page() {
  testing::PencilSheet sheet(width, height);
  for (double x = 30; x < width; x += 59) sheet.line({x, 0}, {x, height - 1.}, 2, 0.1);
  for (double y = 30; y < height; y += 59) sheet.line({0, y}, {width - 1., y}, 2, 0.1);
  sheet.box(120, 120, width - 120, height - 120, 6);
  const auto truth = support::glyph(support::font_file("texgyrebonum-bold.otf"), U'B', 500, 30);
  const support::Extent size = support::extent_of(truth, 30);
  for (int letter = 0; letter < 4; ++letter) {
    const support::GrayImage image =
        support::pencil_drawing(size.width, size.height, truth, support::Hand::single, false,
                                support::Random("CancelPage", std::to_string(letter)));
    for (int y = 0; y < image.height; ++y)
      for (int x = 0; x < image.width; ++x)
        sheet.cover(300 + 700 * letter + x, 900 + y,
                    std::max(0., 1 - image.pixels[std::size_t(y * image.width + x)] / 215.));  // not its paper
  }
  return sheet;
}

struct Span {
  double from_s = 0, to_s = 0;
};

TEST(CancelPage, AnyMomentOfEveryStageTakesEffectWithin100Milliseconds) {
  const testing::PencilSheet::Scanned scanned = squared_page().scan(7);
  const ImageView view = scanned.view();
  const auto work = [&](const Job& job) { return convert(view, {}, job); };
  const support::Watched watched = support::watch(work);
  // When each stage ran: up to the last word of it, from the last word of the one before.
  std::map<Stage, Span> spans;
  double last = 0;
  for (const auto& [stage, at_s] : watched.words) {
    spans.try_emplace(stage, Span{last, at_s});
    last = spans[stage].to_s = at_s;
  }
  EXPECT_GE(spans.size(), 10u);
  constexpr int moments = 4;
  for (const auto& [stage, span] : spans) {
    int cancelled = 0;
    for (int k = 0; k < moments; ++k) {
      const double at_s = span.from_s + (span.to_s - span.from_s) * (k + 0.5) / moments;
      const double wait = support::steady_wait_s(watched.moment(at_s), work);
      cancelled += wait >= 0;
      EXPECT_LT(wait, support::longest_cancel_s)
          << "in the stage " << name_of(stage) << ", " << at_s << " s after the start";
    }
    if (stage != Stage::finish) {  // that may be over before it was asked
      EXPECT_GE(cancelled, 1) << name_of(stage);
    }
  }
}

// An outline of two thousand points, each two pixels astray: some thousand nodes, as long as one outline keeps a solver
// busy.
TEST(CancelPage, DenseNoiseInAFitToo) {
  std::vector<std::vector<Point>> loop(1);
  support::Random random("CancelPage", "noise");
  for (int i = 0; i < 2000; ++i) {
    const double a = i * std::acos(-1.) / 1000;
    loop[0].push_back({400 + 300 * std::cos(a) + 2 * random.normal(), 400 + 200 * std::sin(a) + 2 * random.normal()});
  }
  EXPECT_LT(support::longest_wait_s(6, [&](const Job& job) { return fit(loop, {}, job); }), support::longest_cancel_s);
}

}  // namespace
}  // namespace batten
