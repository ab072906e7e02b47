#include "support/process.h"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

namespace batten::testing {
namespace {

// Reads both ends until the child has closed them. A pseudo-terminal reports that as an error of reading.
void drain(int out, int err, Ran& ran) {
  pollfd ends[] = {{out, POLLIN, 0}, {err, POLLIN, 0}};
  std::string* texts[] = {&ran.out, &ran.err};
  while (ends[0].fd >= 0 || ends[1].fd >= 0) {
    if (poll(ends, 2, -1) < 0) return;
    for (int i = 0; i < 2; ++i) {
      if (!ends[i].revents) continue;
      char buffer[4096];
      const ssize_t count = read(ends[i].fd, buffer, sizeof buffer);
      if (count > 0)
        texts[i]->append(buffer, static_cast<std::size_t>(count));
      else
        ends[i].fd = -1;
    }
  }
}

}  // namespace

Ran run(const std::string& program, const std::vector<std::string>& arguments, bool err_terminal) {
  Ran ran;
  int out[2], err[2];
  if (pipe(out) != 0) return ran;
  if ((err_terminal ? openpty(&err[0], &err[1], nullptr, nullptr, nullptr) : pipe(err)) != 0) return ran;
  std::vector<char*> argv{const_cast<char*>(program.c_str())};
  for (const std::string& argument : arguments) argv.push_back(const_cast<char*>(argument.c_str()));
  argv.push_back(nullptr);

  const pid_t child = fork();
  if (child == 0) {
    const int nothing = open("/dev/null", O_RDONLY);
    dup2(nothing, STDIN_FILENO), dup2(out[1], STDOUT_FILENO), dup2(err[1], STDERR_FILENO);
    for (const int end : {out[0], out[1], err[0], err[1], nothing}) close(end);
    execvp(argv[0], argv.data());
    _exit(127);
  }
  close(out[1]), close(err[1]);
  drain(out[0], err[0], ran);
  close(out[0]), close(err[0]);
  int status = 0;
  waitpid(child, &status, 0);
  ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  return ran;
}

}  // namespace batten::testing
