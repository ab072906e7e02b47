#include "support/pencil.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/pencil_sides.h"

namespace batten::support {
namespace {

Point left_of(Point d) { return {-d.y, d.x}; }

/// A smooth random function of the arc position along a stroke: a normal value every step_px, cosine between.
class Drift {
 public:
  Drift(double length_px, double step_px, double size, Random& random) : step_(step_px) {
    for (double s = -step_px; s < length_px + 2 * step_px; s += step_px) values_.push_back(random.normal(size));
  }
  double at(double s) const {
    const double u = std::clamp(s / step_, 0.0, double(values_.size()) - 2.001);
    const std::size_t i = std::size_t(u);
    const double f = (1 - std::cos(std::numbers::pi * (u - double(i)))) / 2;
    return values_[i] * (1 - f) + values_[i + 1] * f;
  }

 private:
  double step_;
  std::vector<double> values_;
};

/// Where a line crosses the outlines, as positions along the line, in order: inside from 0 to 1, 2 to 3, ...
std::vector<double> crossings(const std::vector<Polyline>& rings, Point origin, Point direction) {
  std::vector<double> hits;
  for (const Polyline& ring : rings)
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point a = ring[i] - origin, b = ring[(i + 1) % ring.size()] - origin;
      const double ua = direction.x * a.y - direction.y * a.x, ub = direction.x * b.y - direction.y * b.x;
      if ((ua < 0) == (ub < 0)) continue;
      const Point hit = a + (ua / (ua - ub)) * (b - a);
      hits.push_back(hit.x * direction.x + hit.y * direction.y);
    }
  std::sort(hits.begin(), hits.end());
  return hits;
}

}  // namespace

std::string name_of(Hand hand) {
  switch (hand) {
    case Hand::clean:
      return "clean";
    case Hand::single:
      return "single";
    case Hand::multistroke:
      return "multistroke";
    case Hand::loose:
      return "loose";
    case Hand::shaded:
      return "shaded";
    case Hand::hatched:
      return "hatched";
  }
  return "";
}

Sheet::Sheet(int width, int height, Random random, const Manner& manner)
    : random_(random), manner_(manner), ink_(width, height) {
  // Two sizes of grain and, across them, the weave of the felt that dried the paper.
  const Field fine = noise(width, height, manner.grain * random_.uniform(0.75, 1.05), random_),
              coarse = noise(width, height, manner.grain * 2.6, random_);
  tooth_ = Field(width, height);
  const double pitch = random_.uniform(5.5, 7.5), turn = random_.uniform(0, std::numbers::pi);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const double u = (x * std::cos(turn) + y * std::sin(turn)) / pitch,
                   v = (y * std::cos(turn) - x * std::sin(turn)) / pitch;
      const double weave = 0.18 * (std::sin(2 * std::numbers::pi * u) + std::sin(2 * std::numbers::pi * v));
      tooth_.at(x, y) = float(1 / (1 + std::exp(-1.6 * (0.85 * fine.at(x, y) + 0.4 * coarse.at(x, y) + weave))));
    }
}

