// refit_svg(): what changes in the text of a file, and that nothing else does.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "batten/files.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "path_grammar.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

constexpr const char* root =
    "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' viewBox='0 0 400 400'>";

std::string svg(const std::string& body) { return root + body + "</svg>"; }

Result<RefittedSvg> refitted(const std::string& bytes, double tolerance = 0.25, LengthUnit unit = LengthUnit::px,
                             const Options& options = {}) {
  const Scratch scratch;
  return refit_svg(scratch.put("a.svg", bytes), tolerance, unit, options);
}

// What the file has become; "" and a failure where it was refused.
std::string text(const std::string& bytes, double tolerance = 0.25) {
  const Result<RefittedSvg> out = refitted(bytes, tolerance);
  EXPECT_TRUE(out.ok()) << out.error().message;
  return out ? out->bytes : "";
}

// A circle cut into so many straights, from its rightmost place on.
std::string circle_points(int n, Point centre, double radius) {
  std::string out;
  for (int i = 0; i < n; ++i)
    out += (i ? " " : "") + decimal(centre.x + radius * std::cos(2 * M_PI * i / n), 4) + "," +
           decimal(centre.y + radius * std::sin(2 * M_PI * i / n), 4);
  return out;
}

std::string cut(const std::string& from, const std::string& before, const std::string& after) {
  const std::size_t at = from.find(before);
  if (at == from.npos) return "";
  return from.substr(at + before.size(), from.find(after, at + before.size()) - at - before.size());
}

TEST(RefitSvg, OnlyThePathDataChange) {
  const std::string head =
      "<?xml version='1.0'?>\r\n<!-- d='M0 0' -->\n<!DOCTYPE svg [<!ENTITY e 'x'>]>\n"
      "<svg xmlns='http://www.w3.org/2000/svg' width='50%' height='10cm' viewBox='0 0 100 100'>\n"
      "<style>/* d='no' */ .a:hover > path { stroke : red }</style>\n"
      "<odd:thing xmlns:odd='urn:x' d='M 1 1'  ><![CDATA[ <path d='M0 0h1h1'/> ]]></odd:thing>\n"
      "<g transform = 'rotate(10)' class=\"a  b\">";
  const std::string before = "<path\tid='p' style='fill:none'\n\td = \"",
                    after =
                        "\"  stroke=\"&#35;123\" data-d='keep &amp; so' /></g>\n<text x='5'>5 &lt; "
                        "6</text><unknown/></svg>\n<!-- end -->";
  const std::string out = text(head + before + "M10 10h10h10 h10v10v30h-30z" + after);
  EXPECT_EQ(out, head + before + "M10 10H40V50H10Z" + after);
}

TEST(RefitSvg, AFileWithNothingToDoStaysAsItIs) {
  for (const std::string& body :
       {std::string("<circle cx='50' cy='50' r='20'/><rect width='30' height='10' rx='2'/><line x2='9'/>"),
        std::string("<path d='M10,10 L90 , 10 90 90Z'/>"), std::string("<path d='m10 10 a40 40 0 0 1 80 0z'/>"),
        std::string(), std::string("<path/><path d=''/><path d='M5 5z'/><polyline points=''/>")}) {
    const auto out = refitted(svg(body));
    ASSERT_TRUE(out.ok()) << body << out.error().message;
    EXPECT_EQ(out->bytes, svg(body));
    EXPECT_EQ(out->counts.refitted, 0u);
    EXPECT_EQ(out->counts.nodes_before, out->counts.nodes_after);
  }
}

