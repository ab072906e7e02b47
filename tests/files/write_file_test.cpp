#include <gtest/gtest.h>
#include <sys/stat.h>

#include <filesystem>

#include "batten/files.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

std::size_t entries(const std::string& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), {}));
}

TEST(WriteFile, WritesAndWritesOver) {
  const Scratch scratch;
  EXPECT_FALSE(write_file(scratch / "a.svg", "first"));
  EXPECT_EQ(contents(scratch / "a.svg"), "first");
  EXPECT_FALSE(write_file(scratch / "a.svg", "second, longer"));
  EXPECT_EQ(contents(scratch / "a.svg"), "second, longer");
  EXPECT_EQ(entries(scratch.path()), 1u) << "a temporary file was left";
}

TEST(WriteFile, KeepsTheModeOfAFileThatIsThere) {
  const Scratch scratch;
  const std::string path = scratch.put("a.svg", "old");
  ::chmod(path.c_str(), 0600);
  EXPECT_FALSE(write_file(path, "new"));
  struct stat now;
  ASSERT_EQ(::stat(path.c_str(), &now), 0);
  EXPECT_EQ(now.st_mode & 0777, 0600u);
}

TEST(WriteFile, FailureLeavesNothingBehind) {
  const Scratch scratch;
  fs::create_directory(scratch / "taken");
  for (const std::string& path : {scratch / "taken", scratch / "missing/a.svg", scratch.put("file", "x") + "/a.svg",
                                  std::string("/proc/nothing-can-be-written-here")}) {
    const std::optional<Error> error = write_file(path, "text");
    ASSERT_TRUE(error.has_value()) << path;
    EXPECT_EQ(error->code, ErrorCode::cannot_write);
    EXPECT_NE(error->message.find(path), std::string::npos);
  }
  EXPECT_EQ(entries(scratch.path()), 2u);
  EXPECT_EQ(entries(scratch / "taken"), 0u);
}

// /dev/full (Linux, full(4)) takes no byte: the disk-full path.
TEST(WriteFile, AFullDiskIsAnError) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
  const std::optional<Error> error = write_file("/dev/full", std::string(100000, 'x'));
  ASSERT_TRUE(error.has_value());
  EXPECT_NE(error->message.find("disk is full"), std::string::npos) << error->message;
}

}  // namespace
}  // namespace batten
