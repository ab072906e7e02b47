// The command as a process: files, exit status, what it says. Bad input is in cli_bad_input_test.cpp.

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "batten/files.h"
#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"
#include "support/svg_reader.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

class Cli : public ::testing::Test {
 protected:
  Ran trace(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "trace");
    return run(BATTEN_CLI, arguments);
  }
  std::string scan(const std::string& name = "scan.png") { return scratch_.put(name, png(ring_and_disc())); }
  // Names of all files below the scratch folder, sorted.
  std::vector<std::string> files() {
    std::vector<std::string> names;
    for (const auto& entry : fs::recursive_directory_iterator(scratch_.path()))
      if (entry.is_regular_file()) names.push_back(fs::relative(entry.path(), scratch_.path()).string());
    std::sort(names.begin(), names.end());
    return names;
  }
  Scratch scratch_;
};
using Names = std::vector<std::string>;

std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

// Largest and smallest coordinate of the curves' end points, as left, top, right, bottom.
std::array<double, 4> extent(const SvgPath& path) {
  std::array<double, 4> box{1e9, 1e9, -1e9, -1e9};
  for (const auto& contour : path.contours)
    for (const Cubic& c : contour) {
      box = {std::min(box[0], c[0].x), std::min(box[1], c[0].y), std::max(box[2], c[0].x), std::max(box[3], c[0].y)};
    }
  return box;
}

TEST_F(Cli, OneScanGivesAnSvgBesideItAndOneLine) {
  const Ran ran = trace({scan()});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(lines(ran.out), 1u) << ran.out;
  EXPECT_EQ(ran.err, "") << "nothing to warn of, and no progress into a pipe";
  for (const char* word : {"3 outlines", "nodes (", "deviation", "px rms", "pencil line", " s -> ", "scan.svg"})
    EXPECT_NE(ran.out.find(word), std::string::npos) << word << " in " << ran.out;
  EXPECT_EQ(files(), (Names{"scan.png", "scan.svg"}));

  const Svg svg = read_svg(contents(scratch_ / "scan.svg"));
  EXPECT_EQ(svg.view_box, "0 0 420 240");
  ASSERT_EQ(svg.paths.size(), 2u);
  EXPECT_EQ(svg.paths[0].contours.size(), 2u) << "the ring with its counter comes first";
  const auto ring = extent(svg.paths[0]), disc = extent(svg.paths[1]);
  const std::array<double, 4> ring_truth{30, 30, 210, 210}, disc_truth{260, 60, 380, 180};
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(ring[i], ring_truth[i], 1);
    EXPECT_NEAR(disc[i], disc_truth[i], 1);
  }
}

TEST_F(Cli, OutNamesAFileOrAFolder) {
  const std::string one = scan();
  EXPECT_EQ(trace({one, "--out", scratch_ / "other.svg"}).status, 0);
  EXPECT_EQ(trace({one, "--out", scratch_ / "new/deep"}).status, 0);
  fs::create_directory(scratch_ / "odd.svg");
  EXPECT_EQ(trace({one, "--out", scratch_ / "odd.svg"}).status, 0) << "a folder that exists is a folder";
  EXPECT_EQ(files(), (Names{"new/deep/scan.svg", "odd.svg/scan.svg", "other.svg", "scan.png"}));
  EXPECT_EQ(contents(scratch_ / "other.svg"), contents(scratch_ / "new/deep/scan.svg"));
}

TEST_F(Cli, SeveralScansIntoAFolderAndOneFailingDoesNotStopTheOthers) {
  const std::string a = scan("a.png"), b = scratch_.put("b.png", "not a picture"), c = scan("c.png");
  const Ran ran =
      trace({a, b, c, "--out", scratch_ / "out", "--overlay", scratch_ / "look", "--report", scratch_ / "figures"});
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(lines(ran.out), 2u) << ran.out;
  EXPECT_EQ(lines(ran.err), 2u) << "the sum of all, and what failed: " << ran.err;
  EXPECT_NE(ran.err.find("b.png is a text file"), std::string::npos) << ran.err;
  EXPECT_EQ(files(), (Names{"a.png", "b.png", "c.png", "figures/a.json", "figures/c.json", "look/a.png", "look/c.png",
                            "out/a.svg", "out/c.svg"}));
}