TEST(RefitSvg, ACutCircleHasFourNodesAgain) {
  const auto out = refitted(svg("<path d='M" + circle_points(200, {200, 200}, 150) + "Z'/>"));
  ASSERT_TRUE(out.ok());
  EXPECT_EQ(out->counts.nodes_before, 200u);
  EXPECT_EQ(out->counts.nodes_after, 4u);
  EXPECT_LT(out->counts.change_px, 0.25);
  bool sound = false;
  const std::vector<Outline> made = read_path(cut(out->bytes, "d='", "'"), &sound);
  ASSERT_TRUE(sound && made.size() == 1);
  for (const Node& n : made[0].nodes) {  // the circle's own formula
    EXPECT_NEAR(std::hypot(n.at.x - 200, n.at.y - 200), 150, 0.25);
    EXPECT_TRUE(std::abs(n.at.x - 200) < 1 || std::abs(n.at.y - 200) < 1) << n.at.x << " " << n.at.y;
  }
  EXPECT_NEAR(signed_area_px2(made[0]), M_PI * 150 * 150, 0.25 * 2 * M_PI * 150);  // and it runs the way it did
  EXPECT_NEAR(made[0].nodes[0].at.x, 350, 0.25);                                   // from where it did
}

TEST(RefitSvg, DirectionAndSubpathsStay) {
  const std::string round = circle_points(100, {200, 200}, 150), hole = circle_points(60, {200, 200}, 80);
  std::string turned;
  for (std::size_t end = hole.size(); end != 0;) {
    const std::size_t blank = hole.rfind(' ', end - 1);
    turned += (turned.empty() ? "" : " ") +
              hole.substr(blank == hole.npos ? 0 : blank + 1, end - (blank == hole.npos ? 0 : blank + 1));
    end = blank == hole.npos ? 0 : blank;
  }
  for (const std::string& inner : {hole, turned}) {
    const std::string out = cut(text(svg("<path d='M" + round + "zM" + inner + "z'/>")), "d='", "'");
    bool sound = false;
    const std::vector<Outline> made = read_path(out, &sound);
    ASSERT_EQ(made.size(), 2u) << out;
    EXPECT_GT(signed_area_px2(made[0]), 0);
    EXPECT_EQ(signed_area_px2(made[1]) > 0, inner == hole) << out;
  }
}

// A subpath that stays is written as it was, though what counts from the end of the one before has to be turned round.
TEST(RefitSvg, SubpathsThatStayKeepTheirText) {
  const std::string out =
      cut(text(svg("<path d='m10 10 10 0 10 0 10 0 0 20-30 0zm100,0 5 0 a 5 5 0 0 1-5 5zh-20 v-4z M 7 7 z'/>")), "d='",
          "'");
  EXPECT_EQ(out, "M10 10H40V30H10ZM110 10l5 0 a 5 5 0 0 1-5 5zM110 10h-20 v-4zM 7 7 z");
}

TEST(RefitSvg, OpenPathsKeepTheirEndsExactly) {
  std::string data = "M12.3456789 200";
  for (int i = 1; i <= 100; ++i)
    data += "L" + decimal(12.3456789 + 3 * i, 7) + " " +
            decimal(200 + 60 * std::sin(0.06 * i) + (i == 100 ? 0.0003 : 0), 7);
  const std::string out = cut(text(svg("<path fill='none' d='" + data + "'/>")), "d='", "'");
  EXPECT_EQ(out.substr(0, 16), "M12.3456789 200C") << out;
  EXPECT_EQ(out.find('Z'), out.npos);
  EXPECT_NE(out.find(data.substr(data.rfind('L') + 1)), out.npos) << out << "\n" << data;
  EXPECT_LE(std::count(out.begin(), out.end(), 'C'), 4);
}

// Two ends that meet have caps, not a join: they are not joined, and stay where they are.
TEST(RefitSvg, EndsThatMeetStayEnds) {
  const std::string out =
      cut(text(svg("<path d='M" + circle_points(100, {200, 200}, 150) + " 350,200'/>")), "d='", "'");
  EXPECT_EQ(out.find('Z'), out.npos) << out;
  EXPECT_EQ(out.substr(0, 9), "M350 200C") << out;
  EXPECT_EQ(out.substr(out.size() - 8), " 350 200") << out;
}

