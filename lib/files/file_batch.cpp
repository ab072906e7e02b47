// Writes files whole and together: under temporary names beside their places, which are then renamed. Where something
// is there already, Linux exchanges the two in one step (renameat2(2)), so that a failure can be taken back; elsewhere
// the old one steps aside first. A temporary is locked (flock(2)) as long as its process lives: one that nobody holds
// was left behind.

#include <fcntl.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <mutex>
#include <set>
#include <thread>
#include <utility>

#include "batten/files.h"
#include "destination.h"

namespace batten {
namespace {

namespace fs = std::filesystem;

Error cannot(const std::string& path, const std::string& why) {
  return {ErrorCode::cannot_write, "Cannot write " + path + ", " + why + ".", path};
}

Error cannot(const std::string& path, int number) {
  const bool missing = number == ENOENT || number == ENOTDIR;
  const bool denied = number == EACCES || number == EPERM || number == EROFS;
  return cannot(path, missing                  ? "its folder does not exist: create it first"
                      : denied                 ? "permission denied: choose a place that you may write to"
                      : number == EISDIR       ? "it is a folder: name a file in it"
                      : number == ENOSPC       ? "the disk is full: free some space"
                      : number == EDQUOT       ? "your share of the disk is used up: free some space"
                      : number == ENAMETOOLONG ? "its name is too long: choose a shorter one"
                      : number == EPIPE        ? "its reader has gone: start it again"
                                               : std::string(std::strerror(number)) + ": choose another place");
}

constexpr const char *temporary_begin = ".batten-", *temporary_end = ".part";

class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }
  ~Descriptor() { close(); }
  int number() const { return number_; }
  // errno, or 0.
  int close() {
    const int number = std::exchange(number_, -1);
    return number >= 0 && ::close(number) != 0 ? errno : 0;
  }

 private:
  int number_ = -1;
};

// Opens what is there and takes its lock. Nothing when somebody else has it, or when something else has the name by
// now. `why` is then errno, 0 for the latter.
Descriptor hold(const std::string& path, int* why = nullptr) {
  int ignored = 0;
  int& reason = why ? *why : ignored;
  Descriptor opened(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC));
  if (opened.number() < 0 || ::flock(opened.number(), LOCK_EX | LOCK_NB) != 0) return reason = errno, Descriptor();
  struct stat held, named;
  reason = 0;
  if (::fstat(opened.number(), &held) != 0 || ::stat(path.c_str(), &named) != 0) return {};
  return held.st_dev == named.st_dev && held.st_ino == named.st_ino ? std::move(opened) : Descriptor();
}

void clear_stale(const fs::path& folder) {
  std::error_code code, ignored;
  for (fs::directory_iterator at(folder, code), end; !code && at != end; at.increment(code)) {
    const std::string name = at->path().filename().string();
    if (!name.starts_with(temporary_begin) || !name.ends_with(temporary_end)) continue;
    // Held until it is gone: whoever has just made it must not get the lock in between.
    if (const Descriptor stale = hold(at->path().string()); stale.number() >= 0) fs::remove_all(at->path(), ignored);
  }
}

bool is_there(const std::string& path) {
  std::error_code ignored;
  return fs::exists(fs::symlink_status(path, ignored));
}

// Renames as renameat2(2) does; exchange says whether both are there. Error: errno.
int rename_or_exchange(const std::string& from, const std::string& to, bool exchange) {
#ifdef RENAME_EXCHANGE
  if (exchange) return ::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_EXCHANGE) == 0 ? 0 : errno;
#else
  if (exchange) return ENOSYS;
#endif
  return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
}

// Something written under a temporary name, and what it took to give it its own.
struct Pending {
  std::string given, place, temporary;  // as the caller spelt it; links followed; beside it
  Descriptor lock;
  Descriptor lock_of_old = {};
  std::string old = {};  // where what was there before stepped aside to
  bool placed = false;

  // errno, or 0.
  int put_in_place() {
    if (!is_there(place)) {
      const int number = rename_or_exchange(temporary, place, false);
      placed = number == 0;
      return number;
    }
    // So that nobody takes it for a stale temporary while it may be needed again. Who clears a folder may hold it for a
    // moment, from the time when it was a temporary.
    constexpr int most_attempts = 200;
    int why = EWOULDBLOCK;
    for (int k = 0; k < most_attempts && lock_of_old.number() < 0 && why == EWOULDBLOCK; ++k) {
      if (k > 0) std::this_thread::sleep_for(std::chrono::milliseconds(1));
      lock_of_old = hold(place, &why);
    }
    if (rename_or_exchange(temporary, place, true) == 0) {
      old = temporary, placed = true;
      return 0;
    }
    const std::string aside = temporary.substr(0, temporary.size() - std::strlen(temporary_end)) + ".old";
    if (const int number = rename_or_exchange(place, aside, false)) return number;
    if (const int number = rename_or_exchange(temporary, place, false)) {
      rename_or_exchange(aside, place, false);
      return number;
    }
    old = aside, placed = true;
    return 0;
  }

