// PDF and EPS, looked at by poppler's pdfinfo and by their own text. Pictures: tests/slow/formats_agree.

#include <gtest/gtest.h>

#include <limits>
#include <regex>

#include "batten/files.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

Drawing half_disc(double dpi) {
  Drawing drawing;
  drawing.width_px = 600, drawing.height_px = 300, drawing.dpi = dpi;
  Outline outline;
  outline.nodes = {{{100, 200}, {100, 200}, {100, 120}, false, Reason::corner},
                   {{220, 120}, {220, 200}, {220, 200}, false, Reason::corner}};
  drawing.outlines = {outline};
  return drawing;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t found = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++found;
  return found;
}

std::string pdfinfo(const std::string& bytes) {
  const Scratch scratch;
  const Ran ran = run("pdfinfo", {scratch.put("page.pdf", bytes)});
  EXPECT_EQ(ran.status, 0) << "apt-get install poppler-utils: " << ran.err;
  EXPECT_EQ(ran.err, "") << "poppler has nothing to complain of";
  return ran.out;
}

TEST(WritePage, ThePdfPageHasTheSizeOfTheSheet) {
  // 600 x 300 px at 150 dpi are 4 x 2 inches: 288 x 144 points.
  const Result<std::string> pdf = to_pdf(half_disc(150), {"Büro (1)"});
  ASSERT_TRUE(pdf.ok());
  const std::string info = pdfinfo(*pdf);
  EXPECT_NE(info.find("288 x 144 pts"), std::string::npos) << info;
  EXPECT_NE(info.find("Title:           Büro (1)"), std::string::npos) << info;
  EXPECT_NE(info.find("Pages:           1"), std::string::npos) << info;
  EXPECT_EQ(info.find("CreationDate"), std::string::npos) << "the same drawing gives the same bytes";
  EXPECT_EQ(pdf->find("/Image"), std::string::npos) << "no raster";
}

TEST(WritePage, WithoutAResolutionAPixelIsThatOfAnSvg) {
  const Result<std::string> pdf = to_pdf(half_disc(0));
  ASSERT_TRUE(pdf.ok());
  EXPECT_NE(pdfinfo(*pdf).find("450 x 225 pts"), std::string::npos) << "1/96 inch";
}

TEST(WritePage, AHugeSheetIsScaledToTheLargestPage) {
  Drawing drawing = half_disc(72);
  drawing.width_px = 28800;
  const Result<std::string> pdf = to_pdf(drawing);
  ASSERT_TRUE(pdf.ok());
  EXPECT_NE(pdfinfo(*pdf).find("14400 x 150 pts"), std::string::npos);
}

TEST(WritePage, TheEpsHoldsTheCurvesAndABoxAroundThem) {
  const Result<std::string> eps = to_eps(half_disc(72), {"Büro (1)"});
  ASSERT_TRUE(eps.ok());
  EXPECT_TRUE(eps->starts_with("%!PS-Adobe-3.0 EPSF-3.0\n"));
  EXPECT_NE(eps->find("\n%%Title: (B??ro ?1?)\n"), std::string::npos);
  // Half an ellipse, 3/4 of its handles' 80 px high: y from 200 to 140, which are 100 to 160 from below.
  EXPECT_NE(eps->find("\n%%BoundingBox: 100 100 220 160\n"), std::string::npos) << *eps;
  EXPECT_NE(eps->find("100 200 m 100 120 220 120 220 200 c h"), std::string::npos) << "as drawn, y down";
  EXPECT_EQ(eps->substr(eps->find("%%EndProlog")).find("image"), std::string::npos) << "no raster";
  EXPECT_EQ(eps->find("CreationDate"), std::string::npos);
  EXPECT_EQ(count(*eps, "%%Creator: batten "), 1u);
}

TEST(WritePage, TheSameDrawingGivesTheSameBytes) {
  EXPECT_EQ(*to_pdf(half_disc(300)), *to_pdf(half_disc(300)));
  EXPECT_EQ(*to_eps(half_disc(300)), *to_eps(half_disc(300)));
}

TEST(WritePage, AnEmptyDrawingIsAnEmptyPage) {
  Drawing drawing;
  EXPECT_NE(pdfinfo(*to_pdf(drawing)).find("1 x 1 pts"), std::string::npos);
  EXPECT_TRUE(to_eps(drawing).ok());
}

TEST(WritePage, ASheetThatNoPageCanShowIsRefusedInWords) {
  const double infinite = std::numeric_limits<double>::infinity(), none = std::numeric_limits<double>::quiet_NaN();
  const auto refuse = [](const Drawing& drawing) {
    for (const auto& page : {to_pdf(drawing), to_eps(drawing)}) {
      ASSERT_FALSE(page.ok());
      EXPECT_EQ(page.error().code, ErrorCode::bad_option);
      EXPECT_NE(page.error().message.find("finite"), std::string::npos);
    }
  };
  for (const double odd : {infinite, none, 1e300}) {
    Drawing drawing = half_disc(72);
    drawing.width_px = odd;
    refuse(drawing);
    drawing = half_disc(72), drawing.height_px = odd;
    refuse(drawing);
  }
  refuse(half_disc(1e300));
  refuse(half_disc(infinite));
  Drawing drawing = half_disc(72);
  drawing.origin.x = none;
  refuse(drawing);
}

}  // namespace
}  // namespace batten
