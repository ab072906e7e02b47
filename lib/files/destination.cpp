// Follows links by itself: the standard library gives up at a link that leads to nothing yet, and through /proc it
// would see the file behind a descriptor instead of the descriptor.

#include "destination.h"

#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <filesystem>
#include <string_view>

#include "batten/files.h"

namespace batten {
namespace {

namespace fs = std::filesystem;

constexpr int most_links = 40;  // as Linux follows (path_resolution(7)); more are a circle

fs::path whole(const fs::path& path) {
  std::error_code code;
  const fs::path absolute = fs::absolute(path, code);
  return (code ? path : absolute).lexically_normal();
}

std::optional<int> named_descriptor(const std::string& name) {
  if (name == "/dev/stdin") return STDIN_FILENO;
  if (name == "/dev/stdout") return STDOUT_FILENO;
  if (name == "/dev/stderr") return STDERR_FILENO;
  for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/", "/proc/thread-self/fd/"}) {
    if (!name.starts_with(folder)) continue;
    int number = -1;
    const char *begin = name.data() + folder.size(), *end = name.data() + name.size();
    const auto [stop, code] = std::from_chars(begin, end, number);
    if (code == std::errc() && stop == end && number >= 0) return number;
  }
  return std::nullopt;
}

// Where a link leads, one step; nothing when it is none.
std::optional<fs::path> next(const fs::path& path) {
  std::error_code code;
  if (!fs::is_symlink(path, code)) return std::nullopt;
  const fs::path target = fs::read_symlink(path, code);
  if (code) return std::nullopt;
  return target.is_absolute() ? target : path.parent_path() / target;
}

}  // namespace

std::optional<int> descriptor_of(const std::string& path) {
  fs::path at = whole(path);
  for (int i = 0; i < most_links; ++i) {
    if (const auto descriptor = named_descriptor(at.string())) return descriptor;
    const std::optional<fs::path> link = next(at);
    if (!link) return std::nullopt;
    at = whole(*link);
  }
  return std::nullopt;
}

std::string followed(const std::string& path) {
  std::error_code code;
  fs::path at = fs::absolute(path, code);
  if (code) at = path;
  for (int i = 0; i < most_links; ++i) {
    // The folder first: what ".." means depends on where its links lead.
    const fs::path folder = fs::weakly_canonical(at.parent_path(), code);
    if (!code && !at.filename().empty()) at = folder / at.filename();
    const std::optional<fs::path> link = next(at);
    if (!link) break;
    at = *link;
  }
  const fs::path found = fs::weakly_canonical(at, code);
  std::string name = (code ? at.lexically_normal() : found).string();
  while (name.size() > 1 && name.ends_with('/')) name.pop_back();
  return name;
}

bool is_stream(const std::string& path) {
  struct stat found;
  return ::stat(path.c_str(), &found) == 0 && !S_ISREG(found.st_mode) && !S_ISDIR(found.st_mode);
}

int write_all(int descriptor, const std::string& bytes) {
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t count = ::write(descriptor, bytes.data() + done, bytes.size() - done);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return errno;
    done += static_cast<std::size_t>(count);
  }
  return 0;
}

Destination destination_of(const std::string& path) {
  if (const auto descriptor = descriptor_of(path)) return {"descriptor " + std::to_string(*descriptor), true};
  return {followed(path), is_stream(path)};
}

}  // namespace batten
