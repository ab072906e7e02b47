#include "prepare.h"

#include <algorithm>
#include <thread>

#include "places.h"

namespace batten::cli {

Result<double> px_of(const Tolerance& length, double dpi, const std::string& scan, const std::string& option) {
  if (length.unit == Tolerance::Unit::px) return length.value;
  constexpr double mm_per_inch = 25.4;
  if (dpi > 0) return length.value / mm_per_inch * dpi;
  return Error{ErrorCode::resolution_unknown,
               scan + " does not say its resolution, so mm cannot be used: give --dpi, or " + option + " in px.",
               option};
}

Result<Options> options_for(const Arguments& arguments, const Picture& picture, const std::string& scan) {
  Options options = arguments.options;
  if (options.dpi <= 0) options.dpi = picture.dpi;
  options.threads = static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1u, 64u));
  options.tolerance_px.reset();
  if (arguments.tolerance.unit != Tolerance::Unit::automatic) {
    const Result<double> px = px_of(arguments.tolerance, options.dpi, scan, "--tolerance");
    if (!px) return px.error();
    options.tolerance_px = *px;
  }
  if (auto error = check(options)) return *error;
  return options;
}

namespace {

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

}  // namespace

Error named(Error error, const std::string& scan) {
  error.message = scan + ": " + error.message;
  return error;
}

Result<Located> locate_lines(const Arguments& arguments, const Picture& picture, const Options& options,
                             const std::string& scan) {
  const Result<ImageView> view = view_of(picture, arguments.crop, scan);
  if (!view) return view.error();
  ProgressLine line(scan, arguments.quiet);
  Job job;
  job.progress = [&](Stage stage, double fraction) { line.update(stage, fraction); };
  Result<Located> located = locate(*view, options, job);
  if (!located) return named(located.error(), scan);
  return located;
}

Job second_half(ProgressLine* line) {
  Job job;
  job.progress = [line](Stage stage, double fraction) { line->update(stage, 0.5 + 0.5 * fraction); };
  return job;
}

void put_back(Conversion& conversion, const Picture& picture, const std::optional<Crop>& crop) {
  if (crop) translate(conversion, {double(crop->x), double(crop->y)});
  conversion.drawing.width_px = picture.width;
  conversion.drawing.height_px = picture.height;
}

std::optional<Error> write_result(const std::string& path, const std::string& bytes) {
  if (auto error = make_folder_of(path)) return error;
  return write_file(path, bytes);
}

std::optional<Error> write_proof(const std::string& path, const Picture& picture, const Conversion& conversion,
                                 const ReportContext& context) {
  const Result<std::string> proof = has_ending(path, ".png")   ? to_proof_png(picture, conversion, context)
                                    : has_ending(path, ".pdf") ? to_proof_pdf(picture, conversion, context)
                                                               : to_proof_page(picture, conversion, context);
  if (!proof) return proof.error();
  return write_result(path, *proof);
}

}  // namespace batten::cli
