#pragma once
// Running a program as a process and looking at what it said.

#include <string>
#include <vector>

namespace batten::testing {

struct Ran {
  int status = -1;  ///< exit status; 128 + signal where it was killed
  std::string out, err;
};

/// `program` is a path or a name in PATH. Standard input is empty. err_terminal: standard error is a pseudo-terminal.
Ran run(const std::string& program, const std::vector<std::string>& arguments, bool err_terminal = false);

}  // namespace batten::testing