  void take_back() {
    if (!placed) return;
    if (old.empty()) {
      rename_or_exchange(place, temporary, false);
    } else if (old == temporary) {
      rename_or_exchange(temporary, place, true);
    } else {
      rename_or_exchange(place, temporary, false);
      rename_or_exchange(old, place, false);
    }
    placed = false, old.clear();
  }

  // Removes what is not needed any more: the temporary, or what was replaced.
  void clear() const {
    std::error_code ignored;
    if (!placed) fs::remove_all(temporary, ignored);
    if (!old.empty()) fs::remove_all(old, ignored);
  }
};

struct ToStream {
  std::string path, bytes;
};

// errno, or 0.
int write_stream(const ToStream& stream) {
  if (const auto descriptor = descriptor_of(stream.path)) return write_all(*descriptor, stream.bytes);
  Descriptor opened(::open(stream.path.c_str(), O_WRONLY | O_CLOEXEC));
  if (opened.number() < 0) return errno;
  const int number = write_all(opened.number(), stream.bytes);
  const int closing = opened.close();
  return number ? number : closing;
}

// What a folder may replace: nothing, an empty folder, a folder of the same kind.
std::optional<Error> check_place(const std::string& given, const std::string& place,
                                 const std::vector<FolderFile>& files) {
  std::error_code ignored;
  if (!is_there(place)) return std::nullopt;
  if (!fs::is_directory(place, ignored)) return cannot(given, "it is a file: remove it or choose another name");
  if (fs::is_empty(place, ignored) || (!files.empty() && fs::exists(fs::path(place) / files[0].path, ignored)))
    return std::nullopt;
  return cannot(given, "it is a folder of something else: choose another name");
}

