// Where results go: one place is one place however it is spelt, devices and pipes stay, all files of a scan appear
// together, and an interrupted run leaves nothing behind.

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <thread>

#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;
using Names = std::vector<std::string>;

class CliPlaces : public ::testing::Test {
 protected:
  void SetUp() override { scratch_.put("x.png", png(ring_and_disc())), scratch_.put("x.pgm", pgm()); }

  static std::string pgm() {
    const Raster raster = ring_and_disc();
    return "P5 " + std::to_string(raster.width) + " " + std::to_string(raster.height) + " 255\n" +
           std::string(std::size_t(raster.width) * std::size_t(raster.height), char(255));
  }
  // A line of the shell, run in the scratch folder; $batten is the command.
  Ran shell(const std::string& line) {
    return run("/bin/bash", {"-c", "cd '" + scratch_.path() + "'; batten='" BATTEN_CLI "'; " + line});
  }
  Names entries() {
    Names names;
    for (const auto& entry : fs::recursive_directory_iterator(scratch_.path()))
      names.push_back(fs::relative(entry.path(), scratch_.path()).string());
    std::sort(names.begin(), names.end());
    return names;
  }
  // Nothing is traced, and the reason is that two paths lead to one place.
  void expect_clash(const std::string& line, const std::string& says) {
    const Names before = entries();
    const Ran ran = shell(line);
    EXPECT_EQ(ran.status, 2) << line << ran.err;
    EXPECT_NE(ran.err.find(says), std::string::npos) << line << "\n" << ran.err;
    EXPECT_EQ(entries(), before) << line;
  }
  Scratch scratch_;
};

TEST_F(CliPlaces, OnePlaceIsOnePlaceHoweverItIsSpelt) {
  fs::create_directory_symlink(".", scratch_ / "here");
  scratch_.put("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><path d='M1 1h9v9z'/></svg>");
  for (const char* line :
       {"$batten trace x.png ./x.pgm", "$batten trace x.png $PWD/x.pgm", "$batten trace x.png here/x.pgm",
        "$batten trace x.png new/../x.pgm", "$batten trace x.png --report y.json --format json --out ./y.json"})
    expect_clash(line, "would both be written to");
  expect_clash("$batten trace x.png --out - --report /dev/stdout", "both be written to standard output");
  expect_clash("$batten sweep x.png --plot -", "both be written to standard output");
  expect_clash("$batten trace x.png --overlay here/x.png", "is read and would be written over");
  expect_clash("ln -s x.png l.png; $batten trace l.png --overlay x.png; s=$?; rm l.png; exit $s", "is read");
  expect_clash("$batten trace x.png --out y.ufo --report y.ufo/y.json", "would be written over");
  expect_clash("cp a.svg s.html; $batten measure s.html x.png --proof ./s.html; s=$?; rm s.html; exit $s", "is read");
}

TEST_F(CliPlaces, ADashIsStandardOutput) {
  const Ran file = shell("$batten trace x.png --out y.svg"), dash = shell("$batten trace x.png --out -");
  EXPECT_EQ(dash.status, 0) << dash.err;
  EXPECT_EQ(dash.out, contents(scratch_ / "y.svg"));
  EXPECT_NE(dash.err.find(" outlines, "), std::string::npos) << "the summary goes where it does not disturb";
  EXPECT_NE(dash.err.find("-> standard output"), std::string::npos) << dash.err;
  EXPECT_EQ(shell("$batten trace x.png --quiet --format json --out - | head -c 1").out, "{");
  EXPECT_EQ(shell("$batten trace x.png --quiet --out z.svg --report - | head -c 1").out, "{");
  EXPECT_EQ(shell("$batten measure y.svg x.png --report - 2>/dev/null | head -c 1").out, "{");
  EXPECT_EQ(shell("$batten sweep x.png --steps 2 --out - | head -n 1").out.substr(0, 8), "# batten");
  EXPECT_EQ(shell("$batten trace x.png --out - --format ufo").status, 2);
  EXPECT_FALSE(fs::exists(scratch_ / "-"));
}

