// Files of a batch appear together or none does, nothing is left behind, and devices and links stay what they are.

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <thread>

#include "batten/files.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;
using Names = std::vector<std::string>;

Names entries(const Scratch& scratch) {
  Names names;
  for (const auto& entry : fs::recursive_directory_iterator(scratch.path()))
    names.push_back(fs::relative(entry.path(), scratch.path()).string());
  std::sort(names.begin(), names.end());
  return names;
}

TEST(FileBatch, NothingHasItsNameBeforeAllIsWritten) {
  const Scratch scratch;
  scratch.put("a.svg", "old");
  FileBatch batch;
  ASSERT_FALSE(batch.make_folder_of(scratch / "new/deep/b.png"));
  ASSERT_FALSE(batch.add(scratch / "a.svg", "a"));
  ASSERT_FALSE(batch.add(scratch / "new/deep/b.png", "b"));
  ASSERT_FALSE(batch.add_folder(scratch / "c.ufo", {{"head", "c"}}));
  EXPECT_EQ(contents(scratch / "a.svg"), "old");
  EXPECT_FALSE(fs::exists(scratch / "new/deep/b.png"));
  EXPECT_FALSE(fs::exists(scratch / "c.ufo"));
  ASSERT_FALSE(batch.commit());
  EXPECT_EQ(entries(scratch), (Names{"a.svg", "c.ufo", "c.ufo/head", "new", "new/deep", "new/deep/b.png"}));
  EXPECT_EQ(contents(scratch / "a.svg"), "a");
  ASSERT_FALSE(batch.add(scratch / "a.svg", "again"));  // a batch can be used again
  ASSERT_FALSE(batch.commit());
  EXPECT_EQ(contents(scratch / "a.svg"), "again");
}

TEST(FileBatch, WhatIsNotCommittedGoes) {
  const Scratch scratch;
  scratch.put("a.svg", "old");
  for (const bool by_hand : {true, false}) {
    FileBatch batch;
    ASSERT_FALSE(batch.make_folder_of(scratch / "new/deep/b.png"));
    ASSERT_FALSE(batch.add(scratch / "new/deep/b.png", "b"));
    ASSERT_FALSE(batch.add_folder(scratch / "c.ufo", {{"head", "c"}}));
    if (by_hand) batch.discard();
  }
  EXPECT_EQ(entries(scratch), (Names{"a.svg"}));
}

// A folder that turned up meanwhile under a name of the batch cannot be replaced by a file that was to be new: what was
// put in its place before goes back.
TEST(FileBatch, ACommitThatFailsHalfwayIsTakenBack) {
  const Scratch scratch;
  scratch.put("a.svg", "old a"), scratch.put("f.ufo/head", "old f");
  FileBatch batch;
  ASSERT_FALSE(batch.add(scratch / "a.svg", "a"));
  ASSERT_FALSE(batch.add(scratch / "b.svg", "b"));
  ASSERT_FALSE(batch.add_folder(scratch / "f.ufo", {{"head", "f"}}));
  fs::create_directory(scratch / "gone");
  ASSERT_FALSE(batch.add(scratch / "gone/c.svg", "c"));
  fs::remove_all(scratch / "gone");  // the temporary of the last file goes with its folder
  const std::optional<Error> error = batch.commit();
  ASSERT_TRUE(error);
  EXPECT_EQ(error->code, ErrorCode::cannot_write);
  EXPECT_NE(error->message.find("gone/c.svg"), std::string::npos) << error->message;
  EXPECT_EQ(entries(scratch), (Names{"a.svg", "f.ufo", "f.ufo/head"}));
  EXPECT_EQ(contents(scratch / "a.svg"), "old a");
  EXPECT_EQ(contents(scratch / "f.ufo/head"), "old f");
}

// A limit on the size of files (setrlimit(2)) stands for a disk that is full.
TEST(FileBatch, AFullDiskLeavesNothing) {
  const Scratch scratch;
  scratch.put("b.svg", "old");
  rlimit before;
  ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{1000, before.rlim_max};
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
  std::optional<Error> of_file, of_folder;
  {
    FileBatch batch;
    EXPECT_FALSE(batch.add(scratch / "a.svg", std::string(500, 'x')));
    of_file = batch.add(scratch / "b.svg", std::string(5000, 'x'));
    of_folder = batch.add_folder(scratch / "c.ufo", {{"head", "c"}, {"tail", std::string(5000, 'x')}});
  }
  ::setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, handler);
  EXPECT_TRUE(of_file && of_file->code == ErrorCode::cannot_write);
  EXPECT_TRUE(of_folder && of_folder->code == ErrorCode::cannot_write);
  EXPECT_EQ(entries(scratch), (Names{"b.svg"}));
  EXPECT_EQ(contents(scratch / "b.svg"), "old");
}

TEST(FileBatch, TemporariesThatNobodyHoldsAreCleared) {
  const Scratch scratch;
  scratch.put(".batten-1-0.part", "left by a process that was killed"),
      scratch.put(".batten-1-1.part/head", "the same");
  scratch.put(".batten-1-2.part", "of one that is at work"), scratch.put("mine.part", "not ours");
  const int held = ::open((scratch / ".batten-1-2.part").c_str(), O_RDONLY);
  ASSERT_EQ(::flock(held, LOCK_EX), 0);
  ASSERT_FALSE(write_file(scratch / "a.svg", "a"));
  EXPECT_EQ(entries(scratch), (Names{".batten-1-2.part", "a.svg", "mine.part"}));
  ::close(held);
  ASSERT_FALSE(write_file(scratch / "a.svg", "b"));
  EXPECT_EQ(entries(scratch), (Names{"a.svg", "mine.part"}));
}

