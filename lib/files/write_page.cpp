// Writes a drawing as PDF (ISO 32000-1) and EPS (Adobe Technical Note 5002) by cairo: true curves, no pictures. cairo
// keeps coordinates in 1/256 point, 0.0014 mm on paper; equal coordinates stay equal.

#include <cairo-pdf.h>
#include <cairo-ps.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <new>

#include "batten/files.h"
#include "batten/version.h"
#include "batten/write.h"

namespace batten {
namespace {

constexpr double points_per_inch = 72;
// Where the resolution is unknown a pixel is 1/96 inch, as in CSS and so in an SVG without mm
// (https://www.w3.org/TR/css-values-3/#absolute-lengths): all formats open at one size.
constexpr double assumed_dpi = 96;
// ISO 32000-1, annex C: the largest page. Larger sheets are scaled down to it.
constexpr double largest_page_pt = 14400;

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

struct Page {
  double width_pt, height_pt, pt_per_px;
};

// Below this a pixel is smaller than cairo's step on any page, and the matrix of the page has no inverse.
constexpr double smallest_pt_per_px = 1e-6;

Result<Page> page_for(const Drawing& drawing) {
  double scale = points_per_inch / (drawing.dpi > 0 ? drawing.dpi : assumed_dpi);
  const double longer_px = std::max({drawing.width_px, drawing.height_px, 1.0});
  scale = std::min(scale, largest_page_pt / longer_px);
  const bool finite = std::isfinite(drawing.width_px) && std::isfinite(drawing.height_px) &&
                      std::isfinite(drawing.origin.x) && std::isfinite(drawing.origin.y);
  if (!finite || !(scale >= smallest_pt_per_px))
    return Error{ErrorCode::bad_option,
                 "The sheet has no size that a page can have: give the drawing a finite width, height, origin and "
                 "resolution, and a page fewer than 14,400,000,000 pixels long.",
                 "width_px"};
  return Page{std::max(1.0, drawing.width_px * scale), std::max(1.0, drawing.height_px * scale), scale};
}

cairo_status_t append(void* bytes, const unsigned char* data, unsigned count) {
  try {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), count);
    return CAIRO_STATUS_SUCCESS;
  } catch (const std::bad_alloc&) {
    return CAIRO_STATUS_NO_MEMORY;
  }
}

void add_path(cairo_t* c, const Outline& outline) {
  const Point start = outline.nodes.front().at;
  cairo_move_to(c, start.x, start.y);
  const std::size_t count = outline.segment_count();
  for (std::size_t i = 0; i < count; ++i) {
    const Cubic s = outline.segment(i);
    if (!outline.is_straight(i))
      cairo_curve_to(c, s[1].x, s[1].y, s[2].x, s[2].y, s[3].x, s[3].y);
    else if (!(outline.closed && i + 1 == count))
      cairo_line_to(c, s[3].x, s[3].y);
  }
  if (outline.closed) cairo_close_path(c);
}

void paint(cairo_t* c, const Drawing& drawing) {
  cairo_set_source_rgb(c, 0, 0, 0);
  cairo_set_fill_rule(c, CAIRO_FILL_RULE_WINDING);
  for (const std::vector<std::size_t>& shape : shapes(drawing)) {
    const Outline& outer = drawing.outlines[shape.front()];
    for (const std::size_t i : shape) add_path(c, drawing.outlines[i]);
    if (!outer.is_line()) {
      cairo_fill(c);
    } else {
      cairo_set_line_width(c, outer.band_px > 0 ? outer.band_px : 1);
      cairo_set_line_cap(c, CAIRO_LINE_CAP_ROUND), cairo_set_line_join(c, CAIRO_LINE_JOIN_ROUND);
      cairo_stroke(c);
    }
  }
}

Error failed(cairo_status_t status) {
  if (status == CAIRO_STATUS_NO_MEMORY)
    return {ErrorCode::out_of_memory, "Not enough memory for the page: close other programs or crop the scan.", ""};
  return {ErrorCode::internal, std::string("The page could not be written: ") + cairo_status_to_string(status) + ".",
          ""};
}

std::optional<Error> finish(cairo_surface_t* surface, const Drawing& drawing, double pt_per_px, double down_pt) {
  {
    const Context c(cairo_create(surface), cairo_destroy);
    cairo_translate(c.get(), 0, down_pt);
    cairo_scale(c.get(), pt_per_px, pt_per_px);
    cairo_translate(c.get(), -drawing.origin.x, -drawing.origin.y);
    paint(c.get(), drawing);
    if (const cairo_status_t status = cairo_status(c.get())) return failed(status);
  }
  cairo_surface_finish(surface);
  if (const cairo_status_t status = cairo_surface_status(surface)) return failed(status);
  return std::nullopt;
}

// Text of a PostScript comment: ASCII without what a string in parentheses would trip over.
std::string postscript_text(const std::string& text) {
  constexpr std::size_t longest = 120;  // a line of a document comment ends at 255 characters
  std::string safe;
  for (const char c : text.substr(0, longest))
    safe += c < 0x20 || c > 0x7e || c == '(' || c == ')' || c == '\\' ? '?' : c;
  return safe;
}

// cairo writes the time and its own name; they go, so that the same drawing gives the same bytes.
void replace_line(std::string& text, const std::string& start, const std::string& by) {
  const std::size_t at = text.find("\n" + start);
  if (at == std::string::npos) return;
  const std::size_t end = text.find('\n', at + 1);
  text.replace(at, end - at, by.empty() ? "" : "\n" + by);
}

}  // namespace

Result<std::string> to_pdf(const Drawing& drawing, const PageOptions& options) {
  const Result<Page> page = page_for(drawing);
  if (!page) return page.error();
  std::string bytes;
  const Surface surface(cairo_pdf_surface_create_for_stream(append, &bytes, page->width_pt, page->height_pt),
                        cairo_surface_destroy);
  cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_4);
  if (!options.title.empty())
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, clean_title(options.title).c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "batten " BATTEN_VERSION);
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "");  // none, or bytes would differ
  if (auto error = finish(surface.get(), drawing, page->pt_per_px, 0)) return *error;
  return bytes;
}

Result<std::string> to_eps(const Drawing& drawing, const PageOptions& options) {
  const Result<Page> page = page_for(drawing);
  if (!page) return page.error();
  std::string bytes;
  // cairo takes whole points here: the sheet stands on the lower edge, so that y = 0 is the sheet's own.
  const double height_pt = std::ceil(page->height_pt);
  const Surface surface(cairo_ps_surface_create_for_stream(append, &bytes, std::ceil(page->width_pt), height_pt),
                        cairo_surface_destroy);
  cairo_ps_surface_restrict_to_level(surface.get(), CAIRO_PS_LEVEL_2);
  cairo_ps_surface_set_eps(surface.get(), true);
  if (!options.title.empty())
    cairo_ps_surface_dsc_comment(surface.get(),
                                 ("%%Title: (" + postscript_text(clean_title(options.title)) + ")").c_str());
  if (auto error = finish(surface.get(), drawing, page->pt_per_px, height_pt - page->height_pt)) return *error;
  replace_line(bytes, "%%CreationDate:", "");
  replace_line(bytes, "%%Creator:", "%%Creator: batten " BATTEN_VERSION);
  return bytes;
}

}  // namespace batten
