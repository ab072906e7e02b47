#include "trace.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <thread>

#include "batten/files.h"
#include "batten/write.h"
#include "show.h"

namespace batten::cli {
namespace {

constexpr double mm_per_inch = 25.4;

Result<Options> options_for(const Arguments& arguments, const Picture& picture, const std::string& scan) {
  Options options;
  options.drawing = arguments.drawing;
  options.extremes = arguments.extremes;
  options.dpi = arguments.dpi > 0 ? arguments.dpi : picture.dpi;
  options.threads = static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1u, 64u));
  switch (arguments.tolerance.unit) {
    case Tolerance::Unit::px:
      options.tolerance_px = arguments.tolerance.value;
      break;
    case Tolerance::Unit::automatic:
      options.tolerance_px.reset();
      break;
    case Tolerance::Unit::mm:
      if (options.dpi <= 0)
        return Error{ErrorCode::resolution_unknown,
                     scan + " does not say its resolution, so mm cannot be used: give --dpi, or the tolerance in px.",
                     "--tolerance"};
      options.tolerance_px = arguments.tolerance.value / mm_per_inch * options.dpi;
  }
  if (auto error = check(options)) return *error;
  return options;
}

// The part of the scan to look at; the whole without --crop.
Result<ImageView> view_of(const Picture& picture, const std::optional<Crop>& crop, const std::string& scan) {
  ImageView view = picture.view();
  if (!crop) return view;
  if (crop->x >= view.width || crop->y >= view.height || crop->width > view.width - crop->x ||
      crop->height > view.height - crop->y)
    return Error{ErrorCode::bad_option,
                 "--crop reaches outside " + scan + ", which is " + std::to_string(view.width) + " x " +
                     std::to_string(view.height) + " px: give a part of it.",
                 "--crop"};
  const std::ptrdiff_t bytes_per_pixel = view.stride_bytes / view.width;
  view.pixels = static_cast<const std::uint8_t*>(view.pixels) + crop->y * view.stride_bytes + crop->x * bytes_per_pixel;
  view.width = crop->width;
  view.height = crop->height;
  return view;
}

Result<Conversion> convert_part(const Picture& picture, const Arguments& arguments, const Places& places) {
  const Result<Options> options = options_for(arguments, picture, places.scan);
  if (!options) return options.error();
  const Result<ImageView> view = view_of(picture, arguments.crop, places.scan);
  if (!view) return view.error();
  ProgressLine line(places.scan, arguments.quiet);
  Job job;
  job.progress = [&](Stage stage, double fraction) { line.update(stage, fraction); };
  Result<Conversion> conversion = convert(*view, *options, job);
  if (!conversion) {
    Error error = conversion.error();
    error.message = places.scan + ": " + error.message;
    return error;
  }
  if (arguments.crop) translate(*conversion, {double(arguments.crop->x), double(arguments.crop->y)});
  conversion->drawing.width_px = picture.width;
  conversion->drawing.height_px = picture.height;
  return conversion;
}

std::optional<Error> write(const std::string& path, const std::string& bytes) {
  if (auto error = make_folder_of(path)) return error;
  return write_file(path, bytes);
}

// Large enough for letters beside the nodes on one letter's scan, small enough to open a page's at once.
double overlay_scale(const Picture& picture) {
  constexpr double pixels = 24e6;
  return std::clamp(std::floor(std::sqrt(pixels / (double(picture.width) * picture.height))), 1.0, 3.0);
}

std::optional<Error> write_results(const Arguments& arguments, const Places& places, const Picture& picture,
                                   const Conversion& conversion, double seconds) {
  if (!arguments.overlay.empty()) {
    const Result<std::string> png = draw_overlay(picture, conversion.drawing, overlay_scale(picture));
    if (!png) return png.error();
    if (auto error = write(places.overlay, *png)) return error;
  }
  if (!arguments.proof.empty()) {
    const Result<std::string> page = to_proof_page(picture, conversion, {places.scan, seconds});
    if (!page) return page.error();
    if (auto error = write(places.proof, *page)) return error;
  }
  if (!arguments.report.empty())
    if (auto error = write(places.report, to_json(conversion, {places.scan, seconds}))) return error;
  return write(places.svg, to_svg(conversion.drawing));
}

}  // namespace

std::optional<Error> trace(const Arguments& arguments, const Places& places) {
  const auto begin = std::chrono::steady_clock::now();
  const auto seconds = [&] { return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(); };
  const Result<Picture> picture = read_picture(places.scan);
  if (!picture) return picture.error();
  const Result<Conversion> conversion = convert_part(*picture, arguments, places);
  if (!conversion) return conversion.error();
  if (auto error = write_results(arguments, places, *picture, *conversion, seconds())) return error;
  if (arguments.quiet) return std::nullopt;
  show_warnings(places.scan, conversion->report);
  std::printf("%s\n", summary(places.scan, *conversion, seconds(), places.svg).c_str());
  std::fflush(stdout);
  return std::nullopt;
}

}  // namespace batten::cli