// errno, or 0.
int fill(const std::string& folder, const std::vector<FolderFile>& files) {
  for (const FolderFile& file : files) {
    const fs::path place = fs::path(folder) / file.path;
    std::error_code code;
    fs::create_directories(place.parent_path(), code);
    if (code) return code.value();
    Descriptor opened(::open(place.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    if (opened.number() < 0) return errno;
    if (const int number = write_all(opened.number(), file.bytes)) return number;
    if (const int number = opened.close()) return number;
  }
  return 0;
}

}  // namespace

struct FileBatch::State {
  std::mutex mutex;
  std::vector<Pending> pending;
  std::vector<ToStream> streams;
  std::vector<std::string> made;  // folders, the outermost first
  std::set<std::string> cleared;  // folders whose stale temporaries have gone
  unsigned count = 0;             // of temporary names

  // A new temporary beside `place`, locked, in `pending`; or errno. mode: of a file, without the umask where one is
  // there already.
  int begin(const std::string& given, const std::string& place, bool folder) {
    const fs::path beside = fs::path(place).parent_path();
    if (cleared.insert(beside.string()).second) clear_stale(beside);
    struct stat existing;
    const bool keep_mode = !folder && ::stat(place.c_str(), &existing) == 0;
    for (int attempt = 0; attempt < 1000; ++attempt) {
      const std::string name = temporary_begin + std::to_string(::getpid()) + "-" + std::to_string(count++);
      const std::string temporary = (beside / (name + temporary_end)).string();
      Descriptor made_one;
      if (folder) {
        if (::mkdir(temporary.c_str(), 0777) != 0) {
          if (errno != EEXIST) return errno;
          continue;
        }
        // Before this another process may have taken it for stale. Without locks nobody takes anything.
        int why = 0;
        made_one = hold(temporary, &why);
        if (made_one.number() < 0 && why != ENOLCK && why != ENOTSUP && why != EBADF) continue;
        // And since then somebody else may have given the name to a file.
        struct stat found;
        if (made_one.number() >= 0 && (::fstat(made_one.number(), &found) != 0 || !S_ISDIR(found.st_mode))) continue;
      } else {
        made_one = Descriptor(::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
        if (made_one.number() < 0 && errno != EEXIST) return errno;
        if (made_one.number() < 0) continue;
        // Between these two calls another process may have taken it for stale and removed it.
        const bool locked = ::flock(made_one.number(), LOCK_EX | LOCK_NB) == 0 || errno == ENOLCK || errno == ENOTSUP;
        struct stat found;
        if (!locked || ::fstat(made_one.number(), &found) != 0 || found.st_nlink == 0) continue;
        if (keep_mode) ::fchmod(made_one.number(), existing.st_mode & 07777);
      }
      pending.push_back({given, place, temporary, std::move(made_one)});
      return 0;
    }
    return EEXIST;
  }

  void drop_last() {
    pending.back().clear();
    pending.pop_back();
  }

  void discard() {
    for (auto one = pending.rbegin(); one != pending.rend(); ++one) one->take_back();
    for (const Pending& one : pending) one.clear();
    for (auto folder = made.rbegin(); folder != made.rend(); ++folder) ::rmdir(folder->c_str());  // only empty ones go
    pending.clear(), streams.clear(), made.clear();
  }
};

FileBatch::FileBatch() : state_(std::make_unique<State>()) {}
FileBatch::~FileBatch() {
  if (state_) discard();
}

std::optional<Error> FileBatch::make_folder_of(const std::string& path) {
  const std::lock_guard lock(state_->mutex);
  if (descriptor_of(path) || is_stream(path)) return std::nullopt;
  const fs::path folder = fs::path(followed(path)).parent_path();
  std::vector<fs::path> missing;
  for (fs::path at = folder; !at.empty() && !is_there(at.string()); at = at.parent_path()) missing.push_back(at);
  for (auto at = missing.rbegin(); at != missing.rend(); ++at) {
    std::error_code code;
    if (fs::create_directory(*at, code)) state_->made.push_back(at->string());
    if (!code) continue;
    return Error{ErrorCode::cannot_write,
                 "Cannot make the folder " + fs::path(path).parent_path().string() + " (" + code.message() +
                     "): choose another place.",
                 folder.string()};
  }
  return std::nullopt;
}

std::optional<Error> FileBatch::add(const std::string& path, std::string bytes) {
  const std::lock_guard lock(state_->mutex);
  if (descriptor_of(path) || is_stream(path)) {
    state_->streams.push_back({path, std::move(bytes)});
    return std::nullopt;
  }
  const std::string place = followed(path);
  std::error_code ignored;
  if (fs::is_directory(place, ignored) || path.ends_with('/')) return cannot(path, EISDIR);
  if (const int number = state_->begin(path, place, false)) return cannot(path, number);
  int number = write_all(state_->pending.back().lock.number(), bytes);
  // A disk behind a network says only when a descriptor is closed that it is full; the lock needs its own to live on.
  if (number == 0) number = Descriptor(::dup(state_->pending.back().lock.number())).close();
  if (number) {
    state_->drop_last();
    return cannot(path, number);
  }
  return std::nullopt;
}

std::optional<Error> FileBatch::add_folder(const std::string& path, const std::vector<FolderFile>& files) {
  const std::lock_guard lock(state_->mutex);
  const std::string place = followed(path);
  if (auto error = check_place(path, place, files)) return error;
  int number = state_->begin(path, place, true);
  if (number == 0) {
    number = fill(state_->pending.back().temporary, files);
    if (number) state_->drop_last();
  }
  return number ? std::optional(cannot(path, number)) : std::nullopt;
}

std::optional<Error> FileBatch::commit() {
  // A pipe may make this wait for its reader, so it happens without the lock: abandon() must not have to wait too.
  for (const ToStream& stream : state_->streams) {
    const int number = write_stream(stream);
    if (number == 0) continue;
    const bool standard = descriptor_of(stream.path) == STDOUT_FILENO;
    Error error = cannot(standard ? "to standard output" : stream.path, number);
    discard();
    return error;
  }
  const std::lock_guard lock(state_->mutex);
  for (Pending& one : state_->pending)
    if (const int number = one.put_in_place()) {
      Error error = cannot(one.given, number);  // before its name goes with it
      state_->discard();
      return error;
    }
  for (const Pending& one : state_->pending) one.clear();
  state_->pending.clear(), state_->streams.clear(), state_->made.clear();
  return std::nullopt;
}

void FileBatch::discard() {
  const std::lock_guard lock(state_->mutex);
  state_->discard();
}

void FileBatch::abandon() {
  state_->mutex.lock();  // and never unlocked: the process is about to end
  state_->discard();
}

std::optional<Error> write_file(const std::string& path, const std::string& bytes) {
  FileBatch batch;
  if (auto error = batch.add(path, bytes)) return error;
  return batch.commit();
}

std::optional<Error> write_folder(const std::string& path, const std::vector<FolderFile>& files) {
  FileBatch batch;
  if (auto error = batch.add_folder(path, files)) return error;
  return batch.commit();
}

}  // namespace batten
