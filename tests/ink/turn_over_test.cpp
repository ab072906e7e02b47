#include "ink/turn_over.h"

#include <gtest/gtest.h>

#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

struct Outcome {
  Scan before, after;
  std::vector<Finding> findings;
};
Outcome run(const PencilSheet::Scanned& scanned) {
  const Job job;
  Progress progress(job, Stage::ink, 0, 1);
  Outcome out;
  out.before = *load_scan(scanned.view(), progress);
  out.after = *turn_over(out.before, progress, &out.findings);
  return out;
}

PencilSheet::Scanned negative(PencilSheet::Scanned scanned) {
  for (std::uint8_t& v : scanned.bytes) v = std::uint8_t(255 - v);
  return scanned;
}

// A stroke, a loop, and letters so bold that they are wider than what counts as their surroundings.
std::vector<PencilSheet> drawings() {
  std::vector<PencilSheet> out(3, PencilSheet(600, 500));
  out[0].line({80, 400}, {520, 90}, 4, 0.8);
  out[1].box(120, 100, 470, 400, 6, 0.7);
  for (int y = 60; y < 440; ++y)
    for (int x = 100; x < 500; ++x)
      if (x < 330 || y < 200) out[2].cover(x, y, 0.9);
  return out;
}

TEST(TurnOver, LightLinesOnADarkGroundAreTurnedOver) {
  for (const PencilSheet& drawing : drawings()) {
    const Outcome o = run(negative(drawing.scan(4)));
    ASSERT_EQ(o.findings.size(), 1u);
    EXPECT_EQ(o.findings[0].what, Finding::What::turned_over);
    for (std::size_t i = 0; i < o.after.grey.values.size(); ++i)
      ASSERT_FLOAT_EQ(o.after.grey.values[i], 1 - o.before.grey.values[i]);
    EXPECT_FLOAT_EQ(o.after.copy.green.at(5, 5), 1 - o.before.copy.green.at(5, 5));
  }
}

TEST(TurnOver, DarkLinesAreNotHoweverDarkThePicture) {
  for (const PencilSheet& drawing : drawings())
    for (const double tone : {240., 110.}) {
      const Outcome o = run(drawing.scan(4, 2, tone, tone / 2));
      EXPECT_TRUE(o.findings.empty()) << tone;
      EXPECT_EQ(o.after.grey.values, o.before.grey.values);
    }
}

TEST(TurnOver, BlackPicturesAndSmallOnesPassThrough) {
  EXPECT_TRUE(run(negative(PencilSheet(300, 200).scan(1))).findings.empty());
  EXPECT_TRUE(run(PencilSheet(3, 1).scan(1)).findings.empty());
}

}  // namespace
}  // namespace batten
