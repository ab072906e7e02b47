#include "prepare.h"

#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <limits>
#include <thread>

#include "batten/files.h"
#include "parse_values.h"

namespace batten::cli {

Result<double> px_of(const Tolerance& length, double dpi, const std::string& scan, const std::string& option) {
  if (length.unit == Tolerance::Unit::px) return length.value;
  constexpr double mm_per_inch = 25.4;
  if (dpi > 0) return length.value / mm_per_inch * dpi;
  return Error{ErrorCode::resolution_unknown,
               scan + " does not say its resolution, so mm cannot be used: give --dpi, or " + option + " in px.",
               option};
}

double memory_of_machine() {
  double bytes = double(::sysconf(_SC_PHYS_PAGES)) * double(::sysconf(_SC_PAGESIZE));
  rlimit limit;
  if (::getrlimit(RLIMIT_AS, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY)
    bytes = std::min(bytes, double(limit.rlim_cur));
  std::ifstream container("/sys/fs/cgroup/memory.max");  // control groups, version 2; "max" is no number
  if (std::string word; container >> word)
    if (const auto most = number<double>(word); most && *most > 0) bytes = std::min(bytes, *most);
  return bytes > 0 ? bytes : std::numeric_limits<double>::infinity();
}

Result<Picture> read_scan(const Arguments& arguments, const std::string& scan) {
  ReadOptions options;
  options.most_memory_bytes = arguments.most_memory_bytes > 0 ? arguments.most_memory_bytes : memory_of_machine();
  if (arguments.crop) {  // of a scan of any length a part can be traced
    options.most_memory_bytes -= memory_needed(arguments.crop->width, arguments.crop->height);
    options.for_a_part = true;
    options.longest_side_px = std::numeric_limits<int>::max();
  }
  return read_picture(scan, options);
}

int threads_of(const Arguments& arguments) {
  if (arguments.batch.threads > 0) return arguments.batch.threads;
  return static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1u, 64u));
}

Result<Options> options_for(const Arguments& arguments, const Picture& picture, const std::string& scan) {
  Options options = arguments.options;
  if (options.dpi <= 0) options.dpi = picture.dpi;
  options.threads = threads_of(arguments);
  options.tolerance_px.reset();
  if (arguments.tolerance.unit != Tolerance::Unit::automatic) {
    const Result<double> px = px_of(arguments.tolerance, options.dpi, scan, "--tolerance");
    if (!px) return px.error();
    options.tolerance_px = *px;
  }
  if (!arguments.pins.empty()) {
    Result<std::vector<Pin>> pins = read_pins(arguments.pins, options.dpi);
    if (!pins) return pins.error();
    options.pins = std::move(*pins);
    // They are on the whole scan, and only a part of it is looked at.
    if (arguments.crop)
      for (Pin& pin : options.pins)
        for (Point& p : pin.places) p = p - Point{double(arguments.crop->x), double(arguments.crop->y)};
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

std::string pages_sentence(const Picture& picture) {
  return "The file holds " + std::to_string(picture.pages) +
         " pages, and only the first was read: save the others as files of their own.";
}

void note_pages(const Picture& picture, Conversion* conversion) {
  if (picture.pages > 1)
    conversion->report.findings.push_back({Finding::What::pages_left_out, -1, {}, 0, pages_sentence(picture)});
}

Result<std::string> proof_for(const std::string& path, const Picture& picture, const Conversion& conversion,
                              const ReportContext& context) {
  return has_ending(path, ".png")   ? to_proof_png(picture, conversion, context)
         : has_ending(path, ".pdf") ? to_proof_pdf(picture, conversion, context)
                                    : to_proof_page(picture, conversion, context);
}

void say(const std::string& line, const std::vector<Output>& outputs) {
  const std::string standard = destination_of(standard_output).name;
  const bool taken = std::any_of(outputs.begin(), outputs.end(),
                                 [&](const Output& o) { return destination_of(o.path).name == standard; });
  std::FILE* const stream = taken ? stderr : stdout;
  std::fprintf(stream, "%s\n", line.c_str());
  std::fflush(stream);
}

std::optional<Error> write_together(const std::vector<Output>& outputs, FileBatch* batch) {
  for (const Output& output : outputs) {
    std::optional<Error> error = batch->make_folder_of(output.path);
    if (!error)
      error =
          output.folder.empty() ? batch->add(output.path, output.bytes) : batch->add_folder(output.path, output.folder);
    if (error) return batch->discard(), error;
  }
  return batch->commit();
}

}  // namespace batten::cli
