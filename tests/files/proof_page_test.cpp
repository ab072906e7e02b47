// The page as a text; what it does in a browser is in tests/browser/.

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <regex>

#include "batten/files.h"
#include "support/scratch.h"
#include "support/traced.h"

namespace batten {
namespace {

using namespace batten::testing;

nlohmann::json data_of(const std::string& page) {
  const std::string open = "<script type=\"application/json\" id=\"data\">";
  const std::size_t begin = page.find(open) + open.size();
  return nlohmann::json::parse(page.substr(begin, page.find("</script>", begin) - begin));
}

TEST(ProofPage, HoldsTheReportAsToJsonHasIt) {
  const Traced t = traced();
  const Result<std::string> page = to_proof_page(t.picture, t.conversion, {"a/b & c.png", 2});
  ASSERT_TRUE(page.ok());
  EXPECT_EQ(data_of(*page)["reports"][0], nlohmann::json::parse(to_json(t.conversion, {"a/b & c.png", 2})));
  EXPECT_NE(page->find("<h1>b &amp; c.png</h1>"), std::string::npos);
  EXPECT_NE(page->find("<p id=\"summary\">3 outlines, 12 segments; largest deviation "), std::string::npos);
}

TEST(ProofPage, NamesNoAddressButItsOwnData) {
  const Traced t = traced();
  const std::string page = *to_proof_page(t.picture, t.conversion);
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
  const std::regex address("(src|href)=\"([^\"]{0,11})");
  for (auto it = std::sregex_iterator(page.begin(), page.end(), address); it != std::sregex_iterator(); ++it)
    EXPECT_EQ((*it)[2].str().substr(0, 5), "data:") << it->str();
  for (const char* word : {"@import", "fetch(", "XMLHttpRequest", "url("})
    EXPECT_EQ(page.find(word), std::string::npos) << word;
  EXPECT_EQ(page.find("{{"), std::string::npos);
}

TEST(ProofPage, AScanCannotBreakOutOfThePage) {
  const Traced t = traced();
  const std::string name = "</script><script>alert(1)</script>\".png\xff";
  const std::string page = *to_proof_page(t.picture, t.conversion, {name});
  EXPECT_EQ(page.find("<script>alert"), std::string::npos);
  EXPECT_NE(data_of(page)["reports"][0]["scan"].get<std::string>().find("</script><script>alert(1)"),
            std::string::npos);
}

TEST(ProofPage, LargeScansAreShownReducedAndStayInPlace) {
  Raster large = paper(4200, 3000);
  add_disc(large, 2000, 1500, 300);
  const Traced t = traced(large);
  const std::string page = *to_proof_page(t.picture, t.conversion);
  EXPECT_NE(page.find("width=\"4200\" height=\"3000\""), std::string::npos) << "px of the scan, not of the copy";
  EXPECT_NE(page.find("data:image/webp;base64,"), std::string::npos);
  EXPECT_LT(page.size(), 2000000u);
}

TEST(ProofPage, ASweepHasAReportForEachToleranceAndItsMarks) {
  const Traced t = traced();
  const Result<Located> sketch = locate(t.picture.view(), {.dpi = 300});
  const Result<Sweep> swept = sweep(*sketch, std::vector<double>{0.5, 1, 2});
  ASSERT_TRUE(swept.ok());
  const auto data = data_of(*to_proof_page(t.picture, *swept, {"s.png"}));
  ASSERT_EQ(data["reports"].size(), 3u);
  EXPECT_EQ(data["reports"][1]["tolerance_px"], 1.0);
  EXPECT_EQ(data["sweep"]["recommended"], swept->recommended);
  EXPECT_EQ(to_proof_page(t.picture, Sweep{}).error().code, ErrorCode::bad_option);
}

TEST(ProofPage, NeedsThePicture) {
  EXPECT_EQ(to_proof_page(Picture{}, Conversion{}).error().code, ErrorCode::bad_pixels);
}

}  // namespace
}  // namespace batten
