#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "batten/files.h"

namespace batten {
namespace {

Conversion conversion() {
  Conversion c;
  c.drawing.width_px = 200, c.drawing.height_px = 100, c.drawing.dpi = 300;
  Outline outline;
  outline.nodes = {{{10, 20}, {30, 20}, {50, 20}, true, Reason::extreme_top},
                   {{30, 80}, {30, 80}, {30, 80}, false, Reason::corner}};
  outline.sigma_px = 0.25;
  c.drawing.outlines = {outline, outline};
  c.drawing.outlines[1].parent = 0;
  c.drawing.guides = {{90.5, 0.01}};
  c.report.segments = 4;
  c.report.tolerance_px = 1.5;
  c.report.outlines.resize(2);
  c.report.outlines[0].nodes_by_reason[static_cast<std::size_t>(Reason::corner)] = 1;
  c.report.outlines[0].worst = {12, 34};
  c.report.outlines[1].max_px = std::numeric_limits<double>::infinity();
  c.report.findings = {{Finding::What::tolerance_exceeded, 1, {5, 6}, 2.5, "Too far \"here\".\n"},
                       {Finding::What::dropped_speck, -1, {7, 8}, 0, "A speck."}};
  return c;
}

TEST(WriteReport, HoldsEverythingTheConversionKnows) {
  const auto json = nlohmann::json::parse(to_json(conversion(), {"scans/a.png", 1.25}));
  EXPECT_EQ(json["schema"], 2);
  EXPECT_EQ(json["scan"], "scans/a.png");
  EXPECT_EQ(json["seconds"], 1.25);
  EXPECT_EQ(json["dpi"], 300);
  EXPECT_EQ(json["tolerance_px"], 1.5);
  EXPECT_EQ(json["outlines"].size(), 2u);
  const auto& outline = json["outlines"][0];
  EXPECT_TRUE(outline["parent"].is_null());
  EXPECT_EQ(json["outlines"][1]["parent"], 0);
  EXPECT_EQ(outline["kind"], "outlined");
  EXPECT_EQ(outline["nodes"][0]["reason"], "top");
  EXPECT_EQ(outline["nodes"][0]["handle_after"], nlohmann::json({50, 20}));
  EXPECT_EQ(outline["nodes"][1]["smooth"], false);
  EXPECT_EQ(outline["report"]["nodes_by_reason"]["corner"], 1);
  EXPECT_EQ(outline["report"]["worst"], nlohmann::json({12, 34}));
  EXPECT_EQ(json["guides"][0]["y0_px"], 90.5);
  EXPECT_EQ(json["findings"][0]["level"], "warning");
  EXPECT_EQ(json["findings"][0]["text"], "Too far \"here\".\n");
  EXPECT_EQ(json["findings"][1]["level"], "info");
  EXPECT_TRUE(json["findings"][1]["outline"].is_null());
}

TEST(WriteReport, WhatIsUnknownOrInfiniteIsNull) {
  Conversion c = conversion();
  c.drawing.dpi = 0;
  const auto json = nlohmann::json::parse(to_json(c));
  EXPECT_TRUE(json["dpi"].is_null());
  EXPECT_FALSE(json.contains("seconds"));
  EXPECT_TRUE(json["outlines"][1]["report"]["max_px"].is_null());
}

// A square judged against one whose right side stands 2 px further out.
TEST(WriteReport, HasTheDeviationAlongEachSegment) {
  Conversion c;
  Outline square;
  for (const Point p : {Point{0, 0}, Point{100, 0}, Point{100, 100}, Point{0, 100}})
    square.nodes.push_back({p, p, p, false, Reason::corner});
  c.drawing.outlines = {square};
  c.report.outlines.resize(1);
  c.report.outlines[0].judged = {{0, 0}, {102, 0}, {102, 100}, {0, 100}};
  const std::string text = to_json(c);
  const auto along = nlohmann::json::parse(text)["outlines"][0]["report"]["deviation_px"];
  ASSERT_EQ(along.size(), 4u);
  EXPECT_EQ(along[1].size(), 25u) << "100 px at 4 px";
  EXPECT_EQ(along[1][12], 2.0);
  EXPECT_EQ(along[3][12], 0.0);
  EXPECT_NE(text.find("\"at\": [0.0,0.0]"), std::string::npos) << "a place in one line";
}

TEST(WriteReport, ANameThatIsNotUtf8StillGivesJson) {
  EXPECT_TRUE(nlohmann::json::accept(to_json(conversion(), {"caf\xe9.png"})));
}

TEST(Translate, MovesEveryPlaceAndKeepsTheSheet) {
  Conversion c = conversion();
  translate(c, {100, 40});
  EXPECT_EQ(c.drawing.width_px, 200);
  EXPECT_EQ(c.drawing.outlines[0].nodes[0].at, (Point{130, 60}));
  EXPECT_EQ(c.drawing.outlines[0].nodes[0].handle_before, (Point{110, 60}));
  EXPECT_EQ(c.drawing.outlines[1].nodes[1].handle_after, (Point{130, 120}));
  EXPECT_EQ(c.report.outlines[0].worst, (Point{112, 74}));
  EXPECT_EQ(c.report.findings[0].place, (Point{105, 46}));
  // The guide through (0, 90.5) and (100, 91.5) now runs through (100, 130.5) and (200, 131.5).
  EXPECT_NEAR(c.drawing.guides[0].y0_px + 100 * c.drawing.guides[0].slope, 130.5, 1e-12);
  EXPECT_NEAR(c.drawing.guides[0].y0_px + 200 * c.drawing.guides[0].slope, 131.5, 1e-12);
}

}  // namespace
}  // namespace batten
