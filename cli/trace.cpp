#include "trace.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>

#include "batten/files.h"
#include "batten/write.h"
#include "prepare.h"
#include "show.h"

namespace batten::cli {
namespace {

// One scan whose lines are located once, and the outlines made of them: on another grid too, for a font's units.
class Tracing {
 public:
  static Result<Tracing> begin(const Picture& picture, const Arguments& arguments, const Places& places) {
    const Result<Options> options = options_for(arguments, picture, places.scan);
    if (!options) return options.error();
    Result<Located> located = locate_lines(arguments, picture, *options, places.scan);
    if (!located) return located.error();
    return Tracing(picture, arguments, places, *options, std::move(*located));
  }

  Result<Conversion> outlines(double grid_px) const {
    ProgressLine line(places_.scan, arguments_.quiet);
    Options options = options_;
    options.grid_px = grid_px;
    Result<Conversion> conversion = convert(located_, options, second_half(&line));
    if (!conversion) return named(conversion.error(), places_.scan);
    put_back(*conversion, picture_, arguments_.crop);
    return conversion;
  }
  // The decisions, on the whole scan.
  std::vector<Pin> pins() const {
    std::vector<Pin> out = options_.pins;
    for (Pin& pin : out)
      for (Point& p : pin.places)
        if (arguments_.crop) p = p + Point{double(arguments_.crop->x), double(arguments_.crop->y)};
    return out;
  }

 private:
  Tracing(const Picture& picture, const Arguments& arguments, const Places& places, const Options& options,
          Located located)
      : picture_(picture), arguments_(arguments), places_(places), options_(options), located_(std::move(located)) {}

