#pragma once
// Turns the command's own option table into what shells and manuals read. It runs once while building and is no part of
// the command.

#include <CLI/App.hpp>
#include <string>
#include <vector>

namespace batten::cli {

/// One option or positional argument of one subcommand.
struct Described {
  std::vector<std::string> names;  ///< "-o", "--out"; empty for a positional
  std::string value;               ///< "FILE|DIR", "auto|outlined|filled", "SCAN"; empty for a flag
  std::string text;                ///< what it does, in one line
  bool repeated = false;           ///< takes one or more values
};

/// Options in the order of --help, positional arguments first.
std::vector<Described> options_of(const CLI::App& app);

/// Page of section 1 of the manual, in the man(7) macros.
std::string man_page(const CLI::App& app, const std::string& version);

/// A completion function for bash; file names are completed where a value's name is in capitals and says FILE, DIR or
/// SCAN, words where it lists them in lower case.
std::string bash_completion(const CLI::App& app);

}  // namespace batten::cli