void Sheet::stroke(const std::vector<Touch>& touches) {
  if (touches.empty()) return;
  double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
  for (const Touch& t : touches) {
    left = std::min(left, t.at.x - t.radius_px), right = std::max(right, t.at.x + t.radius_px);
    top = std::min(top, t.at.y - t.radius_px), bottom = std::max(bottom, t.at.y + t.radius_px);
  }
  const int x0 = std::max(0, int(left) - 2), x1 = std::min(ink_.width, int(right) + 3);
  const int y0 = std::max(0, int(top) - 2), y1 = std::min(ink_.height, int(bottom) + 3);
  if (x0 >= x1 || y0 >= y1) return;
  Field contact(x1 - x0, y1 - y0);  // how hard the lead pressed at most; a stroke rubs off once, however it bends
  for (std::size_t i = 0; i + 1 < touches.size() || i == 0; ++i) {
    const Touch &a = touches[i], &b = touches[std::min(i + 1, touches.size() - 1)];
    const double margin = std::max(a.radius_px, b.radius_px) + 1;
    const int c0 = std::max(x0, int(std::min(a.at.x, b.at.x) - margin)),
              c1 = std::min(x1, int(std::max(a.at.x, b.at.x) + margin) + 1);
    const int r0 = std::max(y0, int(std::min(a.at.y, b.at.y) - margin)),
              r1 = std::min(y1, int(std::max(a.at.y, b.at.y) + margin) + 1);
    const Point d = b.at - a.at;
    const double dd = d.x * d.x + d.y * d.y;
    for (int y = r0; y < r1; ++y)
      for (int x = c0; x < c1; ++x) {
        const Point v = Point{x + 0.5, y + 0.5} - a.at;
        const double t = dd > 0 ? std::clamp((v.x * d.x + v.y * d.y) / dd, 0.0, 1.0) : 0;
        const double away = length(v - t * d), radius = a.radius_px + t * (b.radius_px - a.radius_px);
        const double flat = std::clamp(radius + 0.5 - away, 0.0, 1.0);  // the lead's worn tip, soft over one pixel
        const double round = 1 - 0.3 * std::min(1.0, (away / radius) * (away / radius));
        float& c = contact.at(x - x0, y - y0);
        c = std::max(c, float(flat * round * (a.pressure + t * (b.pressure - a.pressure))));
      }
  }
  for (int y = y0; y < y1; ++y)
    for (int x = x0; x < x1; ++x) {
      const float c = contact.at(x - x0, y - y0);
      if (c <= 0) continue;
      // Peaks of the tooth (1) take graphite first, valleys (0) only under pressure.
      // A soft lead leaves a trace of dust in the valleys too.
      const float reached = std::clamp((2.0f * c - 0.9f * (1 - tooth_.at(x, y))) / 0.75f, 0.0f, 1.0f);
      ink_.at(x, y) =
          1 - (1 - ink_.at(x, y)) * (1 - (0.12f + 0.75f * reached) * (0.35f + 0.65f * c) * std::min(1.0f, 4 * c));
    }
}

void Sheet::one_stroke(const Polyline& points, bool closed, double from_px, double to_px, double offset_px,
                       double spread_px, double radius_px, double pressure) {
  const Side side{points, closed};
  const double run = to_px - from_px;
  const double bow = random_.normal(manner_.bow * spread_px), tilt = random_.normal(manner_.bow * spread_px);
  const Drift tremor(run, manner_.waver_px, manner_.waver * (0.12 + 0.06 * spread_px), random_),
      force(run, 60, manner_.force, random_);
  const double width = radius_px * random_.uniform(0.85, 1.15), hard = pressure * random_.uniform(0.8, 1.15);
  std::vector<Touch> touches;
  const int steps = std::max(2, int(run / 1.5));
  for (int k = 0; k <= steps; ++k) {
    const double s = run * k / steps, u = 2 * s / run - 1;
    const auto [at, d] = along(side, from_px + s);
    const double off = offset_px + bow * (u * u - 1.0 / 3) + tilt * u + tremor.at(s);
    const double lift = std::min({1.0, 0.45 + s / 12, 0.3 + (run - s) / 28});  // sets down fast, flicks off slowly
    touches.push_back(
        {at + off * left_of(d), width * (0.8 + 0.2 * lift), std::clamp(hard * lift * (1 + force.at(s)), 0.1, 1.0)});
  }
  if (random_.uniform() < 0.4) std::reverse(touches.begin(), touches.end());
  stroke(touches);
}

void Sheet::single_line(const Outline& outline, double radius_px, double pressure) {
  for (const Side& side : sides_of(outline)) {
    const double run = length_of(side);
    const Drift wobble(run, 2.2 * manner_.waver_px, 0.45 * manner_.waver, random_),
        force(run, 90, manner_.force, random_);
    const double past = side.closed ? 3 : random_.uniform(0, 0.8);
    std::vector<Touch> touches;
    const int steps = std::max(2, int((run + 2 * past) / 1.5));
    for (int k = 0; k <= steps; ++k) {
      const double s = -past + (run + 2 * past) * k / steps;
      const auto [at, d] = along(side, s);
      // A closed line comes back to where it began.
      const double blend = side.closed ? std::clamp((s - run + 40) / 40, 0.0, 1.0) : 0;
      const double off = wobble.at(s) * (1 - blend) + wobble.at(std::max(0.0, s - run)) * blend;
      touches.push_back({at + off * left_of(d), radius_px * (1 + 0.5 * force.at(s)),
                         std::clamp(pressure * (1 + force.at(s)), 0.2, 1.0)});
    }
    stroke(touches);
  }
}

