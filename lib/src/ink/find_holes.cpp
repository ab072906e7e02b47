#include "ink/find_holes.h"

#include <algorithm>
#include <cmath>

#include "base/pixel_grid.h"
#include "base/plane_cv.h"

namespace batten {
namespace {

constexpr int most_side_px = 1200;                        // of the reduced picture
constexpr double least_width = 0.008, most_width = 0.04;  // of its longer side: 0.02 where the sheet fills it
constexpr double dark = 0.25;                             // ink of a hole; print and shadows are paler
constexpr double widest_off = 0.25;                       // two widths of one size differ by less: it is seen askew
constexpr double farthest_from_edge = 3.5;                // in widths of a hole; 2 by the standard
constexpr double least_apart = 10, most_apart = 20;       // in widths of a hole; 13.3 by the standard, 15 to 18 others
constexpr double least_standard = 12, most_standard = 15;
constexpr double rim_of_hole = 1.5;  // over its radius: it is worn and throws a shadow
constexpr double off_row = 0.8;      // in widths of a hole: paper curls

struct Disc {
  Point centre;
  double width = 0;
  bool whole = true;  // not cut by the edge of the picture
};

// Is there paper all round? What was drawn goes on somewhere.
bool stands_alone(const cv::Mat1f& ink, const Disc& d) {
  int inked = 0, all = 0;
  for (double a = 0; a < 2 * pi; a += 0.1)
    for (const double r : {0.75, 0.9}) {
      const Point p = d.centre + r * d.width * direction(a);
      const int x = int(std::lround(p.x)), y = int(std::lround(p.y));
      if (x < 0 || y < 0 || x >= ink.cols || y >= ink.rows) continue;
      ++all, inked += ink(y, x) > dark / 2;
    }
  return inked < 0.1 * all;
}

std::vector<Disc> discs_of(const cv::Mat1f& ink) {
  const MaskPieces pieces = connected_pieces(ink > dark, 8);
  const double side = std::max(ink.cols, ink.rows);
  std::vector<Disc> out;
  for (int k = 1; k < pieces.count(); ++k) {
    const auto [x, y, w, h] = pieces.boxes[k];
    const double width = std::max(w, h), filled = pieces.areas_px2[k] / double(w * h);
    const bool whole = x > 0 && y > 0 && x + w < ink.cols && y + h < ink.rows;
    if (width < (whole ? 1 : 0.4) * least_width * side || width > most_width * side) continue;
    // A disc fills pi/4 of its box; less where it has a rim of light, more where it is cut.
    if (filled < 0.66 || filled > (whole ? 0.88 : 1.0) || (whole && std::min(w, h) < (1 - widest_off) * width))
      continue;
    const Disc disc{{x + (w - 1) / 2., y + (h - 1) / 2.}, width, whole};
    if (stands_alone(ink, disc)) out.push_back(disc);
  }
  return out;
}

// Distance of each place to what is beyond the sheet or the picture, px.
cv::Mat1f to_edge(const cv::Size& size, const Plane<std::uint8_t>& no_sheet) {
  cv::Mat1b sheet(size, std::uint8_t(1));
  if (!no_sheet.empty()) {
    cv::resize(as_mat(no_sheet) == 0, sheet, size, 0, 0, cv::INTER_NEAREST);
    // A hole itself is no edge.
    const int r = int(most_width * std::max(size.width, size.height)) + 1;
    cv::morphologyEx(sheet, sheet, cv::MORPH_CLOSE, cv::Mat1b::ones(r, r));
  }
  cv::copyMakeBorder(sheet, sheet, 1, 1, 1, 1, cv::BORDER_CONSTANT, 0);
  cv::Mat1f out;
  cv::distanceTransform(sheet, out, cv::DIST_L2, 5);
  return out(cv::Rect(1, 1, size.width, size.height)).clone();
}

bool alike(double a, double b) { return std::abs(a - b) < widest_off * std::max(a, b); }

// The row that two discs begin: they and all that stand in it at the same distance, either way.
std::vector<Disc> row_of(const Disc& a, const Disc& b, const std::vector<Disc>& discs) {
  std::vector<Disc> out{a, b};
  for (const auto& [from, step] : {std::pair{b.centre, b.centre - a.centre}, {a.centre, a.centre - b.centre}}) {
    Point at = from;
    for (bool found = true; found;) {
      found = false;
      for (const Disc& d : discs)
        if (distance(d.centre, at + step) < off_row * a.width &&
            (d.whole ? alike(d.width, a.width) : d.width < 1.3 * a.width)) {
          out.push_back(d), at = d.centre, found = true;
          break;
        }
    }
  }
  return out;
}

}  // namespace

std::vector<Hole> find_holes(const Plane<float>& ink, const Plane<std::uint8_t>& no_sheet,
                             const std::stop_token& stop) {
  const int reduction = (std::max(ink.width, ink.height) + most_side_px - 1) / most_side_px;
  const cv::Size size(ink.width / reduction, ink.height / reduction);
  if (std::min(size.width, size.height) < 100) return {};
  cv::Mat1f small;
  cv::resize(as_mat(ink), small, size, 0, 0, cv::INTER_AREA);
  if (stop.stop_requested()) return {};
  const std::vector<Disc> discs = discs_of(small);
  if (discs.size() < 2 || stop.stop_requested()) return {};
  const cv::Mat1f edge = to_edge(size, no_sheet);
  const auto near_edge = [&](const Disc& d) {
    return edge(int(d.centre.y), int(d.centre.x)) < farthest_from_edge * d.width;
  };
  std::vector<Disc> best;
  for (const Disc& a : discs)
    for (const Disc& b : discs) {
      const double apart = distance(a.centre, b.centre) / a.width;
      if (!a.whole || !b.whole || &a == &b || apart < least_apart || apart > most_apart || !alike(a.width, b.width) ||
          !near_edge(a) || !near_edge(b))
        continue;
      const std::vector<Disc> row = row_of(a, b, discs);
      if (row.size() == 2 && (apart < least_standard || apart > most_standard)) continue;
      if (row.size() > best.size()) best = row;
    }
  std::vector<Hole> out;
  for (const Disc& d : best)
    out.push_back({grid_of(double(reduction) * page_of(d.centre)), 0.5 * reduction * best.front().width});
  return out;
}

bool lies_in_hole(const std::vector<Hole>& holes, const std::vector<Point>& points) {
  return std::any_of(holes.begin(), holes.end(), [&](const Hole& hole) {
    return std::all_of(points.begin(), points.end(),
                       [&](Point p) { return distance(p, hole.centre) < rim_of_hole * hole.radius_px; });
  });
}

}  // namespace batten
