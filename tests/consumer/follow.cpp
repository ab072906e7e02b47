// Pixels of one's own, progress, and a job that can be stopped: RGBA with padded rows, as a window system hands them
// out.
#include <batten/convert.h>

#include <cmath>
#include <iostream>
#include <vector>

int main() {
  constexpr int width = 200, height = 160, stride_bytes = 4 * width + 64;
  std::vector<unsigned char> rows(static_cast<std::size_t>(height) * stride_bytes, 255);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const double outside = std::hypot(x + 0.5 - 100, y + 0.5 - 80) - 50;  // px from a disc's edge
      const double light = 255 * std::fmin(1, std::fmax(0, outside + 0.5));
      for (int c = 0; c < 3; ++c) rows[static_cast<std::size_t>(y * stride_bytes + 4 * x + c)] = std::lround(light);
    }

  //! [follow]
  std::stop_source stop;  // stop.request_stop() from any thread ends the job with ErrorCode::cancelled
  batten::Job job;
  job.progress = [](batten::Stage stage, double fraction) {
    std::cerr << std::lround(100 * fraction) << " % " << name_of(stage) << '\n';
  };
  job.stop = stop.get_token();
  const batten::ImageView view{rows.data(), width, height, stride_bytes, batten::PixelFormat::rgba8};
  const batten::Result<batten::Conversion> traced = batten::convert(view, {.tolerance_px = std::nullopt}, job);
  if (!traced) return std::cerr << traced.error().message << '\n', 1;
  for (const batten::Finding& finding : traced->report.findings) std::cout << finding.text << '\n';
  //! [follow]

  std::cout << traced->report.segments << " segments\n";
}
