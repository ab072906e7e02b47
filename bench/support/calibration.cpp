#include "support/calibration.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "support/font_outline.h"
#include "support/shapes.h"

namespace batten::support {
namespace {

struct TierManner {
  const char* name;
  double height_px, tolerance_px;
};
// Sizes and tolerances as somebody would ask for them: about as fine as such a drawing allows.
constexpr TierManner manners[tiers] = {
    {"single", 340, 1}, {"multistroke", 400, 2}, {"loose", 480, 3},    {"shaded", 340, 1.5}, {"photo", 400, 2},
    {"page", 300, 1.5}, {"hatched", 400, 2},     {"small", 150, 0.75}, {"clean", 320, 0.5},  {"pen", 340, 1}};

// Photographs and pages are of drawings of three kinds in turn.
Hand hand_of(const CalibrationCase& c) {
  switch (c.tier) {
    case Tier::single:
    case Tier::small:
      return Hand::single;
    case Tier::multistroke:
      return Hand::multistroke;
    case Tier::loose:
      return Hand::loose;
    case Tier::shaded:
      return Hand::shaded;
    case Tier::hatched:
      return Hand::hatched;
    case Tier::clean:
    case Tier::pen:
      return Hand::clean;
    case Tier::photo:
    case Tier::page:
      break;
  }
  constexpr Hand in_turn[] = {Hand::single, Hand::multistroke, Hand::shaded};
  return in_turn[(c.number + c.characters[0]) % 3];
}

std::vector<Outline> line_of_letters(const std::string& file, const std::u32string& characters, double em_px) {
  std::vector<Outline> all;
  Point pen{40, 40 + 0.8 * em_px};
  for (const char32_t character : characters) {
    double advance_px = 0;
    const int first = int(all.size());
    for (Outline o : glyph_on_line(file, character, em_px, pen, &advance_px)) {
      if (o.parent >= 0) o.parent += first;
      all.push_back(o);
    }
    pen.x += 1.06 * advance_px + 10;  // loosely set: bands of neighbours stay apart
  }
  return all;
}

// An even line of a soft pen along the outlines, 4 to 10 px wide: no hand strays, and all that is uncertain is where
// corners are that the line runs together in.
GrayImage pen_drawing(int width, int height, const std::vector<Outline>& outlines, Random random) {
  const double half_px = random.uniform(2, 5);
  std::vector<double> away_px(std::size_t(width) * std::size_t(height), 1e9);
  for (const Outline& o : outlines)
    for (const Point p : points_of(o, 0.25)) {
      const int reach = int(half_px) + 2;
      for (int y = std::max(0, int(p.y) - reach); y < std::min(height, int(p.y) + reach + 1); ++y)
        for (int x = std::max(0, int(p.x) - reach); x < std::min(width, int(p.x) + reach + 1); ++x) {
          double& away = away_px[std::size_t(y) * std::size_t(width) + std::size_t(x)];
          away = std::min(away, std::hypot(x + 0.5 - p.x, y + 0.5 - p.y));
        }
    }
  const Field grain = noise(width, height, 1, random);
  GrayImage image{width, height, {}};
  for (std::size_t i = 0; i < away_px.size(); ++i) {
    const double cover = std::clamp((half_px + 0.9 - away_px[i]) / 1.8, 0., 1.) * (0.8 + 0.08 * grain.values[i]);
    image.pixels.push_back(std::uint8_t(std::lround(std::clamp(242 - 200 * cover + random.normal(2), 0., 255.))));
  }
  return image;
}

Point sub(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }

// Signed distance of p from a closed polyline: positive left of its direction.
double signed_distance_px(Point p, const std::vector<Point>& line) {
  double best2 = std::numeric_limits<double>::infinity(), side = 1;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Point a = line[i], d = sub(line[(i + 1) % line.size()], a), v = sub(p, a);
    const double len2 = dot(d, d), t = len2 > 0 ? std::clamp(dot(v, d) / len2, 0., 1.) : 0;
    const Point off = {v.x - t * d.x, v.y - t * d.y};
    if (dot(off, off) < best2) best2 = dot(off, off), side = cross(d, v) < 0 ? 1 : -1;
  }
  return side * std::sqrt(best2);
}

std::vector<double> signed_distances_px(const std::vector<Point>& points, const std::vector<Point>& line) {
  std::vector<double> out;
  for (const Point p : points) out.push_back(signed_distance_px(p, line));
  return out;
}

double mean_of(const std::vector<double>& off) {
  double sum = 0;
  for (const double d : off) sum += std::abs(d);
  return off.empty() ? 1e300 : sum / double(off.size());
}

double largest_of(const std::vector<double>& off) {
  double most = 0;
  for (const double d : off) most = std::max(most, std::abs(d));
  return most;
}

std::vector<Point> every(const std::vector<Point>& points, std::size_t step) {
  std::vector<Point> out;
  for (std::size_t i = 0; i < points.size(); i += step) out.push_back(points[i]);
  return out;
}

// A warning is held to the neighbourhood of the place that it names: two widths, within which the strokes of a corner
// run together, and not below what the eye takes for one place.
double reach_px(double band_px) { return std::max(8., 2 * band_px); }

bool off_near(Point place, double reach, const std::vector<Point>& points, const std::vector<double>& off,
              double tolerance_px) {
  for (std::size_t i = 0; i < points.size(); ++i)
    if (std::abs(off[i]) > tolerance_px && std::hypot(points[i].x - place.x, points[i].y - place.y) <= reach)
      return true;
  return false;
}

std::optional<double> spread(const Calibrated& drawing, std::vector<double> CalibratedOutline::*off) {
  std::vector<double> z;
  for (const CalibratedOutline& o : drawing.outlines)
    for (const double d : o.*off) z.push_back(std::abs(d) / o.sigma_px);
  if (z.empty()) return std::nullopt;
  const auto middle = z.begin() + std::ptrdiff_t(z.size() / 2);
  std::nth_element(z.begin(), middle, z.end());
  return 1.4826 * *middle;
}

}  // namespace