  const Picture& picture_;
  const Arguments& arguments_;
  const Places& places_;
  Options options_;
  Located located_;
};

// On a grid of units the drawing is made again, on the grid of px that these units turned out to be at the font's
// scale. Its letters are then moved by whole steps, so that what is equal on the sheet is equal in the font.
Result<std::vector<FolderFile>> font(const Tracing& tracing, const Arguments& arguments, const std::string& scan,
                                     const std::string& title, const Drawing& drawing) {
  GlyphOptions options = arguments.font.glyphs;
  if (arguments.font.em) {
    const Result<double> em_px = px_of(*arguments.font.em, drawing.dpi, scan, "--em");
    if (!em_px) return em_px.error();
    options.em_px = *em_px;
  }
  const auto arranged = [&](const Drawing& outlines) -> Result<GlyphSheet> {
    Result<GlyphSheet> sheet = arrange_glyphs(outlines, options);
    if (!sheet) return named(sheet.error(), scan);
    return sheet;
  };
  Result<GlyphSheet> sheet = arranged(drawing);
  if (!sheet) return sheet.error();
  if (arguments.options.grid_px == 0) return to_ufo(drawing, *sheet, {title});
  options.em_px = options.units_per_em / sheet->units_per_px;
  const double step_px = arguments.options.grid_px / sheet->units_per_px;
  const Result<Conversion> on_units = tracing.outlines(step_px);
  if (!on_units) return on_units.error();
  sheet = arranged(on_units->drawing);
  if (!sheet) return sheet.error();
  const Point corner = arguments.crop ? Point{double(arguments.crop->x), double(arguments.crop->y)} : Point{};
  const auto on_grid = [&](double v, double from) { return from + std::round((v - from) / step_px) * step_px; };
  for (Glyph& glyph : sheet->glyphs)
    glyph.origin = {on_grid(glyph.origin.x, corner.x), on_grid(glyph.origin.y, corner.y)};
  return to_ufo(on_units->drawing, *sheet, {title, arguments.options.grid_px == std::round(arguments.options.grid_px)});
}

Result<Output> output_for(const Place& place, const Tracing& tracing, const Arguments& arguments,
                          const std::string& scan, const Conversion& conversion) {
  const std::string title = std::filesystem::path(scan).stem().string();
  const auto file = [&](Result<std::string> bytes) -> Result<Output> {
    if (!bytes) return bytes.error();
    return Output{place.path, std::move(*bytes), {}};
  };
  switch (place.format) {
    case Format::svg:
      return file(to_svg(conversion.drawing, {title, arguments.nodes}));
    case Format::pdf:
      return file(to_pdf(conversion.drawing, {title}));
    case Format::eps:
      return file(to_eps(conversion.drawing, {title}));
    case Format::json:  // without the seconds: the same scan and options give the same bytes
      return file(to_json(conversion, {scan, 0, {}, {}, tracing.pins()}));
    case Format::ufo:
      break;
  }
  Result<std::vector<FolderFile>> folder = font(tracing, arguments, scan, title, conversion.drawing);
  if (!folder) return folder.error();
  return Output{place.path, "", std::move(*folder)};
}

// Large enough for letters beside the nodes on the scan of one letter, small enough that a page opens at once.
double overlay_scale(const Picture& picture) {
  constexpr double pixels = 24e6;
  return std::clamp(std::floor(std::sqrt(pixels / (double(picture.width) * picture.height))), 1.0, 3.0);
}

// Everything is made before anything is written: a sheet that cannot be a font leaves no other file behind.
Result<std::vector<Output>> outputs_for(const Tracing& tracing, const Arguments& arguments, const Places& places,
                                        const Picture& picture, const Conversion& conversion,
                                        const ReportContext& context) {
  std::vector<Output> outputs;
  if (!places.overlay.empty()) {
    Result<std::string> png = draw_overlay(picture, conversion.drawing, overlay_scale(picture));
    if (!png) return png.error();
    outputs.push_back({places.overlay, std::move(*png)});
  }
  if (!places.proof.empty()) {
    Result<std::string> proof = proof_for(places.proof, picture, conversion, context);
    if (!proof) return proof.error();
    outputs.push_back({places.proof, std::move(*proof)});
  }
  if (!places.report.empty()) outputs.push_back({places.report, to_json(conversion, context)});
  for (const Place& place : places.outlines) {
    Result<Output> output = output_for(place, tracing, arguments, places.scan, conversion);
    if (!output) return output.error();
    outputs.push_back(std::move(*output));
  }
  return outputs;
}

// A font has areas only: what is left out of it should be known.
void note_lines_left_out(const Places& places, Conversion* conversion) {
  const std::vector<Outline>& outlines = conversion->drawing.outlines;
  const auto lines = std::count_if(outlines.begin(), outlines.end(), [](const Outline& o) { return !o.closed; });
  const bool font = std::any_of(places.outlines.begin(), places.outlines.end(),
                                [](const Place& place) { return place.format == Format::ufo; });
  if (lines == 0 || !font) return;
  conversion->report.findings.push_back(
      {Finding::What::open_lines_left_out,
       -1,
       {},
       0,
       counted(std::size_t(lines), "open line") + (lines == 1 ? " was" : " were") +
           " left out of the font, which has areas only: use --format svg for lines."});
}

std::string joined(const std::vector<Place>& places) {
  std::string text;
  for (const Place& place : places)
    text += (text.empty() ? "" : ", ") + (place.path == standard_output ? "standard output" : place.path);
  return text;
}

}  // namespace

Result<Traced> trace(const Arguments& arguments, const Places& places, const Company& company) {
  const auto begin = std::chrono::steady_clock::now();
  const auto seconds = [&] { return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(); };
  const Result<Picture> picture = read_scan(arguments, places.scan);
  if (!picture) return picture.error();
  if (company.claim) {
    const int width = arguments.crop ? arguments.crop->width : picture->width;
    company.claim(memory_needed(width, arguments.crop ? arguments.crop->height : picture->height));
  }
  const Result<Tracing> tracing = Tracing::begin(*picture, arguments, places);
  if (!tracing) return tracing.error();
  Result<Conversion> conversion = tracing->outlines(arguments.options.grid_px);
  if (!conversion) return conversion.error();
  note_lines_left_out(places, &*conversion);
  note_pages(*picture, &*conversion);
  Result<std::vector<Output>> outputs = outputs_for(*tracing, arguments, places, *picture, *conversion,
                                                    {places.scan, seconds(), {}, {}, tracing->pins(), company.job});
  if (!outputs) return outputs.error();
  {
    std::unique_lock<std::mutex> lock;
    if (company.writing) lock = std::unique_lock(*company.writing);
    if (auto error = write_together(*outputs, company.batch)) return *error;
  }
  for (Output& output : *outputs) output.bytes = {}, output.folder = {};
  std::string line = summary(places.scan, *conversion, seconds(), joined(places.outlines));
  return Traced{std::move(*conversion), std::move(line), std::move(*outputs)};
}

void tell(const Arguments& arguments, const Places& places, const Traced& traced) {
  if (arguments.quiet) return;
  say(traced.line, traced.written);
  show_warnings(places.scan, traced.conversion.report);
}

}  // namespace batten::cli
