// How long a trace takes and how much memory, beside the least that any program must do with the pixels: decode the
// file, blur it, threshold it (Otsu) and follow the contours, by OpenCV in one thread. Both are measured in the same
// run on the same files, so that the ratios hold for other machines. Each measurement has a process of its own, which
// gives its peak of memory.
//
//   speed FOLDER [--only NAME,...] [--rounds N] [--json FILE]     measures; drawings are kept in FOLDER
//   speed --compare BEFORE.json AFTER.json                        two versions side by side
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "batten/convert.h"
#include "batten/files.h"
#include "batten/version.h"
#include "support/png.h"
#include "support/speed_case.h"

namespace {

using namespace batten;
using namespace batten::support;
using nlohmann::json;

// Megapixels, ink and outlines grow one at a time: "blank" has the ink of one letter on ever more paper, "ink" ever
// larger letters on one sheet, "outlines" ever more letters of one size on a sheet that grows with them.
const std::vector<SpeedCase> cases = {
    {"letter", 1000, 1000, 1, 760},
    {"page", 3300, 2550, 10, 560},
    {"a4-600dpi", 4960, 7016, 10, 1250, 2},
    {"blank-1", 1000, 1000, 1, 400},
    {"blank-9", 3000, 3000, 1, 400},
    {"blank-35", 5900, 5900, 1, 400},
    {"blank-140", 11800, 11800, 1, 400},
    {"ink-200", 3000, 3000, 9, 200},
    {"ink-400", 3000, 3000, 9, 400},
    {"ink-800", 3000, 3000, 9, 800},
    {"outlines-10", 700, 700, 7, 160, 1, false},
    {"outlines-100", 2200, 2200, 70, 160, 1, false},
    {"outlines-1000", 7000, 7000, 700, 160, 1, false},
    {"outlines-2000", 9900, 9900, 1400, 160, 1, false},
};

struct Measured {
  double seconds = 0;  // the median
  double peak_bytes = 0;
  double outlines = 0;
};

enum class Time { of_processor, by_the_clock };

double seconds(Time time) {
  timespec now{};
  ::clock_gettime(time == Time::of_processor ? CLOCK_PROCESS_CPUTIME_ID : CLOCK_MONOTONIC, &now);
  return double(now.tv_sec) + 1e-9 * double(now.tv_nsec);
}

// Runs `once` several times in a process of its own; it returns how many outlines it made, or less than 0.
Measured measured(int rounds, Time time, const std::function<int()>& once) {
  int ends[2];
  if (::pipe(ends) != 0) return {};
  std::fflush(nullptr);
  const pid_t child = ::fork();
  if (child == 0) {
    std::vector<double> told;
    for (int i = 0; i < rounds; ++i) {
      const double begin = seconds(time);
      const int outlines = once();
      told.push_back(seconds(time) - begin);
      if (i + 1 < rounds) continue;
      std::sort(told.begin(), told.end());
      const double line[2] = {told[told.size() / 2], double(outlines)};
      ::_exit(::write(ends[1], line, sizeof line) == sizeof line ? 0 : 1);
    }
    ::_exit(1);
  }
  ::close(ends[1]);
  double line[2] = {0, -1};
  const bool whole = ::read(ends[0], line, sizeof line) == sizeof line;
  ::close(ends[0]);
  rusage used{};
  int status = 0;
  ::wait4(child, &status, 0, &used);
  if (!whole) return {};
  return {line[0], double(used.ru_maxrss) * 1024, line[1]};
}

int floor_of(const std::string& path) {
  cv::setNumThreads(1);
  Result<Picture> picture = read_picture(path);
  if (!picture) return -1;
  cv::Mat1b grey(picture->height, picture->width, picture->bytes.data(), std::size_t(picture->stride_bytes)), mask;
  cv::GaussianBlur(grey, mask, {0, 0}, 1.2);
  cv::threshold(mask, mask, 0, 255, cv::THRESH_BINARY_INV | cv::THRESH_OTSU);
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(mask, contours, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  return int(contours.size());
}

int trace_of(const std::string& path, int threads) {
  const Result<Picture> picture = read_picture(path);
  if (!picture) return -1;
  Options options;
  options.threads = threads;
  const Result<Conversion> conversion = convert(picture->view(), options);
  return conversion ? int(conversion->drawing.outlines.size()) : -1;
}

json row_of(const SpeedCase& c, const std::string& path, int rounds) {
  const Measured floor = measured(rounds, Time::of_processor, [&] { return floor_of(path); });
  const Measured one = measured(rounds, Time::of_processor, [&] { return trace_of(path, 1); });
  const Measured two = measured(rounds, Time::by_the_clock, [&] { return trace_of(path, 2); });
  const double pixels = double(c.width) * c.height;
  return {{"case", c.name},
          {"megapixels", pixels / 1e6},
          {"outlines", one.outlines},
          {"floor_s", floor.seconds},
          {"one_thread_s", one.seconds},
          {"two_threads_s", two.seconds},
          {"peak_bytes", two.peak_bytes},
          {"bytes_per_pixel", two.peak_bytes / pixels}};
}

void print(const json& row) {
  const double floor = row["floor_s"], one = row["one_thread_s"], two = row["two_threads_s"];
  std::printf("| %-13s | %5.1f | %5.0f | %6.3f | %7.3f | %5.1f | %7.3f | %5.1f | %4.2f | %5.0f | %5.1f |\n",
              row["case"].get<std::string>().c_str(), row["megapixels"].get<double>(), row["outlines"].get<double>(),
              floor, one, one / floor, two, two / floor, one / two, row["peak_bytes"].get<double>() / 1e6,
              row["bytes_per_pixel"].get<double>());
  std::fflush(stdout);
}

int compare(const std::string& before, const std::string& after) {
  const json a = json::parse(std::ifstream(before)), b = json::parse(std::ifstream(after));
  std::printf(
      "| case          | over floor before | after | change | peak MB before | after |\n|---|---|---|---|---|---|\n");
  for (const json& row : b["rows"])
    for (const json& was : a["rows"]) {
      if (was["case"] != row["case"]) continue;
      const double x = was["one_thread_s"].get<double>() / was["floor_s"].get<double>(),
                   y = row["one_thread_s"].get<double>() / row["floor_s"].get<double>();
      std::printf("| %-13s | %6.1f | %6.1f | %+4.0f %% | %5.0f | %5.0f |\n", row["case"].get<std::string>().c_str(), x,
                  y, 100 * (y / x - 1), was["peak_bytes"].get<double>() / 1e6, row["peak_bytes"].get<double>() / 1e6);
    }
  return 0;
}

int measure_all(const std::string& folder, const std::vector<std::string>& only, int rounds, const std::string& out) {
  std::filesystem::create_directories(folder);
  std::printf(
      "| case          |  Mpx  | outl. | floor s | 1 thread s | ratio | 2 threads s | ratio | gain | MB | B/px |\n");
  std::printf("|---|---|---|---|---|---|---|---|---|---|---|\n");
  json rows = json::array();
  for (const SpeedCase& c : cases) {
    if (!only.empty() && std::find(only.begin(), only.end(), c.name) == only.end()) continue;
    const std::string path = folder + "/" + c.name + ".png";
    if (!std::filesystem::exists(path)) {
      // In a process of its own: what drawing takes must not count as the tracer's peak.
      measured(1, Time::by_the_clock, [&] {
        const GrayImage image = draw_sheet(c);
        std::ofstream(path, std::ios::binary) << (image.pixels.empty() ? std::string() : png_bytes(image, 300));
        return 0;
      });
    }
    if (std::filesystem::file_size(path) == 0)
      return std::fprintf(stderr, "%s could not be drawn: apt-get install fonts-goudybookletter\n", c.name.c_str()), 1;
    rows.push_back(row_of(c, path, rounds));
    print(rows.back());
  }
  if (!out.empty()) std::ofstream(out) << json{{"version", BATTEN_VERSION}, {"rows", rows}}.dump(1) << "\n";
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Time and memory of a trace beside the least that anybody must do with the pixels.");
  std::string folder, out;
  std::vector<std::string> only, compared;
  int rounds = 3;
  app.add_option("FOLDER", folder, "Where the drawings are kept");
  app.add_option("--only", only, "Names of cases")->delimiter(',');
  app.add_option("--rounds", rounds, "How often each is measured; the median counts. [3]")->check(CLI::Range(1, 99));
  app.add_option("--json", out, "Where the figures go, for --compare");
  app.add_option("--compare", compared, "Two files of figures")->expected(2);
  CLI11_PARSE(app, argc, argv);
  if (!compared.empty()) return compare(compared[0], compared[1]);
  if (folder.empty()) return std::fprintf(stderr, "Give the folder for the drawings, or --compare.\n"), 2;
  return measure_all(folder, only, rounds, out);
}
