// The entry points fit() and fit_lines(): polylines of the caller's become loops, and loops a drawing.

#include <algorithm>
#include <cmath>

#include "api/fit_loops.h"
#include "api/located.h"
#include "api/polyline_loop.h"
#include "base/polyline.h"
#include "base/vec.h"
#include "corners/space_loops.h"

namespace batten {
namespace {

constexpr double largest_px = 1e7;  // a hundred times the widest scan
constexpr double widest_scan_px = 65535;

PointBox box_of_all(std::span<const PolylineView> polylines) {
  PointBox box;
  for (const PolylineView& p : polylines)
    for (const Point q : p.points) box.add(q);
  return box;
}

// What lies farther off than any scan reaches is fitted beside (0, 0), by whole steps of the grid, so that no digits
// are lost and the same shape has the same outline anywhere. The rest stays where it is.
Point origin_for(const PointBox& box, double grid_px) {
  const bool near = std::max({-box.low.x, -box.low.y, box.high.x, box.high.y}) <= widest_scan_px;
  if (near) return {};
  const double step_px = grid_px > 0 ? grid_px : 1;
  return {std::floor(box.low.x / step_px) * step_px, std::floor(box.low.y / step_px) * step_px};
}

// A polyline that ends far from its start was meant to be open, or lacks its last side. Ten times the usual spacing
// is no chance of sampling; a polygon given by its corners alone has sides as long as the last one, twice over.
std::optional<Finding> closed_by_a_straight(const PolylineView& p, int outline) {
  std::vector<double> steps;
  for (std::size_t i = 0; i + 1 < p.points.size(); ++i) steps.push_back(distance(p.points[i], p.points[i + 1]));
  const double gap_px = distance(p.points.front(), p.points.back());
  const double longest_px = *std::max_element(steps.begin(), steps.end());
  std::nth_element(steps.begin(), steps.begin() + std::ptrdiff_t(steps.size() / 2), steps.end());
  if (gap_px <= 10 * steps[steps.size() / 2] || gap_px <= 2 * longest_px) return std::nullopt;
  return Finding{Finding::What::closed_by_straight, outline, 0.5 * (p.points.front() + p.points.back()), gap_px,
                 "A polyline does not end where it begins and was closed by a straight: pass it as an open one if it "
                 "is a line."};
}

// The sheet begins at (0, 0), or farther left and up where a polyline does.
void set_box(const PointBox& box, Drawing* drawing) {
  drawing->origin = {std::min(0.0, std::floor(box.low.x)), std::min(0.0, std::floor(box.low.y))};
  drawing->width_px = std::max(0.0, std::ceil(box.high.x) - drawing->origin.x);
  drawing->height_px = std::max(0.0, std::ceil(box.high.y) - drawing->origin.y);
}

std::vector<PolylineView> views_of(std::span<const std::vector<Point>> closed,
                                   std::span<const std::vector<Point>> open) {
  std::vector<PolylineView> out;
  for (const std::vector<Point>& p : closed) out.push_back({p, true});
  for (const std::vector<Point>& p : open) out.push_back({p, false});
  return out;
}

}  // namespace

Result<Conversion> fit(std::span<const PolylineView> polylines, const Options& options, const Job& job) {
  return guarded(options, job, [&](const Options& o) -> Result<Conversion> {
    for (std::size_t i = 0; i < polylines.size(); ++i)
      if (auto e = check_polyline(polylines[i], i)) return *e;
    const PointBox box = box_of_all(polylines);
    if (std::max(box.high.x - box.low.x, box.high.y - box.low.y) > largest_px)
      return Error{ErrorCode::bad_polyline, "The polylines reach over more than 10,000,000 px: scale them down.", ""};
    Loops loops;
    loops.origin = origin_for(box, o.grid_px);
    std::vector<Finding> findings;
    for (const bool closed : {true, false})  // the order in which they are delivered
      for (const PolylineView& p : polylines) {
        if (p.closed != closed) continue;
        if (closed)
          if (auto finding = closed_by_a_straight(p, int(loops.loops.size()))) findings.push_back(std::move(*finding));
        loops.loops.push_back(loop_of(p, loops.origin, o.tolerance_px.value_or(finest_auto_tolerance_px)));
      }
    auto out = fit_loops(loops, LoopsFrom::caller, o, job, 0);
    if (!out) return out.error();
    if (!(loops.origin == Point{})) translate(*out, loops.origin);
    // Where only lines are delivered, what is said of outlines has nothing to stand by.
    if (o.output != Options::Output::lines) {
      tell(job, findings);
      out->report.findings.insert(out->report.findings.begin(), findings.begin(), findings.end());
    }
    if (!polylines.empty()) set_box(box, &out->drawing);
    return out;
  });
}

Result<Conversion> fit(std::span<const std::vector<Point>> polylines, const Options& options, const Job& job) {
  return fit(views_of(polylines, {}), options, job);
}

Result<Conversion> fit_spans(std::span<const std::span<const Point>> polylines, const Options& options,
                             const Job& job) {
  std::vector<PolylineView> views;
  for (const std::span<const Point> p : polylines) views.push_back({p, true});
  return fit(views, options, job);
}

Result<Conversion> fit(std::span<const Point> points, std::span<const std::size_t> lengths, const Options& options,
                       const Job& job) {
  std::vector<PolylineView> views;
  for (const std::size_t length : lengths) {
    if (length > points.size())
      return Error{ErrorCode::bad_polyline, "There are fewer points than the lengths say.",
                   "polyline " + std::to_string(views.size())};
    views.push_back({points.first(length), true});
    points = points.subspan(length);
  }
  if (!points.empty()) return Error{ErrorCode::bad_polyline, "There are more points than the lengths say.", "points"};
  return fit(views, options, job);
}

Result<Conversion> fit_lines(std::span<const std::vector<Point>> closed, std::span<const std::vector<Point>> open,
                             const Options& options, const Job& job) {
  return fit(views_of(closed, open), options, job);
}

}  // namespace batten