// As root, which may replace what lies in /dev: a link to a descriptor stands for it.
TEST_F(CliPlaces, DevicesAndPipesAreWrittenToAndStay) {
  ASSERT_EQ(::mkfifo((scratch_ / "pipe").c_str(), 0600), 0);
  fs::create_symlink("/dev/stdout", scratch_ / "out.svg");
  fs::create_symlink("/dev/null", scratch_ / "null.csv");
  const Ran ran = shell("cat pipe > got & $batten trace x.png --quiet --out out.svg --report pipe > redirected; wait");
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_TRUE(fs::is_symlink(scratch_ / "out.svg"));
  EXPECT_TRUE(fs::is_fifo(scratch_ / "pipe"));
  EXPECT_EQ(contents(scratch_ / "redirected").substr(0, 5), "<?xml");
  EXPECT_EQ(contents(scratch_ / "got").substr(0, 1), "{");
  EXPECT_EQ(shell("$batten sweep x.png --steps 2 --out null.csv").status, 0);
  EXPECT_TRUE(fs::is_symlink(scratch_ / "null.csv"));
  EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

TEST_F(CliPlaces, WhatDoesNotArriveIsAnError) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
  ASSERT_EQ(shell("$batten trace x.png --quiet --out y.svg").status, 0);
  for (const char* command : {"sweep x.png --steps 2", "sweep x.png --steps 2 --out -", "trace x.png --out z.svg",
                              "trace x.png --out - --quiet", "measure y.svg x.png", "--help", "--version"})
    for (const char* where : {"> /dev/full", ">&-"}) {
      const Ran ran = shell(std::string("$batten ") + command + " " + where);
      EXPECT_EQ(ran.status, 5) << command << where;
      EXPECT_NE(ran.err.find("Cannot write to standard output"), std::string::npos) << command << ran.err;
    }
  EXPECT_EQ(shell("$batten trace x.png --quiet --out w.svg >&-").status, 0) << "nothing was to be written there";
}

TEST_F(CliPlaces, AllFilesOfAScanAppearOrNone) {
  scratch_.put("y.svg", "old");
  const Names before = entries();
  const Ran ran = shell("ulimit -f 16; $batten trace x.png --out y.svg --report y.json --overlay deep/down/y.png");
  EXPECT_EQ(ran.status, 5) << ran.err;  // the overlay is over 16 KiB, the other two are not
  EXPECT_EQ(entries(), before);
  EXPECT_EQ(contents(scratch_ / "y.svg"), "old");
}

TEST_F(CliPlaces, AnInterruptedRunLeavesNothing) {
  ASSERT_EQ(::mkfifo((scratch_ / "pipe").c_str(), 0600), 0);
  const Names before = entries();
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    const pid_t child = ::fork();
    if (child == 0) {
      ::signal(number, SIG_DFL);
      // Nobody reads the pipe, so the run waits with all else written under temporary names.
      ::execl(BATTEN_CLI, "batten", "trace", (scratch_ / "x.png").c_str(), "--out", (scratch_ / "new/y.svg").c_str(),
              "--report", (scratch_ / "pipe").c_str(), nullptr);
      ::_exit(127);
    }
    for (int i = 0; i < 3000 && entries().size() < before.size() + 2; ++i)
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    EXPECT_EQ(entries().size(), before.size() + 2) << "the folder and a temporary in it";
    ::kill(child, number);
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_TRUE(WIFSIGNALED(status) && WTERMSIG(status) == number) << status;
    EXPECT_EQ(entries(), before);
  }
}

TEST_F(CliPlaces, WhatAKilledRunLeftIsClearedByTheNext) {
  scratch_.put(".batten-4000000-0.part", "half a file"), scratch_.put(".batten-4000000-1.part/fontinfo.plist", "half");
  ASSERT_EQ(shell("$batten trace x.png --quiet").status, 0);
  EXPECT_EQ(entries(), (Names{"x.pgm", "x.png", "x.svg"}));
}

TEST_F(CliPlaces, EmptyAndLongNames) {
  for (const char* option : {"--out", "--overlay", "--proof", "--report"})
    expect_clash(std::string("$batten trace x.png ") + option + " ''", std::string(option) + " is empty");
  expect_clash("$batten trace x.png --crop ''", "--crop");
  const std::string longest(251, 'n');  // with its ending as long as names may be (NAME_MAX)
  scratch_.put(longest + ".png", contents(scratch_ / "x.png"));
  EXPECT_EQ(run(BATTEN_CLI, {"trace", scratch_ / (longest + ".png")}).status, 0);
  EXPECT_TRUE(fs::exists(scratch_ / (longest + ".svg")));
}

}  // namespace
}  // namespace batten