TEST(FileBatch, BatchesSideBySideLeaveOneAnotherAlone) {
  const Scratch scratch;
  std::vector<std::thread> writers;
  for (int w = 0; w < 4; ++w)
    writers.emplace_back([&scratch, w] {
      for (int i = 0; i < 50; ++i) {
        FileBatch batch;
        EXPECT_FALSE(batch.add(scratch / (std::to_string(w) + "a"), "a"));
        auto error = batch.add_folder(scratch / (std::to_string(w) + "b"), {{"head", "b"}});
        EXPECT_FALSE(error) << error->message;
        error = batch.commit();
        EXPECT_FALSE(error) << error->message;
      }
    });
  for (std::thread& writer : writers) writer.join();
  EXPECT_EQ(entries(scratch).size(), 12u);
}

TEST(FileBatch, WhatCannotBePutInPlaceIsNamed) {
  const Scratch scratch;
  const std::string place = scratch / "a name longer than what a string keeps without memory of its own.svg";
  FileBatch batch;
  ASSERT_FALSE(batch.add(scratch / "first.svg", "a"));
  ASSERT_FALSE(batch.add(place, "b"));
  for (const std::string& temporary : entries(scratch)) {
    std::ifstream file(scratch / temporary);
    if (file.get() == 'b') fs::remove(scratch / temporary);
  }
  const auto error = batch.commit();
  ASSERT_TRUE(error);
  EXPECT_NE(error->message.find(place), std::string::npos) << error->message;
  EXPECT_TRUE(entries(scratch).empty()) << "the first one was taken back";
}

TEST(FileBatch, ALinkStaysALinkAndWhatItLeadsToIsReplaced) {
  const Scratch scratch;
  scratch.put("real/a.svg", "old");
  fs::create_symlink("real/a.svg", scratch / "link.svg");
  fs::create_symlink("real/new.svg", scratch / "to nothing yet.svg");
  ASSERT_FALSE(write_file(scratch / "link.svg", "a"));
  ASSERT_FALSE(write_file(scratch / "to nothing yet.svg", "b"));
  EXPECT_TRUE(fs::is_symlink(scratch / "link.svg") && fs::is_symlink(scratch / "to nothing yet.svg"));
  EXPECT_EQ(contents(scratch / "real/a.svg"), "a");
  EXPECT_EQ(contents(scratch / "real/new.svg"), "b");
}

TEST(FileBatch, APipeIsWrittenToAndStaysAPipe) {
  const Scratch scratch;
  const std::string pipe = scratch / "pipe";
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  std::string read;
  std::thread reader([&] { read = contents(pipe); });
  EXPECT_FALSE(write_file(pipe, "through the pipe"));
  reader.join();
  EXPECT_EQ(read, "through the pipe");
  EXPECT_TRUE(fs::is_fifo(pipe));
}

// The descriptor itself is written to, where it stands: to open the file behind it would begin at its start.
TEST(FileBatch, ADescriptorIsWrittenTo) {
  const Scratch scratch;
  const int opened = ::open((scratch / "log").c_str(), O_RDWR | O_CREAT, 0600);
  ASSERT_EQ(::write(opened, "before ", 7), 7);
  const std::string name = "/dev/fd/" + std::to_string(opened);
  EXPECT_TRUE(destination_of(name).stream);
  EXPECT_FALSE(write_file(name, "and after"));
  ::close(opened);
  EXPECT_EQ(contents(scratch / "log"), "before and after");
  EXPECT_EQ(entries(scratch), (Names{"log"}));
  EXPECT_TRUE(write_file(name, "it is closed"));
}

TEST(FileBatch, NamesAsLongAsTheDiskAllows) {
  const Scratch scratch;
  const std::string longest = scratch / std::string(255, 'n'), longer = scratch / std::string(256, 'n');  // NAME_MAX
  EXPECT_FALSE(write_file(longest, "x"));
  EXPECT_EQ(contents(longest), "x");
  const std::optional<Error> error = write_file(longer, "x");
  ASSERT_TRUE(error);
  EXPECT_NE(error->message.find("its name is too long"), std::string::npos) << error->message;
}

TEST(DestinationOf, OnePlaceHasOneNameHoweverItIsSpelt) {
  const Scratch scratch;
  scratch.put("folder/a.svg", "a");
  fs::create_directory_symlink("folder", scratch / "to folder");
  fs::create_symlink("folder/a.svg", scratch / "to a");
  fs::create_symlink("folder/new.svg", scratch / "to new");
  const auto name = [&](const std::string& path) { return destination_of(scratch / path).name; };
  for (const char* path : {"folder/./a.svg", "folder/../folder/a.svg", "to folder/a.svg", "to a", "folder//a.svg"})
    EXPECT_EQ(name(path), name("folder/a.svg")) << path;
  for (const char* path : {"./folder/new.svg", "to folder/new.svg", "to new", "not/there/../../folder/new.svg"})
    EXPECT_EQ(name(path), name("folder/new.svg")) << path;
  EXPECT_NE(name("folder/new.svg"), name("new.svg"));
  EXPECT_EQ(name("to folder/../x"), name("x"));
  EXPECT_EQ(destination_of("x.svg").name, destination_of("./x.svg").name);
  EXPECT_EQ(destination_of("x.svg").name, destination_of((fs::current_path() / "x.svg").string()).name);
  EXPECT_EQ(destination_of("/dev/stdout").name, destination_of("/proc/self/fd/1").name);
}

}  // namespace
}  // namespace batten
