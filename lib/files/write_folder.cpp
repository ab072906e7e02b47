// Writes a folder whole or not at all: under a temporary name beside its place, which is then renamed. Where one is
// there already, Linux exchanges the two in one step (renameat2(2)); elsewhere the old one steps aside first.

#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>

#include "batten/files.h"

namespace batten {
namespace {

namespace fs = std::filesystem;

Error cannot(const std::string& path, const std::string& why) {
  return {ErrorCode::cannot_write, "Cannot write " + path + ", " + why + ".", path};
}

Error cannot(const std::string& path, const std::error_code& code) {
  const bool missing = code.value() == ENOENT || code.value() == ENOTDIR;
  const bool denied = code.value() == EACCES || code.value() == EPERM || code.value() == EROFS;
  return cannot(path, missing  ? "its folder does not exist: create it first"
                      : denied ? "permission denied: choose a place that you may write to"
                               : code.message() + ": choose another place");
}

// What may be replaced: nothing, an empty folder, a folder of the same kind.
std::optional<Error> check_place(const std::string& path, const std::vector<FolderFile>& files) {
  std::error_code ignored;
  if (!fs::exists(fs::symlink_status(path, ignored))) return std::nullopt;
  if (!fs::is_directory(path, ignored)) return cannot(path, "it is a file: remove it or choose another name");
  if (fs::is_empty(path, ignored) || (!files.empty() && fs::exists(fs::path(path) / files[0].path, ignored)))
    return std::nullopt;
  return cannot(path, "it is a folder of something else: choose another name");
}

bool exchange(const std::string& a, const std::string& b) {
#ifdef RENAME_EXCHANGE
  return ::renameat2(AT_FDCWD, a.c_str(), AT_FDCWD, b.c_str(), RENAME_EXCHANGE) == 0;
#else
  return (void)a, (void)b, false;
#endif
}

// Puts `fresh` in the place of `path`; whatever was there goes.
std::error_code put_in_place(const std::string& fresh, const std::string& path) {
  std::error_code code, ignored;
  if (!fs::exists(path, ignored)) return fs::rename(fresh, path, code), code;
  if (exchange(fresh, path)) return fs::remove_all(fresh, ignored), code;
  const std::string old = fresh + ".old";
  fs::rename(path, old, code);
  if (code) return code;
  fs::rename(fresh, path, code);
  if (code) return fs::rename(old, path, ignored), code;
  return fs::remove_all(old, ignored), code;
}

std::optional<Error> fill(const std::string& folder, const std::vector<FolderFile>& files, const std::string& path) {
  for (const FolderFile& file : files) {
    const fs::path place = fs::path(folder) / file.path;
    std::error_code code;
    fs::create_directories(place.parent_path(), code);
    if (code) return cannot(path, code);
    if (auto error = write_file(place.string(), file.bytes)) return Error{error->code, error->message, path};
  }
  return std::nullopt;
}

}  // namespace

std::optional<Error> write_folder(const std::string& given, const std::vector<FolderFile>& files) {
  std::string path = given;
  while (path.size() > 1 && path.ends_with('/')) path.pop_back();
  std::error_code code, ignored;
  if (fs::is_symlink(path, ignored)) path = fs::weakly_canonical(path, ignored).string();
  if (auto error = check_place(path, files)) return error;
  std::string temporary;
  bool made = false;
  for (int attempt = 0; attempt < 100 && !made && !code; ++attempt) {
    temporary = path + ".part" + std::to_string(::getpid()) + "-" + std::to_string(attempt);
    made = fs::create_directory(temporary, code);
  }
  if (!made)
    return code ? cannot(path, code) : cannot(path, "temporary names are taken: clear its folder of .part folders");
  std::optional<Error> error = fill(temporary, files, path);
  if (!error && (code = put_in_place(temporary, path))) error = cannot(path, code);
  if (error) fs::remove_all(temporary, ignored);
  return error;
}

}  // namespace batten
