#include "places.h"

#include <algorithm>
#include <filesystem>
#include <set>

#include "batten/files.h"

namespace batten::cli {
namespace {

namespace fs = std::filesystem;

struct Target {
  const char* option;
  std::vector<std::string> endings;  // the first is what files in a folder get
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

bool is_device(const std::string& path) { return destination_of(path).stream; }

std::string ending_of(const std::string& path) { return lower(fs::path(path).extension()); }

// A font is a folder that is treated as one file.
std::string without_slash(std::string path) {
  while (path.size() > 1 && path.ends_with('/')) path.pop_back();
  return path;
}
bool names_a_font(const std::string& path) { return ending_of(without_slash(path)) == entry_of(Format::ufo).ending; }

bool names_a_file(const std::string& path) {
  if (is_folder(path)) return false;
  return exists_as_file(path) || is_device(path) || fs::path(path).has_extension();
}

Error refused(const std::string& sentence, const std::string& option) {
  return {ErrorCode::bad_option, sentence, option};
}

std::optional<Error> check(const Target& target, std::size_t scans) {
  if (!names_a_file(target.given)) return std::nullopt;
  const std::string what = std::string(target.option) + " " + target.given;
  if (scans > 1) return refused(what + " is a file, but there are several scans: name a folder.", target.option);
  if (!is_device(target.given) &&
      std::find(target.endings.begin(), target.endings.end(), ending_of(target.given)) == target.endings.end()) {
    std::string words, known;
    for (const std::string& one : target.endings) {
      words += (words.empty() ? "" : " or ") + one.substr(1);
      known += (known.empty() ? "" : " or ") + one;
    }
    return refused(
        what + ": this file is written as " + words + ", so let its name end in " + known + ", or name a folder.",
        target.option);
  }
  return std::nullopt;
}

// The one format that a file named by --out is written in.
Result<Format> format_of_file(const std::string& out, const std::vector<Format>& asked, std::size_t scans) {
  const std::string what = "--out " + out;
  if (scans > 1) return refused(what + " is a file, but there are several scans: name a folder.", "--out");
  if (asked.size() > 1) return refused(what + " is a file, but there are several formats: name a folder.", "--out");
  if (is_device(out)) {
    const Format format = asked.empty() ? Format::svg : asked.front();
    if (format != Format::ufo) return format;
    return refused("A font is a folder of files and cannot go to " + out + ": let --out name a folder.", "--out");
  }
  for (const FormatEntry& entry : formats) {
    if (ending_of(out) != entry.ending && !(entry.format == Format::ufo && names_a_font(out))) continue;
    if (asked.empty() || asked.front() == entry.format) return entry.format;
    return refused(what + " and --format " + entry_of(asked.front()).word +
                       " do not agree: leave out --format, or let " + "the name end in " +
                       entry_of(asked.front()).ending + ".",
                   "--out");
  }
  return refused(what + " has no known ending: let it end in " + known_endings() + ", or name a folder.", "--out");
}

std::string place_for(const std::string& scan, const std::string& given, const char* ending) {
  if (names_a_file(given)) return given;
  return (fs::path(given) / fs::path(scan).stem()).string() + ending;
}

Result<std::vector<Place>> places_of_outlines(const Arguments& arguments, const std::string& scan) {
  const std::string& out = arguments.out;
  if (!out.empty() && (names_a_font(out) || names_a_file(out))) {
    const Result<Format> format = format_of_file(out, arguments.formats, arguments.scans.size());
    if (!format) return format.error();
    return std::vector<Place>{{*format, without_slash(out)}};
  }
  const std::string folder = out.empty() ? fs::path(scan).parent_path().string() : out;
  std::vector<Place> places;
  for (const Format format : arguments.formats.empty() ? std::vector{Format::svg} : arguments.formats)
    places.push_back({format, (fs::path(folder) / fs::path(scan).stem()).string() + entry_of(format).ending});
  return places;
}

// An option that would do nothing is refused: it must be a misunderstanding.
std::optional<Error> check_use(const Arguments& arguments, const std::vector<Place>& places) {
  const auto writes = [&](Format format) {
    return std::any_of(places.begin(), places.end(), [&](const Place& place) { return place.format == format; });
  };
  if (!arguments.font.given.empty() && !writes(Format::ufo))
    return refused(arguments.font.given + " is for fonts: let --out end in .ufo, or add --format ufo.",
                   arguments.font.given);
  if (arguments.nodes && !writes(Format::svg))
    return refused("--nodes is for SVG: add --format svg; for a picture of the nodes there is --overlay.", "--nodes");
  if (!arguments.pins.empty() && arguments.scans.size() > 1)
    return refused("--pins belongs to one scan, but there are several: trace them one by one.", "--pins");
  if (arguments.batch.skip_done && arguments.report.empty())
    return refused("--skip-done reads what was done from reports: add --report DIR.", "--skip-done");
  for (const char* option : {"--names", "--baseline"}) {
    const bool typed = option == std::string("--names") ? !arguments.font.glyphs.names.empty()
                                                        : !arguments.font.glyphs.baselines_px.empty();
    if (typed && arguments.scans.size() > 1)
      return refused(std::string(option) + " belongs to one sheet, but there are several scans: trace them one by one.",
                     option);
  }
  return std::nullopt;
}

// Does a place lie in that folder?
bool inside(const std::string& place, const std::string& folder) { return place.starts_with(folder + "/"); }

std::optional<Error> check_all(const std::vector<Places>& all, const std::string& pins, const std::string& table) {
  std::vector<std::string> scans{pins}, results{table};
  for (const Places& places : all) {
    scans.push_back(places.scan);
    for (const Place& place : places.outlines) results.push_back(place.path);
    for (const std::string& path : {places.overlay, places.proof, places.report}) results.push_back(path);
  }
  return check_clashes(scans, results);
}

}  // namespace

Result<std::vector<Places>> plan(const Arguments& arguments) {
  const Target targets[] = {{"--overlay", {".png"}, arguments.overlay, &Places::overlay},
                            {"--proof", {".html", ".png", ".pdf"}, arguments.proof, &Places::proof},
                            {"--report", {".json"}, arguments.report, &Places::report}};
  for (const Target& target : targets)
    if (!target.given.empty())
      if (const auto error = check(target, arguments.scans.size())) return *error;

  std::vector<Places> all;
  for (const std::string& scan : arguments.scans) {
    Result<std::vector<Place>> outlines = places_of_outlines(arguments, scan);
    if (!outlines) return outlines.error();
    Places places{scan, std::move(*outlines), "", "", ""};
    for (const Target& target : targets)
      if (!target.given.empty()) places.*target.member = place_for(scan, target.given, target.endings.front().c_str());
    all.push_back(std::move(places));
  }
  if (const auto error = check_use(arguments, all.front().outlines)) return *error;
  if (const auto error = check_all(all, arguments.pins, arguments.batch.table)) return *error;
  return all;
}

std::optional<Error> check_clashes(const std::vector<std::string>& read, const std::vector<std::string>& written) {
  std::set<std::string> taken, kept;
  for (const std::string& path : read)
    if (!path.empty()) kept.insert(destination_of(path).name);
  for (const std::string& path : written) {
    if (path.empty()) continue;
    const Destination place = destination_of(path);
    // Whatever goes to a device such as /dev/null may go there twice; two documents in one pipe are neither of them.
    std::error_code ignored;
    if (place.stream && fs::is_character_file(place.name, ignored)) continue;
    if (kept.contains(place.name))
      return refused(path + " is read and would be written over: choose another folder or name.", path);
    if (!taken.insert(place.name).second)
      return refused("Two results would both be written to " +
                         (place.name == "descriptor 1" ? "standard output" : path) +
                         ": give them different names or places, or trace the scans one by one.",
                     path);
  }
  for (const std::string& outer : taken) {  // a font is a folder that is replaced whole
    const auto next = std::find_if(taken.begin(), taken.end(), [&](const auto& place) { return inside(place, outer); });
    const auto scan = std::find_if(kept.begin(), kept.end(), [&](const auto& place) { return inside(place, outer); });
    if (next != taken.end() || scan != kept.end())
      return refused((next != taken.end() ? *next : *scan) + " lies in " + outer +
                         ", which would be written over: choose another place.",
                     outer);
  }
  return std::nullopt;
}

}  // namespace batten::cli
