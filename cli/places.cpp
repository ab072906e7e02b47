#include "places.h"

#include <filesystem>
#include <map>

namespace batten::cli {
namespace {

namespace fs = std::filesystem;

struct Target {
  const char* option;
  const char* ending;
  std::string given;
  std::string Places::*member;
};

bool is_folder(const std::string& path) {
  std::error_code ignored;
  return fs::is_directory(path, ignored) || path.ends_with('/');
}

bool exists_as_file(const std::string& path) {
  std::error_code ignored;
  return fs::exists(path, ignored) && !fs::is_directory(path, ignored);
}

std::string lower(std::string text) {
  for (char& c : text)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return text;
}

bool names_a_file(const Target& target) {
  if (is_folder(target.given)) return false;
  return exists_as_file(target.given) || fs::path(target.given).has_extension();
}

Error refused(const std::string& sentence, const std::string& option) {
  return {ErrorCode::bad_option, sentence, option};
}

std::optional<Error> check(const Target& target, std::size_t scans) {
  if (!names_a_file(target)) return std::nullopt;
  const std::string what = std::string(target.option) + " " + target.given;
  if (scans > 1) return refused(what + " is a file, but there are several scans: name a folder.", target.option);
  std::error_code ignored;
  const bool device = exists_as_file(target.given) && !fs::is_regular_file(target.given, ignored);
  if (!device && lower(fs::path(target.given).extension()) != target.ending)
    return refused(what + ": this file is written as " + (target.ending + 1) + ", so let its name end in " +
                       target.ending + ", or name a folder.",
                   target.option);
  return std::nullopt;
}

std::string place_for(const std::string& scan, const Target& target) {
  if (names_a_file(target)) return target.given;
  return (fs::path(target.given) / fs::path(scan).stem()).string() + target.ending;
}

// The same file under whatever name: links resolved as far as they exist.
std::string identity(const std::string& path) {
  std::error_code code;
  const fs::path whole = fs::weakly_canonical(path, code);
  return code ? fs::absolute(path, code).lexically_normal().string() : whole.string();
}

std::optional<Error> check_clashes(const std::vector<Places>& all) {
  std::map<std::string, std::string> scans, results;  // identity -> name as given, or the scan it belongs to
  for (const Places& places : all) scans[identity(places.scan)] = places.scan;
  for (const Places& places : all)
    for (const std::string& path : {places.svg, places.overlay, places.proof, places.report}) {
      std::error_code ignored;
      if (path.empty() || (exists_as_file(path) && !fs::is_regular_file(path, ignored))) continue;
      if (scans.contains(identity(path)))
        return refused(path + " is a scan and would be written over: choose another folder or name.", path);
      if (!results.emplace(identity(path), places.scan).second)
        return refused("Two results would both be written to " + path +
                           ": give the scans different names or trace them one by one.",
                       path);
    }
  return std::nullopt;
}

}  // namespace

Result<std::vector<Places>> plan(const Arguments& arguments) {
  const Target targets[] = {{"--out", ".svg", arguments.out, &Places::svg},
                            {"--overlay", ".png", arguments.overlay, &Places::overlay},
                            {"--proof", ".html", arguments.proof, &Places::proof},
                            {"--report", ".json", arguments.report, &Places::report}};
  for (const Target& target : targets)
    if (!target.given.empty())
      if (const auto error = check(target, arguments.scans.size())) return *error;

  std::vector<Places> all;
  for (const std::string& scan : arguments.scans) {
    Places places{scan, fs::path(scan).replace_extension(".svg").string(), "", "", ""};
    for (const Target& target : targets)
      if (!target.given.empty()) places.*target.member = place_for(scan, target);
    all.push_back(places);
  }
  if (const auto error = check_clashes(all)) return *error;
  return all;
}

std::optional<Error> make_folder_of(const std::string& path) {
  const fs::path folder = fs::path(path).parent_path();
  if (folder.empty()) return std::nullopt;
  std::error_code code;
  fs::create_directories(folder, code);
  if (!code) return std::nullopt;
  return Error{ErrorCode::cannot_write,
               "Cannot make the folder " + folder.string() + " (" + code.message() + "): choose another place.",
               folder.string()};
}

}  // namespace batten::cli
