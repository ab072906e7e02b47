// Every kind of pin about the scan: the drawing is wrong without it and right with it.
#include <gtest/gtest.h>

#include "support/pencil_sheet.h"
#include "support/pinned.h"

namespace batten {
namespace {

using namespace testing;
using PinKind = Pin::Kind;

Conversion traced(const PencilSheet& sheet, std::vector<Pin> pins = {}) {
  const auto scanned = sheet.scan(5);
  auto made = convert(scanned.view(), with(Options{}, std::move(pins)));
  EXPECT_TRUE(made.ok()) << (made.ok() ? "" : made.error().message);
  return made ? std::move(*made) : Conversion{};
}

std::vector<Point> box(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

PencilSheet box_and_ring_sheet() {
  PencilSheet sheet(420, 260);
  sheet.box(50, 60, 170, 200, 5, 0.7);
  sheet.ring({300, 130}, 70, 5, 0.7);
  return sheet;
}

TEST(PinnedRegions, WhatIsNoPartOfTheDrawing) {
  ASSERT_EQ(traced(box_and_ring_sheet()).drawing.outlines.size(), 2u);
  for (const PinKind kind : {PinKind::ignore, PinKind::paper}) {
    const Conversion made = traced(box_and_ring_sheet(), {pin(kind, box(210, 40, 400, 220))});
    ASSERT_EQ(made.drawing.outlines.size(), 1u) << name_of(kind);
    EXPECT_LT(made.drawing.outlines[0].nodes[0].at.x, 180);
    EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
  }
}

TEST(PinnedRegions, InkWhereNoneWasSeen) {
  ASSERT_EQ(traced(box_and_ring_sheet()).drawing.outlines.size(), 2u);
  const Conversion made = traced(box_and_ring_sheet(), {pin(PinKind::ink, box(80, 90, 140, 170))});
  ASSERT_EQ(made.drawing.outlines.size(), 3u);
  const auto filled = std::count_if(made.drawing.outlines.begin(), made.drawing.outlines.end(),
                                    [](const Outline& o) { return o.kind == Kind::filled; });
  EXPECT_EQ(filled, 1);
  EXPECT_LT(to_corner_px(made.drawing, {80, 90}), 2);
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
}

TEST(PinnedRegions, WhatAShapeWasDrawnAs) {
  const auto kind_of_ring = [](const Conversion& c) {
    for (const Outline& o : c.drawing.outlines)
      if (o.nodes[0].at.x > 200) return o.kind;
    return Kind::filled;
  };
  ASSERT_EQ(kind_of_ring(traced(box_and_ring_sheet())), Kind::outlined);
  Pin p = pin(PinKind::drawn_as, box(210, 40, 400, 220));
  p.drawn = Pin::Drawn::shaded;
  const Conversion shaded = traced(box_and_ring_sheet(), {p});
  EXPECT_EQ(kind_of_ring(shaded), Kind::filled);
  EXPECT_EQ(shaded.drawing.outlines.size(), 3u) << "the ring's two edges and the box";
  EXPECT_TRUE(shaded.report.pins.at(0).held) << shaded.report.pins[0].text;
  p.drawn = Pin::Drawn::lines;
  const Conversion lines = traced(box_and_ring_sheet(), {p});
  EXPECT_EQ(kind_of_ring(lines), Kind::line);
  EXPECT_TRUE(lines.report.pins.at(0).held) << lines.report.pins[0].text;
  PencilSheet disc(260, 220);
  disc.disc({130, 110}, 70, 0.6);
  ASSERT_EQ(traced(disc).drawing.outlines.at(0).kind, Kind::filled);
}

TEST(PinnedRegions, AGapThatIsClosed) {
  PencilSheet sheet(420, 260);
  sheet.box(60, 60, 360, 200, 5, 0.7);
  sheet.erase(110, 50, 312, 70);
  const auto closed = [](const Conversion& c) {
    return std::count_if(c.drawing.outlines.begin(), c.drawing.outlines.end(),
                         [](const Outline& o) { return o.closed; });
  };
  ASSERT_EQ(closed(traced(sheet)), 0);
  const Conversion made = traced(sheet, {pin(PinKind::close_gap, {{108, 60}, {314, 60}})});
  EXPECT_EQ(closed(made), 1);
  EXPECT_EQ(made.drawing.outlines.size(), 1u);
  EXPECT_EQ(made.drawing.outlines[0].nodes.size(), 4u);
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
}

TEST(PinnedRegions, WhatTouchesAndIsKeptApart) {
  PencilSheet sheet(420, 240);
  sheet.disc({130, 120}, 72, 0.7);
  sheet.disc({272, 120}, 72, 0.7);
  ASSERT_EQ(traced(sheet).drawing.outlines.size(), 1u);
  const Conversion made = traced(sheet, {pin(PinKind::keep_apart, {{201, 90}, {201, 150}})});
  EXPECT_EQ(made.drawing.outlines.size(), 2u);
  EXPECT_TRUE(made.report.pins.at(0).held) << made.report.pins[0].text;
}

TEST(PinnedRegions, ShapesElsewhereStayAsTheyAre) {
  const Conversion without = traced(box_and_ring_sheet());
  const auto box_of = [](const Conversion& c) {
    for (const Outline& o : c.drawing.outlines)
      if (o.nodes[0].at.x < 180) return o;
    return Outline{};
  };
  Pin shaded = pin(PinKind::drawn_as, box(210, 40, 400, 220));
  shaded.drawn = Pin::Drawn::shaded;
  for (const Pin& p : {pin(PinKind::ignore, box(210, 40, 400, 220)), pin(PinKind::ink, box(270, 100, 330, 160)),
                       pin(PinKind::paper, box(210, 120, 250, 140)), shaded}) {
    const Outline a = box_of(without), b = box_of(traced(box_and_ring_sheet(), {p}));
    ASSERT_EQ(a.nodes.size(), b.nodes.size());
    for (std::size_t k = 0; k < a.nodes.size(); ++k)
      EXPECT_TRUE(a.nodes[k].at == b.nodes[k].at && a.nodes[k].handle_after == b.nodes[k].handle_after)
          << name_of(p.kind);
  }
}

TEST(PinnedRegions, ContradictionsAreNamed) {
  const Conversion made = traced(
      box_and_ring_sheet(), {pin(PinKind::ink, box(80, 90, 140, 170)), pin(PinKind::paper, box(100, 100, 200, 180))});
  EXPECT_EQ(made.report.pins.at(0).against, std::vector<std::size_t>{1});
  EXPECT_EQ(made.report.pins.at(1).against, std::vector<std::size_t>{0});
  EXPECT_TRUE(std::any_of(made.report.findings.begin(), made.report.findings.end(),
                          [](const Finding& f) { return f.what == Finding::What::pins_contradict; }));
}

}  // namespace
}  // namespace batten
