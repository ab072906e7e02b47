// The proof as one picture, PNG or PDF, painted by cairo: what the HTML page shows, with legend and figures below it.

#include <cairo-pdf.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <new>

#include "batten/version.h"
#include "batten/write.h"
#include "paint_drawing.h"
#include "write_report.h"

namespace batten {
namespace {

constexpr double margin = 24, line_height = 17, text_size = 12, least_width = 780;  // units of the paper
constexpr double tolerance_stroke = 10;  // units: how long the stroke of a deviation as large as the tolerance is

struct Sheet {
  const Picture& picture;
  const Conversion& conversion;
  const std::vector<Outline>& before;
  double width_px, height_px;  // of the picture; without one of the document
  std::string name, scale_words;
  double scale;     // units of the paper for each px of the scan
  double unit = 1;  // px of the PNG for each unit: letters of a large sheet grow with it
  double width() const { return std::max(least_width, width_px * scale + 2 * margin); }
  double picture_top() const { return margin + 3.5 * line_height; }
  double words_top() const { return picture_top() + height_px * scale + margin; }
  double height() const {
    return words_top() + line_height * (double(legend_rows()) + 5 + double(conversion.drawing.outlines.size())) +
           margin;
  }
  static std::size_t legend_rows() { return 7; }
  bool has_scan() const { return !picture.bytes.empty(); }
  std::string of() const { return has_scan() ? "One px of the scan is " : "One px of the document is "; }
  double times() const { return std::max(1.0, tolerance_stroke / (conversion.report.tolerance_px * scale)); }
};

std::string fixed(double value, int decimals) {
  if (!std::isfinite(value)) return "-";
  return decimal(value, decimals);
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string length(double px, double dpi) {
  return fixed(px, 2) + " px" + (dpi > 0 && std::isfinite(px) ? " (" + fixed(px / dpi * 25.4, 3) + " mm)" : "");
}

void write(cairo_t* c, double x, double y, const std::string& text, double size = text_size, bool bold = false) {
  cairo_select_font_face(c, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, size);
  use(c, guide_colour);
  cairo_move_to(c, x, y);
  cairo_show_text(c, text.c_str());
}

// cairo wants UTF-8 and stops working at anything else, but names may hold any bytes. Nothing in a name breaks the
// line.
std::string plain(const std::string& text) {
  std::string out = utf8(text);
  for (char& c : out)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  return out;
}

void paint_head(cairo_t* c, const Sheet& sheet) {
  const Report& report = sheet.conversion.report;
  const double dpi = sheet.conversion.drawing.dpi;
  write(c, margin, margin + line_height, sheet.name, 16, true);
  write(c, margin, margin + 2 * line_height,
        counted(sheet.conversion.drawing.outlines.size(), "outline") + ", " + counted(report.segments, "segment") +
            "; largest deviation " + length(report.max_px, dpi) + ", rms " + length(report.rms_px, dpi) +
            ", tolerance " + length(report.tolerance_px, dpi));
  write(c, margin, margin + 3 * line_height,
        sheet.scale_words + ". Deviation is drawn " + fixed(sheet.times(), sheet.times() < 10 ? 1 : 0) +
            " times enlarged.");
}

// Letters are shown if at most a third of the nodes stands so near its neighbour that letters touch.
bool room_for_letters(const Drawing& drawing, double scale) {
  std::vector<double> gaps;
  for (const Outline& outline : drawing.outlines)
    for (std::size_t i = 0; i < outline.segment_count(); ++i) {
      const Cubic s = outline.segment(i);
      gaps.push_back(scale * std::hypot(s[3].x - s[0].x, s[3].y - s[0].y));
    }
  if (gaps.empty()) return true;
  std::nth_element(gaps.begin(), gaps.begin() + std::ptrdiff_t(gaps.size() / 3), gaps.end());
  return gaps[gaps.size() / 3] > text_size;
}

void paint_picture(cairo_t* c, const Sheet& sheet, cairo_surface_t* scan) {
  const Drawing& drawing = sheet.conversion.drawing;
  cairo_save(c);
  cairo_translate(c, margin, sheet.picture_top());
  cairo_scale(c, sheet.scale, sheet.scale);
  cairo_rectangle(c, 0, 0, sheet.width_px, sheet.height_px);
  cairo_clip(c);
  if (sheet.has_scan()) paint_scan(c, scan, sheet.scale);
  paint_guides(c, drawing, sheet.scale);
  paint_deviation(c, sheet.conversion, sheet.scale, sheet.times());
  paint_before(c, sheet.before, sheet.scale);
  paint_areas_and_lines(c, drawing, sheet.scale);
  paint_handles(c, drawing, sheet.scale);
  paint_edits(c, sheet.conversion, sheet.scale);
  paint_nodes(c, drawing, sheet.scale, room_for_letters(drawing, sheet.scale));
  cairo_restore(c);
}

// The largest 1, 2 or 5 times a power of ten that is not over `most`.
double round_length(double most) {
  const double power = std::pow(10, std::floor(std::log10(most)));
  for (const double k : {5., 2.})
    if (k * power <= most) return k * power;
  return power;
}

void bar(cairo_t* c, double x, double y, double size) {
  use(c, guide_colour);
  cairo_set_line_width(c, 1.5);
  cairo_move_to(c, x, y - 5), cairo_line_to(c, x, y), cairo_line_to(c, x + size, y), cairo_line_to(c, x + size, y - 5);
  cairo_stroke(c);
}

void paint_scales(cairo_t* c, const Sheet& sheet, double y) {
  const double dpi = sheet.conversion.drawing.dpi, px = round_length(110 / sheet.scale),
               off = round_length(110 / (sheet.scale * sheet.times()));
  bar(c, margin, y, px * sheet.scale);
  write(c, margin + px * sheet.scale + 8, y, length(px, dpi));
  const double x = margin + least_width / 2;
  bar(c, x, y, off * sheet.scale * sheet.times());
  write(c, x + off * sheet.scale * sheet.times() + 8, y, length(off, dpi) + " of deviation");
}

void paint_legend(cairo_t* c, double top, bool with_before) {
  static constexpr const char* words[] = {"corner: the direction jumps",
                                          "left: leftmost place of a curve",
                                          "right: rightmost place of a curve",
                                          "top: highest place of a curve",
                                          "bottom: lowest place of a curve",
                                          "end of a straight: it runs smoothly into a curve",
                                          "added: one curve alone could not hold the tolerance"};
  const std::size_t rows = Sheet::legend_rows();
  const auto place = [&](std::size_t i) {
    const std::size_t column = i / rows;
    return Point{margin + double(column) * least_width / 2, top + line_height * double(i % rows)};
  };
  std::size_t i = 0;
  for (const char* word : words) {
    const Point p = place(i);
    const char letter[] = {letter_of(static_cast<Reason>(i)), 0};
    write(c, p.x, p.y, letter, text_size, true);
    write(c, p.x + 34, p.y, word);
    ++i;
  }
  const auto mark = [&](const char* word, Colour colour, double width, bool dashed) {
    const Point p = place(i++);
    const double dashes[] = {6, 3};
    cairo_set_dash(c, dashes, dashed ? 2 : 0, 0);
    use(c, colour);
    cairo_set_line_width(c, width);
    cairo_move_to(c, p.x, p.y - 4), cairo_line_to(c, p.x + 26, p.y - 4), cairo_stroke(c);
    cairo_set_dash(c, dashes, 0, 0);
    write(c, p.x + 34, p.y, word);
  };
  mark("outline", outline_colour, 1.5, false);
  const Point handle_end = place(i) + Point{26, -4};
  mark("handle", handle_colour, 0.8, false);
  cairo_move_to(c, handle_end.x, handle_end.y - handle_bar), cairo_line_to(c, handle_end.x, handle_end.y + handle_bar);
  use(c, handle_colour);
  cairo_stroke(c);
  const auto strokes = [&](const char* word, Colour colour, double width, std::initializer_list<Point> tops) {
    const Point p = place(i);
    mark(word, outline_colour, 1.5, false);
    for (const Point top : tops) cairo_move_to(c, p.x + top.x, p.y - 4), cairo_line_to(c, p.x + top.x, p.y - 4 - top.y);
    use(c, colour);
    cairo_set_line_width(c, width);
    cairo_stroke(c);
  };
  strokes("deviation, on the side where the drawing lies", deviation_colour, 0.9,
          {{3, 2}, {8, 5}, {13, 7}, {18, 5}, {23, 2}});
  strokes("deviation over the limit", beyond_colour, 1.2, {{7, 7}, {9.4, 7}, {17, 9}, {19.4, 9}});
  mark("guide found on the paper", guide_colour, 0.8, true);
  const Point ring = place(i++);
  use(c, guide_colour);
  cairo_set_line_width(c, 0.8);
  cairo_new_path(c);
  cairo_arc(c, ring.x + 13, ring.y - 4, 6, 0, 2 * 3.14159265358979);
  cairo_stroke(c);
  write(c, ring.x + 34, ring.y, "straightened: level, vertical, on one line, equally wide ...");
  if (with_before) mark("outline before", before_colour, 1, true);
}

// "found": fitting found no outline with fewer.
std::string fewest(const LowerBound& least) {
  if (least.proven == 0) return "-";
  return least.proven == least.numerical ? std::to_string(least.proven) + " proven"
                                         : std::to_string(least.numerical) + " found";
}

void paint_table(cairo_t* c, const Sheet& sheet, double top) {
  static constexpr const char* heads[] = {"Outline", "Drawn as", "Segments", "Fewest",    "rms",
                                          "95 %",    "Largest",  "Limit",    "Uncertain", "Farthest off"};
  constexpr double column = 77;
  for (std::size_t k = 0; k < std::size(heads); ++k)
    write(c, margin + column * double(k), top, heads[k], text_size, true);
  const auto& outlines = sheet.conversion.drawing.outlines;
  for (std::size_t i = 0; i < outlines.size() && i < sheet.conversion.report.outlines.size(); ++i) {
    const OutlineReport& r = sheet.conversion.report.outlines[i];
    const std::string cells[] = {std::to_string(i + 1),
                                 name_of(outlines[i].kind),
                                 std::to_string(r.segments),
                                 fewest(r.least),
                                 fixed(r.rms_px, 2),
                                 fixed(r.p95_px, 2),
                                 fixed(r.max_px, 2),
                                 fixed(r.limit_px, 2),
                                 fixed(outlines[i].sigma_px, 2),
                                 fixed(r.worst.x, 0) + ", " + fixed(r.worst.y, 0)};
    for (std::size_t k = 0; k < std::size(cells); ++k)
      write(c, margin + column * double(k), top + line_height * double(i + 1), cells[k], text_size,
            k == 6 && r.max_px > r.limit_px);
  }
}

void paint_sheet(cairo_t* c, const Sheet& sheet, cairo_surface_t* scan) {
  cairo_set_source_rgb(c, 1, 1, 1);
  cairo_paint(c);
  paint_head(c, sheet);
  paint_picture(c, sheet, scan);
  paint_scales(c, sheet, sheet.words_top());
  paint_legend(c, sheet.words_top() + 1.75 * line_height, !sheet.before.empty());
  paint_table(c, sheet, sheet.words_top() + line_height * (double(Sheet::legend_rows()) + 2.75));
}

Error too_little_memory() {
  return {ErrorCode::out_of_memory, "There is not enough memory for the proof: crop the scan.", "proof"};
}

std::optional<Error> check(const Picture& picture, const ReportContext& context) {
  if (picture.bytes.empty() && !context.before.empty()) return std::nullopt;
  constexpr int longest = 32000;  // cairo's image surfaces end at 32,767
  if (picture.width >= 1 && picture.height >= 1 && !picture.bytes.empty() && picture.width <= longest &&
      picture.height <= longest)
    return std::nullopt;
  return Error{ErrorCode::bad_pixels, "A proof needs a picture of at most 32000 px a side: crop the scan.", "picture"};
}

Sheet sheet_of(const Picture& picture, const Conversion& conversion, const ReportContext& context) {
  const std::string name = plain(context.scan.substr(context.scan.find_last_of('/') + 1));
  const bool has_scan = !picture.bytes.empty();
  const double width_px = has_scan ? picture.width : std::max(1e-6, conversion.drawing.width_px),
               height_px = has_scan ? picture.height : std::max(1e-6, conversion.drawing.height_px);
  return {picture, conversion, context.before, width_px, height_px, name.empty() ? "Drawing" : name, "", 1};
}

cairo_status_t append(void* text, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(text)->append(reinterpret_cast<const char*>(bytes), count);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

Result<std::string> to_proof_png(const Picture& picture, const Conversion& conversion, const ReportContext& context) {
  if (auto error = check(picture, context)) return *error;
  try {
    constexpr double pixels = 24e6;  // opens at once
    Sheet sheet = sheet_of(picture, conversion, context);
    constexpr double wide = 1400;  // px: a picture that is looked at whole on a screen
    sheet.scale = sheet.has_scan()
                      ? std::clamp(std::floor(std::sqrt(pixels / (sheet.width_px * sheet.height_px))), 1.0, 3.0)
                      : wide / std::max(sheet.width_px, sheet.height_px);
    sheet.scale_words = sheet.of() + fixed(sheet.scale, sheet.has_scan() ? 0 : 2) + " px here";
    sheet.unit = std::max(1.0, sheet.width_px * sheet.scale / wide);
    sheet.scale /= sheet.unit;
    const int width = int(std::ceil(sheet.width() * sheet.unit)), height = int(std::ceil(sheet.height() * sheet.unit));
    const Surface scan = sheet.has_scan() ? lightened(picture) : Surface(),
                  paper(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    const Context context_of(cairo_create(paper.get()));
    if ((sheet.has_scan() && !scan) || cairo_status(context_of.get()) != CAIRO_STATUS_SUCCESS)
      return too_little_memory();
    cairo_scale(context_of.get(), sheet.unit, sheet.unit);
    paint_sheet(context_of.get(), sheet, scan.get());
    const std::vector<std::uint8_t> rgb = rgb_bytes(paper.get(), width, height);
    return to_png({rgb.data(), width, height, std::ptrdiff_t{width} * 3, PixelFormat::rgb8},
                  sheet.has_scan() ? picture.dpi * sheet.scale * sheet.unit : 0);
  } catch (const std::bad_alloc&) {
    return too_little_memory();
  }
}

Result<std::string> to_proof_pdf(const Picture& picture, const Conversion& conversion, const ReportContext& context) {
  if (auto error = check(picture, context)) return *error;
  try {
    Sheet sheet = sheet_of(picture, conversion, context);
    const double dpi = conversion.drawing.dpi,
                 true_size = dpi > 0 ? 72 / dpi : 0.75;  // pt for each px; 96 dpi if unknown
    int times = 1;
    while (times < 8 && times * true_size * sheet.width_px < least_width - 2 * margin - 40) times *= 2;
    sheet.scale = times * true_size;
    sheet.scale_words = sheet.of() + fixed(sheet.scale, 2) + " pt here";
    if (dpi > 0) sheet.scale_words = "Scale " + std::to_string(times) + " : 1 on paper";
    if (!sheet.has_scan()) {  // documents have any size
      sheet.scale = (least_width - 2 * margin) / std::max(sheet.width_px, sheet.height_px);
      sheet.scale_words = sheet.of() + fixed(sheet.scale, 2) + " pt here";
    }
    const Surface scan = sheet.has_scan() ? lightened(picture) : Surface();
    std::string bytes;
    {
      const Surface paper(cairo_pdf_surface_create_for_stream(append, &bytes, sheet.width(), sheet.height()));
      cairo_pdf_surface_set_metadata(paper.get(), CAIRO_PDF_METADATA_CREATOR, "batten " BATTEN_VERSION);
      const Context context_of(cairo_create(paper.get()));
      if ((sheet.has_scan() && !scan) || cairo_status(context_of.get()) != CAIRO_STATUS_SUCCESS)
        return too_little_memory();
      paint_sheet(context_of.get(), sheet, scan.get());
      cairo_surface_finish(paper.get());
      if (cairo_surface_status(paper.get()) != CAIRO_STATUS_SUCCESS) return too_little_memory();
    }
    return bytes;
  } catch (const std::bad_alloc&) {
    return too_little_memory();
  }
}

}  // namespace batten
