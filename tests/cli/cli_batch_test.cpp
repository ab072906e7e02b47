// Many scans in one command: the same files whatever the number of threads, what is done is left out, shards make the
// whole, and what fails is said.

#include <gtest/gtest.h>

#include <filesystem>

#include "batten/files.h"
#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

class CliBatch : public ::testing::Test {
 protected:
  CliBatch() {
    for (const char* name : {"a.png", "b.png", "c.png", "d.png", "e.png"})
      scans_.push_back(scratch_.put(name, png(ring_and_disc())));
  }
  Ran trace(std::vector<std::string> options) {
    options.insert(options.begin(), scans_.begin(), scans_.end());
    options.insert(options.begin(), "trace");
    return run(BATTEN_CLI, options);
  }
  std::string text_of(const std::string& name) {
    std::ifstream file(scratch_ / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
  }
  fs::file_time_type time_of(const std::string& name) { return fs::last_write_time(scratch_ / name); }
  // A time long ago, to see which files are written again.
  void age(const std::string& name) {
    fs::last_write_time(scratch_ / name, fs::file_time_type() + std::chrono::hours(1));
  }
  bool is_aged(const std::string& name) { return time_of(name) == fs::file_time_type() + std::chrono::hours(1); }

  Scratch scratch_;
  std::vector<std::string> scans_;
};

std::size_t lines(const std::string& text) { return std::size_t(std::count(text.begin(), text.end(), '\n')); }

TEST_F(CliBatch, ThreadsAndMemoryChangeNothing) {
  const std::string table = scratch_ / "one.csv";
  ASSERT_EQ(trace({"--out", scratch_ / "one", "--threads", "1", "--table", table}).status, 0);
  const Ran many = trace({"--out", scratch_ / "many", "--threads", "4", "--table", scratch_ / "many.csv"});
  ASSERT_EQ(many.status, 0) << many.err;
  // Less than any scan needs: one at a time, and none is refused.
  ASSERT_EQ(trace({"--out", scratch_ / "tight", "--threads", "4", "--memory", "1MB"}).status, 0);
  for (const char* name : {"a.svg", "c.svg", "e.svg"}) {
    EXPECT_NE(text_of(std::string("one/") + name), "");
    EXPECT_EQ(text_of(std::string("one/") + name), text_of(std::string("many/") + name));
    EXPECT_EQ(text_of(std::string("one/") + name), text_of(std::string("tight/") + name));
  }
  EXPECT_EQ(text_of("one.csv"), text_of("many.csv"));
  EXPECT_EQ(lines(text_of("one.csv")), 6u) << "a head and five rows";
  EXPECT_EQ(lines(many.out), 5u);
  std::size_t before = 0;
  for (const char* name : {"a.png: ", "b.png: ", "c.png: ", "d.png: ", "e.png: "}) {
    const std::size_t at = many.out.find(name);
    ASSERT_NE(at, std::string::npos);
    EXPECT_GE(at, before) << "in the order in which they were named";
    before = at;
  }
  EXPECT_NE(many.err.find("5 scans: 5 traced;"), std::string::npos) << many.err;
}

TEST_F(CliBatch, WhatIsDoneIsLeftOut) {
  const std::vector<std::string> options{"--out", scratch_ / "o", "--report", scratch_ / "r", "--skip-done"};
  ASSERT_EQ(trace(options).status, 0);
  for (const char* name : {"o/a.svg", "o/b.svg", "o/c.svg"}) age(name);
  fs::remove(scratch_ / "o/c.svg");                                // a result that is gone
  scratch_.put("b.png", png(ring_and_disc()) + "and more bytes");  // other content
  std::vector<std::string> with_table = options;
  with_table.insert(with_table.end(), {"--table", scratch_ / "t.csv"});
  const Ran again = trace(with_table);
  ASSERT_EQ(again.status, 0) << again.err;
  EXPECT_TRUE(is_aged("o/a.svg"));
  EXPECT_FALSE(is_aged("o/b.svg"));
  EXPECT_TRUE(fs::exists(scratch_ / "o/c.svg"));
  EXPECT_NE(again.err.find("2 traced, 3 done before"), std::string::npos) << again.err;
  // Rows of what was done before are the same as of what was traced now.
  const std::string rows = text_of("t.csv");
  EXPECT_EQ(lines(rows), 6u);
  const auto figures = [&](const std::string& scan) {
    const std::size_t at = rows.find(scan) + scan.size();
    return rows.substr(at, rows.find('\n', at) - at);
  };
  EXPECT_EQ(figures("a.png"), figures("c.png"));
  // Other options are other work, and places are none.
  std::vector<std::string> finer = options;
  finer.insert(finer.end(), {"--tolerance", "2px"});
  EXPECT_NE(trace(finer).err.find("5 traced;"), std::string::npos);
  EXPECT_NE(trace({"--report", scratch_ / "none", "--skip-done"}).err.find("5 traced;"), std::string::npos);
  const Ran no_report = trace({"--out", scratch_ / "o", "--skip-done"});
  EXPECT_EQ(no_report.status, 2);
  EXPECT_NE(no_report.err.find("--report"), std::string::npos) << no_report.err;
}

TEST_F(CliBatch, FailuresAreSaidAtTheEnd) {
  scratch_.put("b.png", "no picture");
  const Ran ran = trace({"--out", scratch_ / "o", "--table", scratch_ / "t.csv"});
  EXPECT_EQ(ran.status, 1);
  EXPECT_NE(ran.err.find("5 scans: 4 traced, 1 failed"), std::string::npos) << ran.err;
  EXPECT_GT(ran.err.find("batten: " + (scratch_ / "b.png")), ran.err.find("5 scans:")) << ran.err;
  EXPECT_NE(text_of("t.csv").find("\n2," + (scratch_ / "b.png") + ",failed,,,,,,,,,"), std::string::npos);
}

TEST_F(CliBatch, ShardsMakeTheWhole) {
  ASSERT_EQ(trace({"--out", scratch_ / "o", "--table", scratch_ / "whole.csv"}).status, 0);
  for (const char* shard : {"1", "2"})
    ASSERT_EQ(trace({"--out", scratch_ / "s", "--shard", std::string(shard) + "/2", "--table",
                     scratch_ / ("part" + std::string(shard) + ".csv")})
                  .status,
              0);
  EXPECT_EQ(lines(text_of("part1.csv")), 4u);
  EXPECT_EQ(lines(text_of("part2.csv")), 3u);
  // As README.md puts tables together.
  const Ran merged =
      run("/bin/sh",
          {"-c", "cd '" + scratch_.path() + "' && { head -n 1 part1.csv; tail -qn +2 part?.csv | sort -t, -n -k1; }"});
  EXPECT_EQ(merged.out, text_of("whole.csv"));
  EXPECT_EQ(text_of("o/b.svg"), text_of("s/b.svg"));
  for (const char* wrong : {"0/2", "3/2", "1", "a/b", "/"}) EXPECT_EQ(trace({"--shard", wrong}).status, 2) << wrong;
}

// Whoever stops it keeps what is finished, whole, and can go on from there.
TEST_F(CliBatch, StoppedAndTakenUpAgain) {
  for (int i = 0; i < 40; ++i)
    scans_.push_back(scratch_.put("more" + std::to_string(i) + ".png", png(ring_and_disc())));
  std::string words;
  for (const std::string& scan : scans_) words += " '" + scan + "'";
  const std::string places = " --out '" + (scratch_ / "o") + "' --report '" + (scratch_ / "r") + "'";
  const Ran ran = run("/bin/sh", {"-c", std::string("'") + BATTEN_CLI + "' trace" + words + places +
                                            " --threads 1 & while [ ! -e '" + (scratch_ / "o/b.svg") +
                                            "' ]; do sleep 0.01; done; kill -TERM $!; wait $!; echo status $?"});
  EXPECT_NE(ran.out.find("status 143"), std::string::npos) << ran.out << ran.err;
  std::size_t finished = 0;
  for (const auto& entry : fs::directory_iterator(scratch_ / "o")) {
    EXPECT_EQ(entry.path().extension(), ".svg") << "no temporary stays";
    const std::string text = text_of("o/" + entry.path().filename().string());
    EXPECT_NE(text.find("</svg>"), std::string::npos);
    ++finished;
  }
  EXPECT_GE(finished, 2u);
  EXPECT_LT(finished, 45u) << "it was stopped before it was done";
  const Ran again = trace({"--out", scratch_ / "o", "--report", scratch_ / "r", "--skip-done"});
  EXPECT_EQ(again.status, 0);
  EXPECT_NE(again.err.find(std::to_string(45 - finished) + " traced, " + std::to_string(finished) + " done before"),
            std::string::npos)
      << again.err;
}

// GNU parallel, as README.md shows it: one job a shard. Skipped where it is not installed.
TEST_F(CliBatch, UnderGnuParallel) {
  if (run("parallel", {"--version"}).status != 0) GTEST_SKIP() << "GNU parallel is not installed";
  ASSERT_EQ(trace({"--out", scratch_ / "o", "--table", scratch_ / "whole.csv"}).status, 0);
  const Ran ran = run("/bin/sh", {"-c", "cd '" + scratch_.path() + "' && parallel --will-cite -j 2 " + BATTEN_CLI +
                                            " trace \"$PWD\"/?.png --quiet --threads 1 --out p --shard {}/3" +
                                            " --table part{}.csv ::: 1 2 3 && head -n 1 part1.csv &&" +
                                            " tail -qn +2 part?.csv | sort -t, -n -k1"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.out, text_of("whole.csv"));
  for (const char* name : {"a.svg", "b.svg", "c.svg", "d.svg", "e.svg"})
    EXPECT_EQ(text_of(std::string("o/") + name), text_of(std::string("p/") + name));
}

}  // namespace
}  // namespace batten
