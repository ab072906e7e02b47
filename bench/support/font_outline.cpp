#include "support/font_outline.h"

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "batten/measure.h"
#include "support/shapes.h"

namespace batten::support {
namespace {

struct Reader {
  std::vector<std::vector<Cubic>> contours;
  Point here;
  bool quadratic = false;

  static Point from(const FT_Vector* v) { return {double(v->x), -double(v->y)}; }  // y up -> y down
  static int move(const FT_Vector* to, void* user) {
    auto* r = static_cast<Reader*>(user);
    r->contours.emplace_back();
    r->here = from(to);
    return 0;
  }
  static int line(const FT_Vector* to, void* user) {
    auto* r = static_cast<Reader*>(user);
    const Point p = from(to);
    if (!(p == r->here)) r->contours.back().push_back({r->here, r->here, p, p});
    r->here = p;
    return 0;
  }
  static int conic(const FT_Vector*, const FT_Vector* to, void* user) {
    auto* r = static_cast<Reader*>(user);
    r->quadratic = true;
    r->here = from(to);
    return 0;
  }
  static int cubic(const FT_Vector* a, const FT_Vector* b, const FT_Vector* to, void* user) {
    auto* r = static_cast<Reader*>(user);
    const Point p = from(to);
    if (!(p == r->here)) r->contours.back().push_back({r->here, from(a), from(b), p});
    r->here = p;
    return 0;
  }
};

bool inside(Point p, const Polyline& ring) {
  bool in = false;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i], b = ring[(i + 1) % ring.size()];
    if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) in = !in;
  }
  return in;
}

/// In font units, y down; `advance` and `em` in the same units.
std::vector<Outline> read_glyph(const std::string& file, char32_t character, double& advance, double& em) {
  FT_Library library = nullptr;
  FT_Face face = nullptr;
  std::vector<Outline> outlines;
  if (FT_Init_FreeType(&library)) return {};
  Reader reader;
  if (!FT_New_Face(library, file.c_str(), 0, &face)) {
    const FT_UInt index = FT_Get_Char_Index(face, character);
    if (index && !FT_Load_Glyph(face, index, FT_LOAD_NO_SCALE | FT_LOAD_NO_HINTING)) {
      const FT_Outline_Funcs funcs{&Reader::move, &Reader::line, &Reader::conic, &Reader::cubic, 0, 0};
      FT_Outline_Decompose(&face->glyph->outline, &funcs, &reader);
      advance = double(face->glyph->advance.x), em = double(face->units_per_EM);
    }
    FT_Done_Face(face);
  }
  FT_Done_FreeType(library);
  if (reader.quadratic) return {};
  for (std::vector<Cubic>& contour : reader.contours) {
    if (contour.empty()) continue;
    const Point first = contour.front()[0], last = contour.back()[3];
    if (!(first == last)) contour.push_back({last, last, first, first});
    if (contour.size() > 1) outlines.push_back(outline_from(contour));
  }
  nest(outlines);
  return outlines;
}

}  // namespace

std::string font_file(const std::string& name) {
  for (const char* root : {"/usr/share/fonts", "/usr/share/texmf/fonts", "/usr/local/share/fonts"}) {
    std::error_code none;
    for (std::filesystem::recursive_directory_iterator it(root, none), end; !none && it != end; it.increment(none))
      if (it->path().filename() == name) return it->path().string();
  }
  return "";
}

void nest(std::vector<Outline>& outlines) {
  std::vector<Polyline> rings;
  std::vector<double> areas;
  for (const Outline& o : outlines) rings.push_back(points_of(o, 2)), areas.push_back(std::abs(signed_area_px2(o)));
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    int depth = 0;
    outlines[i].parent = -1;
    for (std::size_t k = 0; k < outlines.size(); ++k) {
      if (k == i || areas[k] <= areas[i] || !inside(rings[i][0], rings[k])) continue;
      ++depth;
      if (outlines[i].parent < 0 || areas[k] < areas[std::size_t(outlines[i].parent)]) outlines[i].parent = int(k);
    }
    if ((signed_area_px2(outlines[i]) > 0) != (depth % 2 == 0)) {
      const int parent = outlines[i].parent;
      outlines[i] = reversed(outlines[i]);
      outlines[i].parent = parent;
    }
  }
}

std::vector<Outline> glyph(const std::string& file, char32_t character, double height_px, double margin_px) {
  double advance = 0, em = 0;
  std::vector<Outline> outlines = read_glyph(file, character, advance, em);
  double left = 1e9, top = 1e9, bottom = -1e9;
  for (const Outline& o : outlines)
    for (const Point p : points_of(o, 2))
      left = std::min(left, p.x), top = std::min(top, p.y), bottom = std::max(bottom, p.y);
  if (outlines.empty()) return outlines;
  const double scale = height_px / (bottom - top);
  for (Outline& o : outlines) o = moved(o, scale, 0, Point{margin_px, margin_px} - scale * Point{left, top});
  return outlines;
}

std::vector<Outline> glyph_on_line(const std::string& file, char32_t character, double em_px, Point origin,
                                   double* advance_px) {
  double advance = 0, em = 1000;
  std::vector<Outline> outlines = read_glyph(file, character, advance, em);
  for (Outline& o : outlines) o = moved(o, em_px / em, 0, origin);
  if (advance_px) *advance_px = advance * em_px / em;
  return outlines;
}

Extent extent_of(const std::vector<Outline>& outlines, double margin_px) {
  double right = 0, bottom = 0;
  for (const Outline& o : outlines)
    for (const Point p : points_of(o, 2)) right = std::max(right, p.x), bottom = std::max(bottom, p.y);
  return {int(std::ceil(right + margin_px)), int(std::ceil(bottom + margin_px))};
}

}  // namespace batten::support
