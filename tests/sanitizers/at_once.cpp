// Conversions in several threads at once, each with threads of its own, cancelled ones among them: they must not meet
// (ThreadSanitizer), must give what they give alone, and must give all memory back (LeakSanitizer, at the end).
#include <batten/batten.h>
#include <batten/convert.h>
#include <batten/write.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <thread>
#include <vector>

namespace {

constexpr int width = 260, height = 200;

double to_segment(batten::Point p, batten::Point a, batten::Point b) {
  const batten::Point d = b - a, v = p - a;
  const double t = std::clamp((v.x * d.x + v.y * d.y) / (d.x * d.x + d.y * d.y), 0.0, 1.0);
  return std::hypot(v.x - t * d.x, v.y - t * d.y);
}

/// A triangle drawn by a soft line of 6 px and a shaded disc: bands, corners and edges all have work to do.
std::vector<std::uint8_t> drawing() {
  const batten::Point corners[] = {{20, 170}, {80, 25}, {140, 170}};
  std::vector<std::uint8_t> grey(width * height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const batten::Point p{x + 0.5, y + 0.5};
      double line = 1e9;
      for (int k = 0; k < 3; ++k) line = std::min(line, to_segment(p, corners[k], corners[(k + 1) % 3]));
      const double band = 0.7 * std::exp(-0.5 * line * line / 4), disc = std::hypot(p.x - 200, p.y - 100) - 42;
      const double grain = 0.02 * ((x * 7919 + y * 104729) % 17 - 8) / 8.0;
      const double ink = std::max(band, 0.8 * std::clamp(0.5 - disc, 0.0, 1.0)) + grain;
      grey[std::size_t(y * width + x)] = std::uint8_t(std::lround(240 * (1 - std::clamp(ink, 0.0, 1.0))));
    }
  return grey;
}

std::string traced(const std::vector<std::uint8_t>& grey, int threads) {
  batten::Options options;
  options.threads = threads;
  const auto made = batten::convert({grey.data(), width, height, width, batten::PixelFormat::gray8}, options);
  return made ? batten::to_svg(made->drawing) : made.error().message;
}

int stop_after_some(void* calls, std::int32_t, double) { return --*static_cast<int*>(calls) > 0; }

bool cancelled(const std::vector<std::uint8_t>& grey, int calls) {
  const batten_image image = {sizeof image, grey.data(), width, height, BATTEN_GRAY8, width, nullptr, 0};
  const batten_job job = {sizeof job, stop_after_some, &calls, nullptr, nullptr, 0, 0};
  batten_drawing* out = nullptr;
  const auto code = batten_convert(&image, nullptr, &job, &out, nullptr);
  batten_drawing_free(out);
  return code == BATTEN_CANCELLED;
}

}  // namespace

int main() {
  const std::vector<std::uint8_t> grey = drawing();
  const std::string alone = traced(grey, 1);
  if (alone.find("shape-2") == std::string::npos)
    return std::printf("two shapes were expected:\n%s\n", alone.c_str()), 1;
  std::vector<std::string> results(4);
  bool stopped = false;
  {
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < results.size(); ++i)
      threads.emplace_back([&, i] { results[i] = traced(grey, i % 2 ? 2 : 1); });
    threads.emplace_back([&] { stopped = cancelled(grey, 6); });
  }
  for (const std::string& r : results)
    if (r != alone) return std::printf("another drawing than alone:\n%s\n%s\n", r.c_str(), alone.c_str()), 1;
  if (!stopped) return std::puts("was not cancelled"), 1;
  std::puts("all the same, at once as alone");
}