std::string name_of(Tier tier) { return manners[int(tier)].name; }
double tolerance_px(Tier tier) { return manners[int(tier)].tolerance_px; }

CalibrationDrawing draw(const CalibrationCase& c) {
  CalibrationDrawing out;
  const std::string file = font_file(c.font + ".otf");
  const TierManner& tier = manners[int(c.tier)];
  out.truth = c.tier == Tier::page ? line_of_letters(file, c.characters, tier.height_px)
                                   : glyph(file, c.characters[0], tier.height_px, 40);
  if (out.truth.empty()) return out;
  const Extent size = extent_of(out.truth, 40);
  Random random("calibration", c.font + name_of(c.tier) + name_of(c.drawer),
                std::uint64_t(c.characters[0]) * 64 + c.number);
  const Manner manner = manner_of(c.drawer, random);
  if (c.tier == Tier::pen) {
    out.image = pen_drawing(size.width, size.height, out.truth, random);
    return out;
  }
  if (c.tier != Tier::page) {
    out.image = pencil_drawing(size.width, size.height, out.truth, hand_of(c), c.tier == Tier::photo, random, manner);
    return out;
  }
  Sheet sheet(size.width, size.height, random.fork(), manner);
  for (const double share : {0.8, 0.4, 0.15}) {  // baseline, x-height, capitals
    const double y = 40 + share * tier.height_px;
    sheet.rule({8, y + 1}, {size.width - 8.0, y - 1}, 0.35);
  }
  sheet.draw(out.truth, hand_of(c));
  sheet.smear({28, 10}, 0.06);
  sheet.dust(size.width * size.height / 40000, 2);
  out.image = sheet.scanned();
  return out;
}

Calibrated calibrated(const std::vector<Outline>& truth, const Conversion& traced, double tolerance_px) {
  Calibrated out;
  std::vector<std::vector<Point>> true_points;
  for (const Outline& o : truth) true_points.push_back(points_of(o, 0.5));
  std::vector<char> used(truth.size(), 0);
  for (std::size_t i = 0; i < traced.drawing.outlines.size(); ++i) {
    const Outline& outline = traced.drawing.outlines[i];
    const OutlineReport& report = traced.report.outlines[i];
    const std::vector<Point> points = points_of(outline, 0.5), few = every(points, 40);
    std::size_t best = truth.size();
    double least =
        std::max(2., 0.35 * outline.band_px);  // farther off on average it is another outline, or a side of it
    for (std::size_t k = 0; k < truth.size(); ++k) {
      const double mean = mean_of(signed_distances_px(few, true_points[k])) +
                          mean_of(signed_distances_px(every(true_points[k], 40), points));
      if (!used[k] && mean / 2 < least) least = mean / 2, best = k;
    }
    if (best == truth.size()) {
      ++out.not_paired;
      continue;
    }
    used[best] = 1;
    CalibratedOutline& o = out.outlines.emplace_back();
    o.index = i, o.sigma_px = outline.sigma_px, o.band_px = outline.band_px;
    o.reported_max_px = report.max_px;
    o.curve_off_px = signed_distances_px(points, true_points[best]);
    o.line_off_px = signed_distances_px(report.located, true_points[best]);
    const std::vector<double> back = signed_distances_px(true_points[best], points);
    o.true_max_px = std::max(largest_of(o.curve_off_px), largest_of(back));
    o.truly_off = o.true_max_px > tolerance_px;
    for (const Node& n : outline.nodes)
      if (!n.smooth) o.curve_place_off_px.push_back(std::abs(signed_distance_px(n.at, true_points[best])));
    for (const Finding& f : traced.report.findings) {
      if (f.outline != int(i)) continue;
      if (f.what == Finding::What::tolerance_below_uncertainty) o.warnings.push_back({f.what, o.truly_off});
      if (f.what != Finding::What::tolerance_exceeded) continue;
      const double reach = reach_px(o.band_px);
      o.warnings.push_back({f.what, off_near(f.place, reach, points, o.curve_off_px, tolerance_px) ||
                                        off_near(f.place, reach, true_points[best], back, tolerance_px)});
    }
  }
  out.not_paired += std::size_t(std::count(used.begin(), used.end(), 0));
  return out;
}

std::optional<double> line_spread(const Calibrated& drawing) {
  return spread(drawing, &CalibratedOutline::line_off_px);
}
std::optional<double> curve_spread(const Calibrated& drawing) {
  return spread(drawing, &CalibratedOutline::curve_off_px);
}

}  // namespace batten::support
