// Writes the manual page with the macros of man(7), https://man.openbsd.org/man.7, sections in their customary order.

#include <sstream>

#include "describe.h"

namespace batten::cli {
namespace {

// Text that roff must not read as its own: backslashes, hyphens that are to be typed, full stops that begin a line.
std::string plain(const std::string& text) {
  std::string safe;
  for (const char c : text) c == '\\' ? safe += "\\e" : c == '-' ? safe += "\\-" : safe += c;
  return safe.starts_with('.') || safe.starts_with('\'') ? "\\&" + safe : safe;
}

std::string heading(const Described& entry) {
  std::string text;
  for (const std::string& name : entry.names) text += (text.empty() ? "\\fB" : ", \\fB") + plain(name) + "\\fR";
  if (!entry.value.empty()) text += (text.empty() ? "\\fI" : " \\fI") + plain(entry.value) + "\\fR";
  return text + (entry.repeated ? " ..." : "");
}

std::string synopsis(const CLI::App& app, const CLI::App& sub) {
  std::string line = ".B " + plain(app.get_name()) + " " + plain(sub.get_name()) + "\n[\\fIOPTIONS\\fR]";
  for (const Described& entry : options_of(sub))
    if (entry.names.empty()) line += " \\fI" + plain(entry.value) + "\\fR" + (entry.repeated ? " ..." : "");
  return line + "\n";
}

std::string list(const CLI::App& app) {
  std::string text;
  for (const Described& entry : options_of(app)) text += ".TP\n" + heading(entry) + "\n" + plain(entry.text) + "\n";
  return text;
}

// The footer of --help: "Examples:" with its lines as they stand, then paragraphs that begin with "Word: ".
std::string footer_sections(const std::string& footer) {
  std::istringstream lines(footer);
  std::string text, line;
  bool in_examples = false;
  while (std::getline(lines, line)) {
    if (line == "Examples:") {
      text += ".SH EXAMPLES\n.nf\n";
      in_examples = true;
    } else if (line.starts_with("Exit status: ")) {
      text += std::string(in_examples ? ".fi\n" : "") + ".SH EXIT STATUS\n" + plain(line.substr(13)) + "\n";
      in_examples = false;
    } else if (!line.empty()) {
      text += plain(line) + "\n";
    }
  }
  return text + (in_examples ? ".fi\n" : "");
}

}  // namespace

std::string man_page(const CLI::App& app, const std::string& version) {
  const auto subcommands = app.get_subcommands([](const CLI::App* sub) { return !sub->get_name().empty(); });
  std::string name = app.get_name();
  for (char& c : name) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  std::string text = ".TH " + name + " 1 \"\" \"" + app.get_name() + " " + version + "\" \"User Commands\"\n";
  std::string purpose = app.get_description();
  purpose = purpose.substr(0, purpose.find_last_not_of('.') + 1);
  purpose[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(purpose[0])));
  text += ".SH NAME\n" + app.get_name() + " \\- " + plain(purpose) + "\n.SH SYNOPSIS\n";
  for (const CLI::App* sub : subcommands) text += (sub == subcommands.front() ? "" : ".br\n") + synopsis(app, *sub);
  text += ".SH DESCRIPTION\n";
  for (const CLI::App* sub : subcommands)
    text += ".TP\n.B " + plain(sub->get_name()) + "\n" + plain(sub->get_description()) + "\n";
  text += ".SH OPTIONS\n" + list(app);
  for (const CLI::App* sub : subcommands)
    text += ".SS Options of " + plain(app.get_name() + " " + sub->get_name()) + "\n" + list(*sub);
  text += footer_sections(app.get_footer());
  return text;
}

}  // namespace batten::cli