void Sheet::passes(const Outline& outline, int count, double spread_px, double overshoot_px, double radius_px,
                   double pressure) {
  for (const Side& side : sides_of(outline)) {
    const double run = length_of(side);
    std::vector<double> offsets;
    double mean = 0;
    for (int k = 0; k < count; ++k) mean += offsets.emplace_back(random_.normal(spread_px)) / count;
    for (double& o : offsets) o -= mean;  // a hand feels for the line from both sides
    for (const double offset : offsets) {
      const double begin = side.closed ? random_.uniform(0, run) : -random_.uniform(0, overshoot_px);
      const double end = side.closed ? begin + run + random_.uniform(5, 25) : run + random_.uniform(0, overshoot_px);
      for (double s = begin; s < end - 6;) {
        double stop = s + random_.uniform(manner_.shortest_px, manner_.longest_px);
        if (end - stop < 30) stop = end;
        one_stroke(side.points, side.closed, s, std::min(stop, end), offset + random_.normal(0.35 * spread_px),
                   spread_px, radius_px, pressure);
        s = std::min(stop, end);
        if (s < end) s -= random_.uniform(manner_.least_overlap_px, manner_.most_overlap_px);
      }
    }
  }
}

void Sheet::rim(const std::vector<Outline>& outlines, double radius_px, double pressure) {
  std::vector<Polyline> rings;
  for (const Outline& o : outlines) rings.push_back(points_of(o, 1));
  const auto clearance = [&](Point p) {
    double best = 1e9;
    for (const Polyline& ring : rings)
      for (const Point q : ring) best = std::min(best, (p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y));
    return std::sqrt(best);
  };
  for (const Outline& outline : outlines)
    for (const Side& side : sides_of(outline)) {
      const double run = length_of(side);
      const Drift wobble(run, 45, 0.35, random_), force(run, 70, 0.12, random_);
      std::vector<Touch> touches;
      for (double s = 0; s <= run; s += 1) {
        const auto [at, d] = along(side, s);
        const Point p =
            at + (radius_px + wobble.at(s)) * left_of(d);  // inside is on the right hand of a clockwise walk, y down
        if (clearance(p) < radius_px - 0.8) {  // past the inside of a corner: the lead stops before it sticks out
          if (touches.size() > 1) stroke(touches);
          touches.clear();
          continue;
        }
        touches.push_back({p, radius_px, std::clamp(pressure * (1 + force.at(s)), 0.2, 1.0)});
      }
      if (touches.size() > 1) stroke(touches);
    }
}

namespace {

std::vector<Polyline> rings_of(const std::vector<Outline>& outlines) {
  std::vector<Polyline> rings;
  for (const Outline& o : outlines) rings.push_back(points_of(o, 0.5));
  return rings;
}

}  // namespace

void Sheet::strokes_inside(const std::vector<Polyline>& rings, double turn, const InsideStrokes& how) {
  const Point d{std::cos(turn), std::sin(turn)}, middle{ink_.width / 2.0, ink_.height / 2.0};
  const double diagonal = std::hypot(ink_.width, ink_.height);
  for (double o = -diagonal / 2; o < diagonal / 2; o += how.pitch_px) {
    const double radius = random_.uniform(how.least_radius_px, how.most_radius_px),
                 hard = how.pressure * random_.uniform(0.85, 1.15);
    const Point origin = middle + (o + random_.normal(how.pitch_scatter_px)) * left_of(d);
    const std::vector<double> hits = crossings(rings, origin, d);
    for (std::size_t i = 0; i + 1 < hits.size(); i += 2) {
      const double from = hits[i] + radius + random_.normal(how.end_scatter_px),
                   to = hits[i + 1] - radius + random_.normal(how.end_scatter_px);
      if (to - from < 0.5) continue;
      const Drift sway(to - from, 40, 0.5, random_);
      std::vector<Touch> touches;
      for (double s = from; s <= to; s += 2)
        touches.push_back({origin + s * d + sway.at(s - from) * left_of(d), radius, hard});
      stroke(touches);
    }
  }
}

void Sheet::shade(const std::vector<Outline>& outlines) {
  double turn = random_.uniform(0, std::numbers::pi);
  const double pressure = random_.uniform(0.6, 0.8), pitch = random_.uniform(2.6, 3.2);
  for (int layer = 0; layer < 2; ++layer, turn += random_.uniform(0.5, 1.1))
    strokes_inside(rings_of(outlines), turn, {pitch, 0.4, 1.6, 2.1, pressure, 0.4});
  rim(outlines, 1.4, pressure);
  rim(outlines, 1.9, pressure * 0.9);
}

void Sheet::hatch(const std::vector<Outline>& outlines, double radius_px, double pressure) {
  // Gaps of half to one and a half strokes; ends scatter by half a stroke about the line. One letter in three is
  // crossed.
  double turn = random_.uniform(0, std::numbers::pi);
  const InsideStrokes how{
      2 * radius_px * random_.uniform(1.5, 2.5), 0.5, 0.75 * radius_px, 0.95 * radius_px, 0.75 * pressure, radius_px};
  strokes_inside(rings_of(outlines), turn, how);
  if (random_.below(3) == 0) strokes_inside(rings_of(outlines), turn + random_.uniform(0.9, 1.6), how);
}

