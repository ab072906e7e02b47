// batten_describe man|bash: the manual page or the completion, to standard output.

#include <cstdio>
#include <string>

#include "../arguments.h"
#include "batten/version.h"
#include "describe.h"

int main(int argc, char** argv) {
  const std::string form = argc == 2 ? argv[1] : "";
  if (form != "man" && form != "bash") return std::fputs("batten_describe: say man or bash\n", stderr), 2;
  batten::cli::describe([&](const CLI::App& app) {
    const std::string text =
        form == "man" ? batten::cli::man_page(app, BATTEN_VERSION) : batten::cli::bash_completion(app);
    std::fputs(text.c_str(), stdout);
  });
  return 0;
}
