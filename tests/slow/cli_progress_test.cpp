#include <gtest/gtest.h>

#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

// Five traces of the demo sheet take over a second. A terminal sees progress that is wiped away again; a pipe sees
// none.
TEST(CliProgress, ShowsOnATerminalOnly) {
  const Scratch scratch;
  const std::vector<std::string> arguments = {
      "sweep", BATTEN_DATA_DIR "/quombe-sheet.png", "--steps", "5", "--out", scratch / "q.csv"};
  const std::string erase = "\r\033[K";
  const Ran piped = run(BATTEN_CLI, arguments);
  ASSERT_EQ(piped.status, 0) << piped.err;
  EXPECT_EQ(piped.err.find(erase), std::string::npos);
  const Ran terminal = run(BATTEN_CLI, arguments, true);
  ASSERT_EQ(terminal.status, 0) << terminal.err;
  EXPECT_NE(terminal.err.find(" %, "), std::string::npos) << terminal.err;
  EXPECT_NE(terminal.err.find(erase), std::string::npos);
  EXPECT_EQ(terminal.out, piped.out);

  std::vector<std::string> quiet = arguments;
  quiet.push_back("--quiet");
  EXPECT_EQ(run(BATTEN_CLI, quiet, true).err, "");
}

}  // namespace
}  // namespace batten