TEST_F(Cli, SeveralScansWithoutOutGoBesideEach) {
  EXPECT_EQ(trace({scan("x/a.png"), scan("y/a.png")}).status, 0);
  EXPECT_EQ(files(), (Names{"x/a.png", "x/a.svg", "y/a.png", "y/a.svg"}));
}

TEST_F(Cli, ReportAndOverlayAgreeWithTheSvg) {
  const Ran ran =
      trace({scan(), "--report", scratch_ / "r.json", "--overlay", scratch_ / "o.png", "--tolerance", "0.8px"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_EQ(report["schema"], 2);
  EXPECT_EQ(report["tolerance_px"], 0.8);
  EXPECT_EQ(report["width_px"], 420);
  EXPECT_TRUE(report["dpi"].is_null());
  ASSERT_EQ(report["outlines"].size(), 3u);
  std::size_t nodes = 0, segments = 0;
  for (const auto& outline : report["outlines"]) {
    EXPECT_TRUE(outline["closed"].get<bool>());
    EXPECT_LE(outline["report"]["max_px"].get<double>(), outline["report"]["limit_px"].get<double>());
    for (const auto& node : outline["nodes"]) EXPECT_TRUE(node["reason"].is_string());
    nodes += outline["nodes"].size();
  }
  for (const SvgPath& path : read_svg(contents(scratch_ / "scan.svg")).paths)
    for (const auto& contour : path.contours) segments += contour.size();
  EXPECT_EQ(nodes, segments);
  EXPECT_EQ(report["segments"], segments);
  EXPECT_NE(ran.out.find(std::to_string(nodes) + " nodes"), std::string::npos);

  const Result<Picture> overlay = read_picture(scratch_ / "o.png");
  ASSERT_TRUE(overlay.ok()) << overlay.error().message;
  EXPECT_GE(overlay->width, 420);
  EXPECT_EQ(overlay->width * 240, overlay->height * 420);
}

TEST_F(Cli, MillimetresNeedAResolutionFromTheFileOrFromDpi) {
  const std::string known = scratch_.put("known.png", png(ring_and_disc(), {.dpi = 254}));
  ASSERT_EQ(trace({known, "--tolerance", "0.1mm", "--report", scratch_ / "known.json"}).status, 0);
  EXPECT_NEAR(nlohmann::json::parse(contents(scratch_ / "known.json"))["tolerance_px"].get<double>(), 1.0, 1e-9);
  EXPECT_EQ(read_svg(contents(scratch_ / "known.svg")).width, "42mm");

  ASSERT_EQ(trace({scan(), "--tolerance=0.1mm", "--dpi", "508", "--report", scratch_ / "scan.json"}).status, 0);
  EXPECT_NEAR(nlohmann::json::parse(contents(scratch_ / "scan.json"))["tolerance_px"].get<double>(), 2.0, 1e-9);
  EXPECT_EQ(read_svg(contents(scratch_ / "scan.svg")).width, "21mm");

  const Ran ran = trace({scan("unknown.png"), "--tolerance", "1mm"});
  EXPECT_EQ(ran.status, 6);
  EXPECT_NE(ran.err.find("give --dpi"), std::string::npos) << ran.err;
  EXPECT_FALSE(fs::exists(scratch_ / "unknown.svg"));
}

TEST_F(Cli, CropKeepsTheCoordinatesOfTheWholeScan) {
  const std::string whole = scan();
  ASSERT_EQ(trace({whole, "--out", scratch_ / "whole.svg"}).status, 0);
  ASSERT_EQ(trace({whole, "--crop", "230,30,190,180", "--out", scratch_ / "part.svg"}).status, 0);
  const Svg all = read_svg(contents(scratch_ / "whole.svg")), part = read_svg(contents(scratch_ / "part.svg"));
  EXPECT_EQ(part.view_box, "0 0 420 240");
  ASSERT_EQ(part.paths.size(), 1u);
  ASSERT_EQ(all.paths.size(), 2u);
  const auto got = extent(part.paths[0]), expected = extent(all.paths[1]);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(got[i], expected[i], 0.2);
}

TEST_F(Cli, ASidewaysPhotoIsTracedUpright) {
  Raster colour{420, 240, 3, 8, std::vector<std::uint16_t>(420 * 240 * 3, 255)};
  add_disc(colour, 120, 120, 90, 50);
  add_disc(colour, 320, 120, 60);
  const std::string photo = scratch_.put("photo.jpg", jpeg(stored_for(colour, 6), {.orientation = 6}));
  ASSERT_EQ(trace({photo}).status, 0);
  const Svg svg = read_svg(contents(scratch_ / "photo.svg"));
  EXPECT_EQ(svg.view_box, "0 0 420 240");
  ASSERT_EQ(svg.paths.size(), 2u);
  EXPECT_EQ(svg.paths[0].contours.size(), 2u) << "the ring is left";
  EXPECT_NEAR(extent(svg.paths[0])[0], 30, 1);
}

TEST_F(Cli, AToleranceThatIsHeldSaysThatTheLineIsKnownLessNearly) {
  const std::string file = scan();
  const Ran raised = trace({file, "--tolerance", "0.02px"}),
            held = trace({file, "--tolerance", "0.02px", "--hold-tolerance"});
  EXPECT_EQ(held.status, 0) << held.err;
  EXPECT_EQ(raised.out.find("is finer than the line is known"), std::string::npos) << raised.out;
  EXPECT_NE(raised.out.find(" held for a tolerance of 0.02 px"), std::string::npos) << raised.out;
  EXPECT_NE(raised.err.find("px only"), std::string::npos) << raised.err;
  EXPECT_NE(held.out.find(", the tolerance of 0.02 px is finer than the line is known, "), std::string::npos)
      << held.out;
  EXPECT_EQ(held.out.find(" held for a tolerance"), std::string::npos) << held.out;
  EXPECT_NE(held.err.find("px only"), std::string::npos) << "no finer known for being followed: " << held.err;
  const Ran enough = trace({file, "--tolerance", "2px", "--hold-tolerance"});
  EXPECT_EQ(enough.out.find("finer than"), std::string::npos) << enough.out;
}

TEST_F(Cli, QuietSaysNothing) {
  const Ran ran = trace({scan(), "--quiet"});
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out + ran.err, "");
  EXPECT_EQ(files(), (Names{"scan.png", "scan.svg"}));
}

TEST_F(Cli, TheSameScanGivesTheSameBytes) {
  const std::string one = scan();
  ASSERT_EQ(trace({one, "--out", scratch_ / "1.svg"}).status, 0);
  ASSERT_EQ(trace({one, "--out", scratch_ / "2.svg"}).status, 0);
  EXPECT_EQ(contents(scratch_ / "1.svg"), contents(scratch_ / "2.svg"));
}

TEST_F(Cli, ChoicesReachTheTracer) {
  const std::string one = scan();
  for (const char* drawing : {"auto", "outlined", "filled", "lines"})
    EXPECT_EQ(trace({one, "--drawing", drawing}).status, 0);
  ASSERT_EQ(trace({one, "--tolerance", "auto", "--report", scratch_ / "auto.json"}).status, 0);
  EXPECT_GE(nlohmann::json::parse(contents(scratch_ / "auto.json"))["tolerance_px"].get<double>(), 0.5);
  ASSERT_EQ(trace({one, "--extremes", "free", "--report", scratch_ / "free.json"}).status, 0);
  ASSERT_EQ(trace({one, "--extremes", "required", "--report", scratch_ / "required.json"}).status, 0);
  EXPECT_LT(nlohmann::json::parse(contents(scratch_ / "free.json"))["segments"].get<int>(),
            nlohmann::json::parse(contents(scratch_ / "required.json"))["segments"].get<int>());
}

TEST_F(Cli, HelpTeachesAndVersionTells) {
  const Ran help = trace({"--help"});
  EXPECT_EQ(help.status, 0);
  EXPECT_EQ(help.err, "");
  for (const char* word : {"Examples:", "batten trace letter.png", "--tolerance", "--crop", "--overlay", "Exit status"})
    EXPECT_NE(help.out.find(word), std::string::npos) << word;
  const Ran version = run(BATTEN_CLI, {"--version"});
  EXPECT_EQ(version.status, 0);
  EXPECT_EQ(version.out.rfind("batten ", 0), 0u) << version.out;
}

}  // namespace
}  // namespace batten
