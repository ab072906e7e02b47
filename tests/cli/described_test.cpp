// Help, manual page and completion are made from one table; here each is read back as its reader reads it (the page by
// mandoc, the completion by bash) and they are compared.

#include <gtest/gtest.h>

#include <regex>
#include <set>

#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
using Set = std::set<std::string>;

// All words that look like options: -q, --quiet.
Set options_in(const std::string& text) {
  static const std::regex option("(^|[\\s,(])(--?[a-z][a-z-]*)");
  Set found;
  for (std::sregex_iterator it(text.begin(), text.end(), option), end; it != end; ++it) found.insert((*it)[2]);
  return found;
}

Set of_help() {
  Set options;
  const std::string main_help = run(BATTEN_CLI, {"--help"}).out;
  for (const char* sub : {"trace", "sweep", "measure", "refit"})
    if (main_help.find("\n  " + std::string(sub) + " ") != std::string::npos)
      options.merge(options_in(run(BATTEN_CLI, {sub, "--help"}).out));
  options.merge(options_in(main_help));
  return options;
}

std::string page() {
  const Ran ran = run("mandoc", {"-Tutf8", "-O", "width=200", BATTEN_DESCRIBED_DIR "/batten.1"});
  EXPECT_EQ(ran.status, 0) << "apt-get install mandoc: " << ran.err;
  return std::regex_replace(ran.out, std::regex(".\b"), "");  // bold and underlined as terminals print them
}

// What bash offers for a command line whose last word is being typed.
Set offered(std::vector<std::string> words, const std::string& folder = "/") {
  std::string line = "cd '" + folder + "' && . '" BATTEN_DESCRIBED_DIR "/batten.bash' && COMP_WORDS=(batten";
  for (const std::string& word : words) line += " '" + word + "'";
  line += ") && COMP_CWORD=" + std::to_string(words.size()) + " && _batten && printf '%s\\n' \"${COMPREPLY[@]}\"";
  const Ran ran = run("bash", {"--norc", "-c", line});
  EXPECT_EQ(ran.err, "");
  Set found;
  std::istringstream lines(ran.out);
  for (std::string word; std::getline(lines, word);)
    if (!word.empty()) found.insert(word);
  return found;
}

TEST(Described, TheManualPageHasTheOptionsOfHelp) {
  const Set help = of_help();
  EXPECT_GE(help.size(), 15u);
  EXPECT_EQ(options_in(page()), help);
}

TEST(Described, TheManualPageHasTheSectionsOfOneAndNoFaults) {
  const std::string text = page();
  for (const char* section : {"NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "EXAMPLES", "EXIT STATUS"})
    EXPECT_NE(text.find("\n" + std::string(section) + "\n"), std::string::npos) << section;
  const Ran lint = run("mandoc", {"-Tlint", "-Wwarning", BATTEN_DESCRIBED_DIR "/batten.1"});
  std::string faults = lint.out + lint.err;
  // No date: the page is made while building, and the same sources give the same bytes.
  faults = std::regex_replace(faults, std::regex("[^\n]*missing date[^\n]*\n"), "");
  EXPECT_EQ(faults, "");
}

TEST(Described, BashOffersTheOptionsOfHelp) {
  Set all = offered({"-"});
  EXPECT_TRUE(all.contains("--version"));
  const Set subcommands = offered({""});
  EXPECT_TRUE(subcommands.contains("trace"));
  for (const std::string& sub : subcommands)
    if (!sub.starts_with('-')) all.merge(offered({sub, "-"}));
  EXPECT_EQ(all, of_help());
}

TEST(Described, BashOffersValuesAndFiles) {
  const Scratch scratch;
  scratch.put("one scan.png", ""), scratch.put("two.png", "");
  EXPECT_EQ(offered({"tr"}), Set{"trace"});
  EXPECT_EQ(offered({"trace", "--to"}), Set{"--tolerance"});
  EXPECT_EQ(offered({"trace", "--drawing", ""}), (Set{"auto", "outlined", "filled", "lines"}));
  EXPECT_EQ(offered({"trace", "--tolerance", ""}), Set{"auto"});
  EXPECT_EQ(offered({"trace", "--format", "p"}), Set{"pdf"});
  EXPECT_EQ(offered({"trace", "--format", "pdf,e"}), Set{"pdf,eps"});
  EXPECT_EQ(offered({"trace", ""}, scratch.path()), (Set{"one scan.png", "two.png"}));
  EXPECT_EQ(offered({"trace", "--out", "o"}, scratch.path()), Set{"one scan.png"});
  EXPECT_EQ(offered({"trace", "--dpi", ""}, scratch.path()), Set{});
}

// Every value that completion offers is one that the command understands.
TEST(Described, OfferedValuesAreUnderstood) {
  const Scratch scratch;
  const std::string scan = scratch.put("scan.png", png(ring_and_disc()));
  for (const std::string option : {"--drawing", "--extremes", "--tolerance", "--format"})
    for (const std::string& value : offered({"trace", option, ""})) {
      const Ran ran = run(BATTEN_CLI, {"trace", scan, "--out", scratch.path(), option, value});
      EXPECT_EQ(ran.status, 0) << option << " " << value << ": " << ran.err;
    }
}

}  // namespace
}  // namespace batten
