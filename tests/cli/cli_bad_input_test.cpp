// What the command does with what it cannot use: one line that says what to try, an exit status, and no file.

#include <gtest/gtest.h>

#include <filesystem>

#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
using namespace std::string_literals;
namespace fs = std::filesystem;

class CliBadInput : public ::testing::Test {
 protected:
  // Runs `batten trace arguments`, and expects a failure of this status with one line that holds `says`.
  void expect_failure(std::vector<std::string> arguments, int status, const std::string& says) {
    const std::size_t before = entries();
    arguments.insert(arguments.begin(), "trace");
    const Ran ran = run(BATTEN_CLI, arguments);
    std::string command;
    for (const std::string& argument : arguments) command += argument + " ";
    EXPECT_EQ(ran.status, status) << command << "\n" << ran.err;
    EXPECT_EQ(ran.out, "") << command;
    EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 1) << command << "\n" << ran.err;
    EXPECT_NE(ran.err.find(says), std::string::npos) << command << "\n" << ran.err;
    EXPECT_EQ(entries(), before) << command << "left a file behind";
  }
  std::size_t entries() {
    return static_cast<std::size_t>(std::distance(fs::recursive_directory_iterator(scratch_.path()), {}));
  }
  std::string put(const std::string& name, const std::string& bytes) { return scratch_.put(name, bytes); }
  std::string scan() { return put("scan.png", png(ring_and_disc())); }
  using Words = std::vector<std::string>;
  Scratch scratch_;
};

TEST_F(CliBadInput, ScansThatCannotBeRead) {
  const std::string good_png = png(ring_and_disc()), good_jpeg = jpeg(ring_and_disc());
  expect_failure({scratch_ / "nowhere.png"}, 3, "does not exist");
  expect_failure({scratch_.path()}, 3, "is a folder");
  expect_failure({put("empty.png", "")}, 3, "is empty");
  expect_failure({put("text.png", "hello\n")}, 3, "is a text file");
  expect_failure({put("page.pdf", "%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")}, 3, "export its page as PNG");
  expect_failure({put("photo.heic",
                      "\0\0\0\x18"
                      "ftypheic\0\0\0\0mif1heic"s)},
                 3, "HEIC");
  expect_failure({put("cut.png", good_png.substr(0, good_png.size() / 2))}, 3, "cut short");
  expect_failure({put("nearly.png", good_png.substr(0, good_png.size() - 1))}, 3, "cut short");
  expect_failure({put("cut.jpg", good_jpeg.substr(0, good_jpeg.size() / 2))}, 3, "cut short");
  expect_failure({put("nearly.jpg", good_jpeg.substr(0, good_jpeg.size() - 1))}, 3, "cut short");
  expect_failure({put("huge.pgm", "P5 30000 30000 255\n")}, 3, "30000 x 30000 px, over the limit");
}

TEST_F(CliBadInput, SheetsWithNothingToTrace) {
  Raster black = paper(300, 200);
  black.samples.assign(black.samples.size(), 0);
  expect_failure({put("white.png", png(paper(300, 200)))}, 4, "white.png: ");
  expect_failure({put("black.png", png(black))}, 4, "black.png: ");
  expect_failure({put("dot.png", png(paper(1, 1)))}, 4, "dot.png: ");
}

TEST_F(CliBadInput, ArgumentsOutOfRange) {
  const std::string one = scan();
  for (const char* value : {"-1", "0", "nan", "inf", "1parsec", "", "px", "1e99px", "0x1px", "1,5px", "1pxmm"})
    expect_failure({one, "--tolerance", value}, 2, "--tolerance");
  for (const char* value : {"0", "-300", "nan", "many"}) expect_failure({one, "--dpi", value}, 2, "--dpi");
  for (const char* value :
       {"1,2,3", "1,2,3,4,5", "a,b,c,d", "0,0,0,10", "-1,0,10,10", "0,0,99999999999,1", "0,0,421,10", "420,0,1,1"})
    expect_failure({one, "--crop", value}, 2, "--crop");
  expect_failure({one, "--drawing", "painted"}, 2, "auto, outlined, filled or lines");
  expect_failure({one, "--extremes", "some"}, 2, "required or free");
  expect_failure({one, "--frobnicate"}, 2, "--frobnicate");
  expect_failure({}, 2, "SCAN");
  EXPECT_EQ(run(BATTEN_CLI, {}).status, 2);
  EXPECT_EQ(run(BATTEN_CLI, {"draw", one}).status, 2);
}

TEST_F(CliBadInput, ResultsThatWouldClash) {
  const std::string one = scan(), two = put("other/scan.png", png(ring_and_disc()));
  expect_failure({one, two, "--out", scratch_ / "one.svg"}, 2, "several scans");
  expect_failure({one, two, "--out", scratch_ / "out"}, 2, "Two results");
  expect_failure({one, "--overlay", scratch_.path()}, 2, "is read and would be written over");
  expect_failure({one, "--overlay", one}, 2, "is read and would be written over");
  fs::create_symlink(one, scratch_ / "link.png");
  expect_failure({one, "--overlay", scratch_ / "link.png"}, 2, "is read and would be written over");
  expect_failure({put("named.svg", png(ring_and_disc()))}, 2, "is read and would be written over");
}