TEST(RefitSvg, ToleranceIsMeasuredOnThePage) {
  // A circle of 10 units is seen ten times as large: 0.25 px of the page are 0.025 of its own.
  const std::string circle = circle_points(400, {0, 0}, 10);
  const auto out = refitted(svg("<g transform='translate(200 200) scale(10)'><path d='M" + circle + "z'/></g>"));
  ASSERT_TRUE(out.ok());
  EXPECT_EQ(out->counts.nodes_after, 4u);
  bool sound = false;
  const Outline made = read_path(cut(out->bytes, "d='", "'"), &sound)[0];
  bool b = false;
  const Outline was = read_path("M" + circle + "z", &b)[0];
  std::vector<Point> points;
  for (const Node& n : was.nodes) points.push_back(n.at);
  EXPECT_LT(measure(made, points, 0.01).max_px, 0.025);
  EXPECT_GT(out->counts.change_px, 5 * measure(made, points, 0.01).max_px);
  // In mm: the page is 400 units of a quarter of a mm.
  const std::string page =
      "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 400 400'>";
  const auto fine =
      refitted(page + "<path d='M" + circle_points(400, {200, 200}, 150) + "z'/></svg>", 0.05, LengthUnit::mm);
  ASSERT_TRUE(fine.ok());
  EXPECT_NEAR(fine->conversion.report.tolerance_px, 0.2, 1e-9);
}

TEST(RefitSvg, TheLargestUseDecides) {
  const std::string arc = "<defs><path id='p' d='M0 0L1 .5L2 .8L3 1L4 1.1L5 1.1L6 1L7 .8L8 .5L9 0'/></defs>";
  const auto nodes = [&](const std::string& uses) {
    const auto out = refitted(svg(arc + uses), 0.25);
    EXPECT_TRUE(out.ok());
    return out ? out->counts.nodes_after : 0;
  };
  EXPECT_LE(nodes("<use xlink:href='#p'/>"), 3u);
  EXPECT_LE(nodes("<use xlink:href='#p'/><use href='#p' transform='scale(10)'/>"), 4u);
  EXPECT_EQ(nodes("<use xlink:href='#p'/><use href='#p' transform='scale(1000)'/>"), 10u);
  EXPECT_EQ(nodes("<use href='#p' transform='scale(1 1000)'/><use href='#p' transform='scale(1000 1)'/>"), 10u);
  EXPECT_EQ(nodes(""), 0u);  // it is not painted
}

TEST(RefitSvg, PolylinesGetFewerPointsOrBecomePaths) {
  EXPECT_EQ(text(svg("<polygon class='k' points='10,10 20,10 30,10 30,40 10,40'/>")),
            svg("<polygon class='k' points='10,10 30,10 30,40 10,40'/>"));
  const std::string round = circle_points(60, {200, 200}, 150);
  const std::string out = text(svg("<polygon class='k' points='" + round + "' id='q'><title>t</title></polygon>"));
  EXPECT_NE(out.find("<path class='k' d='M"), out.npos) << out;
  EXPECT_NE(out.find("Z' id='q'><title>t</title></path></svg>"), out.npos) << out;
  // What is named as what it is has to stay it.
  for (const char* more : {"<style>polygon{fill:red}</style>", "<script>1</script>"}) {
    const std::string named = svg(more + ("<polygon points='" + round + "'/>"));
    const auto left = refitted(named);
    ASSERT_TRUE(left.ok());
    EXPECT_EQ(left->bytes, named);
    EXPECT_EQ(left->counts.nodes_after, 60u);
    EXPECT_EQ(left->conversion.report.findings.size(), 1u);
  }
}

TEST(RefitSvg, WhatMayNotChangeIsLeftAndSaid) {
  const std::string d = "d='M10 10h10h10h10v30h-30z'";
  for (const std::string& body : {
           "<path " + d + "><animate attributeName='d' to='M0 0'/></path>",
           "<path id='m' " + d + "/><animate href='#m' attributeName='d'/>",
           "<g marker-mid='url(#x)'><path " + d + "/></g>",
           "<path style='marker : url(#x)' " + d + "/>",
           "<path style='fill:red;d:path(\"M0 0h9\")' " + d + "/>",
           "<path transform='scale(0 1)' " + d + "/>",
           "<path transform='scale(nan)' " + d + "/>",
           std::string("<path d='M10 10h10h10h10v30h-30zq'/>"),
           std::string("<path d='M10 10h10h10 nan v30z'/>"),
           "<clipPath id='c'><path " + d + "/></clipPath>",
           "<path display='none' " + d + "/>",
           "<path transform='scale(1e9)' " + d + "/>",
           std::string("<path d='M10 10h1e400h10v30h-30z'/>"),
       }) {
    const auto out = refitted(svg(body));
    ASSERT_TRUE(out.ok()) << body << out.error().message;
    EXPECT_EQ(out->bytes, svg(body));
    EXPECT_FALSE(out->conversion.report.findings.empty()) << body;
    for (const Finding& f : out->conversion.report.findings) EXPECT_EQ(f.what, Finding::What::left_as_it_was);
  }
  EXPECT_NE(text(svg("<path style='marker-mid:none' " + d + "/>")), svg("<path style='marker-mid:none' " + d + "/>"));
}

