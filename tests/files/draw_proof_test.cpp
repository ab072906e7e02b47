// The proof as PNG and PDF: is everything where it should be?

#include <gtest/gtest.h>

#include "batten/files.h"
#include "support/process.h"
#include "support/scratch.h"
#include "support/traced.h"

namespace batten {
namespace {

using namespace batten::testing;

// Near the outline's own colour, (0, 107, 102)?
bool outline_at(const Raster& raster, int x, int y) {
  for (int dy = -1; dy <= 1; ++dy)
    for (int dx = -1; dx <= 1; ++dx)
      if (raster.at(x + dx, y + dy, 0) < 60 && raster.at(x + dx, y + dy, 1) > 70 && raster.at(x + dx, y + dy, 1) < 150)
        return true;
  return false;
}

// The disc: centre (320, 120), radius 60; the picture begins 24 px from the left and 83.5 px from the top.
constexpr double left = 24, top = 24 + 3.5 * 17;

TEST(DrawProof, ThePngShowsTheOutlineWhereItIs) {
  const Scratch scratch;
  const Traced t = traced();
  const Result<std::string> proof = to_proof_png(t.picture, t.conversion, {"scan.png"});
  ASSERT_TRUE(proof.ok());
  const Result<Picture> read = read_picture(scratch.put("proof.png", *proof));
  ASSERT_TRUE(read.ok());
  const Raster raster = raster_of(*read);
  EXPECT_EQ(read->dpi, 900) << "three px for each of the scan";
  for (const double deg : {30., 60., 135., 200., 250., 290.}) {
    const double a = deg / 57.29578;
    const auto at = [&](double r) {
      return Point{left + 3 * (320 + r * std::cos(a)), top + 3 * (120 + r * std::sin(a))};
    };
    EXPECT_TRUE(outline_at(raster, int(at(60).x), int(at(60).y))) << deg;
    EXPECT_FALSE(outline_at(raster, int(at(54).x), int(at(54).y))) << deg;
    EXPECT_FALSE(outline_at(raster, int(at(66).x), int(at(66).y))) << deg;
  }
}

TEST(DrawProof, ThePdfIsTheSamePictureAtTheScaleItStates) {
  const Scratch scratch;
  const Traced t = traced(ring_and_disc(), 40);  // 420 px are 756 pt: true size
  const Result<std::string> proof = to_proof_pdf(t.picture, t.conversion, {"scan.png"});
  ASSERT_TRUE(proof.ok());
  const std::string pdf = scratch.put("proof.pdf", *proof);
  const Ran info = run("pdfinfo", {pdf}), text = run("pdftotext", {"-layout", pdf, "-"});
  ASSERT_EQ(info.status, 0) << info.err;
  EXPECT_NE(info.out.find("Pages:           1"), std::string::npos) << info.out;
  for (const char* words : {"Scale 1 : 1 on paper", "corner: the direction jumps", "straightened: level",
                            "3 outlines, 12 segments", "Farthest off"})
    EXPECT_NE(text.out.find(words), std::string::npos) << words << " in " << text.out;
  ASSERT_EQ(run("pdftocairo", {"-png", "-r", "216", "-singlefile", pdf, scratch / "page"}).status, 0);
  const Raster raster = raster_of(*read_picture(scratch / "page.png"));
  const double scale = 216. / 72, pt = 72. / 40;
  const int x = int(scale * (left + pt * (320 - 60 * 0.7071))), y = int(scale * (top + pt * (120 + 60 * 0.7071)));
  EXPECT_TRUE(outline_at(raster, x, y));
  EXPECT_FALSE(outline_at(raster, x - 15, y + 15));
}

TEST(DrawProof, RefusesWhatItCannotDrawAndTakesAnyName) {
  const Traced t = traced();
  EXPECT_EQ(to_proof_png(Picture{}, t.conversion).error().code, ErrorCode::bad_pixels);
  EXPECT_EQ(to_proof_pdf(Picture{}, t.conversion).error().code, ErrorCode::bad_pixels);
  EXPECT_TRUE(to_proof_png(t.picture, t.conversion, {"\xff\n.png"}).ok());
  EXPECT_TRUE(to_proof_pdf(t.picture, Conversion{}, {"a.png"}).ok());
}

TEST(DrawProof, ShowsNamesOfOtherAlphabets) {
  const Scratch scratch;
  const Traced t = traced();
  const Result<std::string> proof = to_proof_pdf(t.picture, t.conversion, {"Gr\u00fc\u00dfe.png"});
  ASSERT_TRUE(proof.ok());
  const Ran text = run("pdftotext", {scratch.put("proof.pdf", *proof), "-"});
  EXPECT_NE(text.out.find("Gr\u00fc\u00dfe.png"), std::string::npos) << text.out;
}

}  // namespace
}  // namespace batten
