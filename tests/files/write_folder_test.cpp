// A folder of files is there whole or not at all.

#include <gtest/gtest.h>

#include <filesystem>

#include "batten/files.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

std::vector<std::string> entries(const std::string& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    names.push_back(fs::relative(entry.path(), folder).string());
  std::sort(names.begin(), names.end());
  return names;
}
using Names = std::vector<std::string>;

const std::vector<FolderFile> two = {{"head", "1"}, {"in/tail", "2"}};

TEST(WriteFolder, MakesTheFolderAndTheFoldersInIt) {
  const Scratch scratch;
  ASSERT_FALSE(write_folder(scratch / "x.ufo", two));
  EXPECT_EQ(entries(scratch.path()), (Names{"x.ufo", "x.ufo/head", "x.ufo/in", "x.ufo/in/tail"}));
  EXPECT_EQ(contents(scratch / "x.ufo/in/tail"), "2");
}

TEST(WriteFolder, ReplacesItsOwnKindWhole) {
  const Scratch scratch;
  scratch.put("x.ufo/head", "old"), scratch.put("x.ufo/left over", "old");
  ASSERT_FALSE(write_folder(scratch / "x.ufo/", two));
  EXPECT_EQ(entries(scratch.path()), (Names{"x.ufo", "x.ufo/head", "x.ufo/in", "x.ufo/in/tail"}));
  EXPECT_EQ(contents(scratch / "x.ufo/head"), "1");
  fs::create_directory(scratch / "empty.ufo");
  EXPECT_FALSE(write_folder(scratch / "empty.ufo", two));
}

TEST(WriteFolder, NeverTouchesAFolderOfSomethingElse) {
  const Scratch scratch;
  scratch.put("photos/one.jpg", "x"), scratch.put("file.ufo", "x");
  for (const char* name : {"photos", "file.ufo"}) {
    const std::optional<Error> error = write_folder(scratch / name, two);
    ASSERT_TRUE(error.has_value()) << name;
    EXPECT_EQ(error->code, ErrorCode::cannot_write);
    EXPECT_NE(error->message.find(name), std::string::npos);
  }
  EXPECT_EQ(entries(scratch.path()), (Names{"file.ufo", "photos", "photos/one.jpg"}));
}

TEST(WriteFolder, AFailureLeavesThingsAsTheyWere) {
  const Scratch scratch;
  scratch.put("x.ufo/head", "old");
  // A file cannot be a folder too: the third file cannot be written.
  const std::vector<FolderFile> impossible = {{"head", "1"}, {"in", "2"}, {"in/tail", "3"}};
  EXPECT_TRUE(write_folder(scratch / "x.ufo", impossible));
  EXPECT_TRUE(write_folder(scratch / "new.ufo", impossible));
  EXPECT_TRUE(write_folder(scratch / "missing/x.ufo", two));
  EXPECT_TRUE(write_folder("/proc/nothing-can-be-written-here.ufo", two));
  EXPECT_EQ(entries(scratch.path()), (Names{"x.ufo", "x.ufo/head"}));
  EXPECT_EQ(contents(scratch / "x.ufo/head"), "old");
}

TEST(WriteFolder, ALinkToAFolderStaysALink) {
  const Scratch scratch;
  scratch.put("real.ufo/head", "old");
  fs::create_directory_symlink(scratch / "real.ufo", scratch / "link.ufo");
  ASSERT_FALSE(write_folder(scratch / "link.ufo", two));
  EXPECT_TRUE(fs::is_symlink(scratch / "link.ufo"));
  EXPECT_EQ(contents(scratch / "real.ufo/in/tail"), "2");
}

}  // namespace
}  // namespace batten