TEST(RefitSvg, ElementsOfOtherNamespacesAreNoPaths) {
  const std::string body = "<o:path xmlns:o='urn:o' d='M1 1h1h1v5z'/>";
  EXPECT_EQ(text(svg(body)), svg(body));
  const std::string prefixed =
      "<s:svg xmlns:s='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><s:path d='M1 1h1h1v5z'/></s:svg>";
  EXPECT_EQ(text(prefixed, 0.05),
            "<s:svg xmlns:s='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><s:path d='M1 1H3V6Z'/></s:svg>");
}

TEST(RefitSvg, EntitiesAreNeitherExpandedNorFetched) {
  std::string bomb = "<!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaaaaaaaaaaaa'>";
  for (char c = 'b'; c <= 'z'; ++c) {
    bomb += std::string("<!ENTITY ") + c + " '";
    for (int i = 0; i < 20; ++i) bomb += std::string("&") + char(c - 1) + ";";
    bomb += "'>";
  }
  bomb += "<!ENTITY file SYSTEM 'file:///etc/hostname'><!ENTITY % net SYSTEM 'http://127.0.0.1:9/x'> %net;]>";
  const std::string tail = svg("<text>&z;&file;</text><path d='&z;'/><path d='&file;'/>");
  const auto out = refitted(bomb + tail);
  ASSERT_TRUE(out.ok()) << out.error().message;
  EXPECT_EQ(out->bytes, bomb + tail);
}

TEST(RefitSvg, OtherBytesThanAsciiStay) {
  const std::string latin = "<?xml version='1.0' encoding='ISO-8859-1'?>" +
                            svg("<title>\xe4\xf6\xfc</title><path id='\xe9' d='M1 1h1h1v5z'/>");
  std::string expected = latin;
  expected.replace(expected.find("M1 1h1h1v5z"), 11, "M1 1H3V6Z");
  EXPECT_EQ(text(latin, 0.05), expected);
  const std::string marked = "\xef\xbb\xbf" + svg("<path d='M1 1h1h1v5z'/>");
  EXPECT_EQ(text(marked, 0.05), "\xef\xbb\xbf" + svg("<path d='M1 1H3V6Z'/>"));
}

TEST(RefitSvg, SaysWhatIsWrong) {
  const Scratch scratch;
  EXPECT_EQ(refit_svg(scratch / "none.svg", 1).error().code, ErrorCode::file_not_found);
  EXPECT_EQ(refit_svg(scratch.path(), 1).error().code, ErrorCode::not_a_drawing);
  for (const std::string& bytes : {std::string(), std::string("no xml"), std::string("<svg"), std::string("<html/>"),
                                   svg("<path d='M0 0'"), std::string("<\0s\0v\0g\0/\0>\0", 12)}) {
    const auto out = refitted(bytes);
    ASSERT_FALSE(out.ok()) << bytes;
    EXPECT_EQ(out.error().code, ErrorCode::not_a_drawing) << bytes;
    EXPECT_EQ(out.error().message.find('\n'), std::string::npos);
  }
  for (const double tolerance : {0.0, -1.0, 1e9, std::nan(""), std::numeric_limits<double>::infinity()})
    EXPECT_EQ(refitted(svg("<path d='M0 0h1h1'/>"), tolerance).error().code, ErrorCode::bad_option) << tolerance;
}

}  // namespace
}  // namespace batten