TEST_F(CliBadInput, FormatsThatDoNotFit) {
  const std::string one = scan(), two = put("other/scan.png", png(ring_and_disc()));
  expect_failure({one, "--out", scratch_ / "out.docx"}, 2, ".svg, .pdf, .eps, .json or .ufo");
  expect_failure({one, "--out", scratch_ / "out.pdf", "--format", "svg"}, 2, "do not agree");
  expect_failure({one, "--out", scratch_ / "out.pdf", "--format", "svg,pdf"}, 2, "several formats");
  expect_failure({one, two, "--out", scratch_ / "out.ufo"}, 2, "several scans");
  expect_failure({one, "--format", "docx"}, 2, "svg, pdf, eps, json or ufo");
  expect_failure({one, "--format", ""}, 2, "--format");
  expect_failure({one, "--format", "svg,svg"}, 2, "twice");
  expect_failure({one, "--format", "json", "--report", scratch_ / "scan.json"}, 2, "Two results");
  expect_failure({one, "--format", "pdf", "--nodes"}, 2, "--nodes");
  for (std::vector<std::string> font :
       {Words{"--names", "A,B"}, {"--em", "100px"}, {"--units-per-em", "1000"}, {"--baseline", "210"}}) {
    font.insert(font.begin(), one);
    expect_failure(font, 2, font[1] + " is for fonts");
  }
}

TEST_F(CliBadInput, FontsThatCannotBe) {
  const std::string one = scan(), two = put("other/scan2.png", png(ring_and_disc()));
  const std::string out = scratch_ / "out.ufo";
  expect_failure({one, "--out", out, "--names", "A"}, 7, "2 glyphs");
  expect_failure({one, "--out", out, "--names", "A,B,C"}, 7, "3 names");
  expect_failure({one, "--out", scratch_ / "all", "--format", "svg,ufo,pdf", "--names", "A"}, 7, "scan.png: ");
  expect_failure({one, two, "--out", scratch_ / "all", "--format", "ufo", "--names", "A,B"}, 2, "several scans");
  for (const char* names : {"A,A", "A,", ",", "A, B", "A,\xff"})
    expect_failure({one, "--out", out, "--names", names}, 2, "--names");
  for (const char* units : {"0", "many", "1e3", "99999"})
    expect_failure({one, "--out", out, "--units-per-em", units}, 2, "--units-per-em");
  for (const char* em : {"0", "-1px", "tall", "nan", "inf"}) expect_failure({one, "--out", out, "--em", em}, 2, "--em");
  expect_failure({one, "--out", out, "--em", "10mm"}, 6, "--em in px");
  for (const char* lines : {"low", "1,2,x", "nan"})
    expect_failure({one, "--out", out, "--baseline", lines}, 2, "--baseline");
  expect_failure({one, "--out", out, "--baseline", "100,200"}, 2, "1 row of letters");
  put("other.ufo/notes.txt", "x");
  expect_failure({one, "--out", scratch_ / "other.ufo"}, 5, "a folder of something else");
  expect_failure({one, "--out", put("file.ufo", "x")}, 5, "it is a file");
}

TEST_F(CliBadInput, FontsBeyondAllMeasure) {
  const std::string one = scan(), font = scratch_ / "f.ufo";
  for (const char* em : {"1e-308px", "1e-5px", "1e9px", "1e308px"})
    expect_failure({one, "--out", font, "--em", em}, 2, "The em given does not fit letters of");
  for (const char* y : {"1e9", "-1", "100000", "1e300"})
    expect_failure({one, "--out", font, "--baseline", y}, 2, "off the sheet");
}

TEST_F(CliBadInput, OneCommandAtATime) {
  expect_failure({scan(), "sweep", scan()}, 2, "Two commands are given");
  for (const char* size : {"0MB", "-1GB", "lots", "100", "1e99GB", "nanMB", ""})
    expect_failure({scan(), "--most-memory", size}, 2, "--most-memory");
  expect_failure({scan(), "--most-memory", "1MB"}, 3, "MB of memory are needed, and 1 MB may be used");
}

TEST_F(CliBadInput, PlacesThatCannotBeWritten) {
  const std::string one = scan(), file = put("file", "x");
  expect_failure({one, "--out", file + "/below"}, 5, "Cannot make the folder");
  expect_failure({one, "--out", "/proc/nowhere/scan.svg"}, 5, "Cannot make the folder");
  expect_failure({one, "--out", "/proc/scan.svg"}, 5, "Cannot write");
  if (geteuid() != 0) {  // root may write anywhere
    fs::create_directory(scratch_ / "locked");
    fs::permissions(scratch_ / "locked", fs::perms::owner_read | fs::perms::owner_exec);
    expect_failure({one, "--out", scratch_ / "locked"}, 5, "permission denied");
  }
}

TEST_F(CliBadInput, ALineBreakInANameStaysOneLine) {
  expect_failure({scratch_ / "a\nb.png"}, 3, "a?b.png does not exist");
}

}  // namespace
}  // namespace batten