void Sheet::draw(const std::vector<Outline>& outlines, Hand hand) {
  const double radius = manner_.width * random_.uniform(1.6, 2.2), hard = random_.uniform(0.6, 0.85);
  if (hand == Hand::clean) {
    const Field fill = coverage(ink_.width, ink_.height, outlines);
    for (std::size_t i = 0; i < ink_.values.size(); ++i) ink_.values[i] = std::max(ink_.values[i], fill.values[i]);
  } else if (hand == Hand::shaded) {
    shade(outlines);
  } else if (hand == Hand::single || hand == Hand::hatched) {
    for (const Outline& o : outlines) single_line(o, radius, hard);
    if (hand == Hand::hatched) hatch(outlines, radius, hard);
  } else {
    const bool loose = hand == Hand::loose;
    const int count = loose ? 5 + random_.below(2) : 3 + random_.below(2);
    const double spread = manner_.spread * (loose ? random_.uniform(3.2, 4.4) : random_.uniform(1.9, 2.8));
    for (const Outline& o : outlines)
      passes(o, count, spread, loose ? 16 : 7, radius * (loose ? 1.2 : 1), hard * (loose ? 0.7 : 0.8));
  }
}

void Sheet::rule(Point from, Point to, double pressure, double width_px) {
  const double run = length(to - from);
  const Drift force(run, 80, 0.1, random_), shake(run, 200, 0.08, random_);
  std::vector<Touch> touches;
  for (double s = 0; s <= run; s += 3)
    touches.push_back({from + (s / run) * (to - from) + shake.at(s) * left_of(unit(to - from)), width_px / 2,
                       pressure * (1 + force.at(s))});
  stroke(touches);
}

void Sheet::dust(int specks, int hairs) {
  for (int i = 0; i < specks; ++i)
    stroke({{{random_.uniform(0, ink_.width), random_.uniform(0, ink_.height)},
             random_.uniform(0.6, 1.8),
             random_.uniform(0.4, 1)}});
  for (int i = 0; i < hairs; ++i) {
    Point p{random_.uniform(0, ink_.width), random_.uniform(0, ink_.height)};
    double heading = random_.uniform(0, 6.28), bend = random_.normal(0.05);
    std::vector<Touch> touches;
    for (double s = 0, run = random_.uniform(12, 45); s < run; s += 2, heading += bend + random_.normal(0.06))
      touches.push_back({p = p + 2.0 * Point{std::cos(heading), std::sin(heading)}, 0.5, 0.5});
    stroke(touches);
  }
}

void Sheet::smear(Point drag_px, double strength) {
  const Field soft = blurred(ink_, 3);
  const int steps = std::max(1, int(length(drag_px) / 3));
  Field shadow(ink_.width, ink_.height);
  for (int k = 1; k <= steps; ++k) {
    const int dx = int(std::lround(drag_px.x * k / steps)), dy = int(std::lround(drag_px.y * k / steps));
    for (int y = std::max(0, dy); y < std::min(ink_.height, ink_.height + dy); ++y)
      for (int x = std::max(0, dx); x < std::min(ink_.width, ink_.width + dx); ++x)
        shadow.at(x, y) += soft.at(x - dx, y - dy) * float(1 - 0.7 * k / steps) / float(steps);
  }
  for (std::size_t i = 0; i < ink_.values.size(); ++i)
    ink_.values[i] = 1 - (1 - ink_.values[i]) * (1 - float(strength) * std::min(1.0f, 3 * shadow.values[i]));
}

GrayImage pencil_drawing(int width, int height, const std::vector<Outline>& outlines, Hand hand, bool photo,
                         Random random, const Manner& manner) {
  if (hand == Hand::clean) {
    const Field fill = coverage(width, height, outlines);
    GrayImage image{width, height, std::vector<std::uint8_t>(fill.values.size())};
    for (std::size_t i = 0; i < fill.values.size(); ++i)
      image.pixels[i] = std::uint8_t(std::lround(255 * (1 - fill.values[i])));
    return image;
  }
  Sheet sheet(width, height, random, manner);
  sheet.draw(outlines, hand);
  if (manner.smear > 0) sheet.smear({24, 14}, manner.smear);
  return photo ? sheet.photographed() : sheet.scanned();
}

}  // namespace batten::support
