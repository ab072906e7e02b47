// Writes a file whole or not at all: under a temporary name beside its place, which is then renamed.

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <string>

#include "batten/files.h"

namespace batten {
namespace {

Error cannot(const std::string& path, int number) {
  const bool missing = number == ENOENT || number == ENOTDIR;
  const std::string what = missing            ? "its folder does not exist: create it first"
                           : number == EISDIR ? "it is a folder: name a file in it"
                           : number == EACCES || number == EPERM || number == EROFS
                               ? "permission denied: choose a place that you may write to"
                           : number == ENOSPC ? "the disk is full: free some space"
                                              : std::string(std::strerror(number)) + ": choose another place";
  return {ErrorCode::cannot_write, "Cannot write " + path + ", " + what + ".", path};
}

// 0 when all bytes are written, else errno.
int write_all(int descriptor, const std::string& bytes) {
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t count = ::write(descriptor, bytes.data() + done, bytes.size() - done);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return errno;
    done += static_cast<std::size_t>(count);
  }
  return 0;
}

// Keeps an existing file's permissions; a new file gets what the caller's umask leaves.
mode_t mode_for(const std::string& path) {
  struct stat existing;
  return ::stat(path.c_str(), &existing) == 0 ? existing.st_mode & 07777 : 0666;
}

bool is_something_else(const std::string& path) {
  struct stat existing;
  return ::stat(path.c_str(), &existing) == 0 && !S_ISREG(existing.st_mode) && !S_ISDIR(existing.st_mode);
}

}  // namespace

std::optional<Error> write_file(const std::string& path, const std::string& bytes) {
  struct stat existing;
  if (::stat(path.c_str(), &existing) == 0 && S_ISDIR(existing.st_mode)) return cannot(path, EISDIR);
  if (is_something_else(path)) {  // /dev/stdout, a pipe: nothing to rename over
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor < 0) return cannot(path, errno);
    const int number = write_all(descriptor, bytes);
    ::close(descriptor);
    return number ? std::optional(cannot(path, number)) : std::nullopt;
  }
  std::string temporary;
  int descriptor = -1;
  for (int attempt = 0; attempt < 100 && descriptor < 0; ++attempt) {
    temporary = path + ".part" + std::to_string(::getpid()) + "-" + std::to_string(attempt);
    descriptor = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode_for(path));
    if (descriptor < 0 && errno != EEXIST) return cannot(path, errno);
  }
  if (descriptor < 0) return cannot(path, EEXIST);
  int number = write_all(descriptor, bytes);
  if (::close(descriptor) != 0 && number == 0) number = errno;
  if (number == 0 && ::rename(temporary.c_str(), path.c_str()) != 0) number = errno;
  if (number == 0) return std::nullopt;
  ::unlink(temporary.c_str());
  return cannot(path, number);
}

}  // namespace batten
