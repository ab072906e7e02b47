#include "refine/segment_residual.h"

#include <algorithm>

namespace batten {
namespace {

// Scalars of a segment in a fixed order; each maps to a block or is constant.
enum Scalar { x0, y0, x3, y3, h0, h3, a0, a3, lx0, ly0, lx3, ly3, scalar_count };

std::array<const Slot*, scalar_count> scalars(const SegmentSlots& s) {
  return {&s.start.x,     &s.start.y,   &s.end.x,        &s.end.y,        &s.start.handle, &s.end.handle,
          &s.start.angle, &s.end.angle, &s.start.line_x, &s.start.line_y, &s.end.line_x,   &s.end.line_y};
}

using Row = std::array<double, scalar_count>;

// Control points and, for P1 and P2, their derivatives by every scalar.
struct Shape {
  Cubic c;
  std::array<Point, scalar_count> d1{}, d2{};
};

Shape shape_of(const SegmentSlots& s, const Row& v) {
  Shape out;
  const Point p0{v[x0], v[y0]}, p3{v[x3], v[y3]};
  out.c = {p0, p0, p3, p3};
  if (s.straight) return out;
  const auto end = [&](bool start, Scalar px, Scalar py, Scalar h, Scalar a, Scalar lx, Scalar ly, const EndSlots& e) {
    const Point p{v[px], v[py]};
    const double sign = start ? 1 : -1;
    Point t;
    auto& d = start ? out.d1 : out.d2;
    d[px] = {1, 0}, d[py] = {0, 1};
    if (e.along_line) {
      const Point far{v[lx], v[ly]};
      const Point along = start ? p - far : far - p;
      const double len = std::max(norm(along), 1e-9);
      t = (1 / len) * along;
      // dt/dalong = (I - t t^T) / len
      const Point tx{(1 - t.x * t.x) / len, -t.x * t.y / len}, ty{-t.x * t.y / len, (1 - t.y * t.y) / len};
      const double k = sign * v[h];
      d[px] = d[px] + (k * sign) * tx, d[py] = d[py] + (k * sign) * ty;
      d[lx] = (-k * sign) * tx, d[ly] = (-k * sign) * ty;
    } else {
      t = direction(v[a]);
      d[a] = (sign * v[h]) * left_of(t);
    }
    d[h] = sign * t;
    out.c[start ? 1 : 2] = p + (sign * v[h]) * t;
  };
  end(true, x0, y0, h0, a0, lx0, ly0, s.start);
  end(false, x3, y3, h3, a3, lx3, ly3, s.end);
  return out;
}

// The offset's row by scalars from weights k0..k3 of the control points, along -normal.
Row row_of(const Shape& shape, const std::array<double, 4>& k, Point normal) {
  Row row{};
  row[x0] -= k[0] * normal.x, row[y0] -= k[0] * normal.y;
  row[x3] -= k[3] * normal.x, row[y3] -= k[3] * normal.y;
  // Each of the control points between moves with the scalars of its own end only.
  for (const Scalar q : {x0, y0, h0, a0, lx0, ly0}) row[q] -= k[1] * dot(shape.d1[q], normal);
  for (const Scalar q : {x3, y3, h3, a3, lx3, ly3}) row[q] -= k[2] * dot(shape.d2[q], normal);
  return row;
}

// r -> f(r) with f^2 the loss wanted, and its derivative.
void bend(const OffsetShape& shape, double r, double* value, double* slope) {
  if (shape.power > 2) {
    const double m = std::abs(r) + 1e-9, below = whole_power(m, shape.power / 2 - 1);
    *value = std::copysign(m * below, r);
    *slope = 0.5 * shape.power * below;
  } else if (shape.robust > 0) {
    const double d = shape.robust, q = std::sqrt(1 + r * r / (d * d));
    // 2 d^2 (q - 1) written without cancellation
    const double root = std::sqrt(2 / (q + 1));
    *value = r * root;
    *slope = root * (1 - r * r / (2 * d * d * q * (q + 1)));
  } else {
    *value = r;
    *slope = 1;
  }
}

}  // namespace

std::vector<double*> SegmentResidual::blocks_of(const SegmentSlots& slots) {
  std::vector<double*> out;
  const auto all = scalars(slots);
  for (int q = 0; q < scalar_count; ++q) {
    double* b = all[std::size_t(q)]->block;
    const bool used = slots.straight         ? q <= y3
                      : q == a0              ? !slots.start.along_line
                      : q == a3              ? !slots.end.along_line
                      : q == lx0 || q == ly0 ? slots.start.along_line
                      : q == lx3 || q == ly3 ? slots.end.along_line
                                             : true;
    if (b && used && std::find(out.begin(), out.end(), b) == out.end()) out.push_back(b);
  }
  return out;
}

SegmentResidual::SegmentResidual(SegmentSlots slots, std::stop_token stop)
    : slots_(std::move(slots)), stop_(std::move(stop)), blocks_(blocks_of(slots_)) {
  set_num_residuals(int(slots_.points.size()) + (slots_.straight ? 0 : 2));
  for (std::size_t i = 0; i < blocks_.size(); ++i) mutable_parameter_block_sizes()->push_back(1);
}

const std::vector<FootFinder::Foot>& SegmentResidual::feet_on(const Cubic& c) const {
  if (!feet_.empty() && c == last_) return feet_;
  const FootFinder finder(c);
  const std::size_t n = slots_.points.size();
  feet_.resize(n);
  for (std::size_t i = 0; i < n; ++i) feet_[i] = finder.foot_near(slots_.points[i], (double(i) + 0.5) / double(n), 0.3);
  last_ = c;
  return feet_;
}

bool SegmentResidual::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
  if (stop_.stop_requested()) {
    const auto rows = std::size_t(num_residuals());
    std::fill_n(residuals, rows, 0.0);
    for (std::size_t b = 0; jacobians && b < blocks_.size(); ++b)
      if (jacobians[b]) std::fill_n(jacobians[b], rows, 0.0);
    return true;
  }
  Row v{};
  std::array<int, scalar_count> block{};
  const auto all = scalars(slots_);
  for (std::size_t q = 0; q < scalar_count; ++q) {
    block[q] = -1;
    v[q] = all[q]->value;
    if (!all[q]->block) continue;
    const auto it = std::find(blocks_.begin(), blocks_.end(), all[q]->block);
    if (it == blocks_.end()) continue;
    block[q] = int(it - blocks_.begin());
    v[q] = parameters[block[q]][0];
  }
  const auto store = [&](std::size_t i, double slope, const Row& row) {
    for (std::size_t b = 0; b < blocks_.size(); ++b)
      if (jacobians[b]) jacobians[b][i] = 0;
    for (std::size_t q = 0; q < scalar_count; ++q)
      if (block[q] >= 0 && jacobians[block[q]]) jacobians[block[q]][i] += slope * row[q];
  };
  const Shape shape = shape_of(slots_, v);
  const Cubic& c = shape.c;
  const std::size_t n = slots_.points.size();
  if (slots_.straight) {
    const Point along = c[3] - c[0];
    const double len = std::max(norm(along), 1e-9);
    const Point t = (1 / len) * along, normal = left_of(t);
    for (std::size_t i = 0; i < n; ++i) {
      const Point p = slots_.points[i] - c[0];
      const double share = dot(p, t) / len, w = slots_.weights[i] / slots_.scale_px;
      double value, slope;
      bend(slots_.shape, dot(p, normal) / slots_.scale_px, &value, &slope);
      residuals[i] = slots_.weights[i] * value;
      if (jacobians) store(i, w * slope, row_of(shape, {1 - share, 0, 0, share}, normal));
    }
    return true;
  }
  const std::vector<FootFinder::Foot>& feet = feet_on(c);
  for (std::size_t i = 0; i < n; ++i) {
    const FootFinder::Foot& f = feet[i];
    auto k = bernstein(f.t);
    if (f.beyond_px > 0) {  // on the end tangent: c3 + beyond * unit(c3 - c2)
      const double lever = f.beyond_px / std::max(distance(c[3], c[2]), 1e-9);
      k = {0, 0, -lever, 1 + lever};
    } else if (f.beyond_px < 0) {
      const double lever = -f.beyond_px / std::max(distance(c[1], c[0]), 1e-9);
      k = {1 + lever, -lever, 0, 0};
    }
    double value, slope;
    bend(slots_.shape, f.offset_px / slots_.scale_px, &value, &slope);
    residuals[i] = slots_.weights[i] * value;
    if (jacobians) store(i, slots_.weights[i] / slots_.scale_px * slope, row_of(shape, k, f.normal));
  }
  // A handle on the wrong side of the chord bends the curve where the drawing does not bend.
  const Point chord = c[3] - c[0];
  const double size2 = std::max(norm2(chord), 1e-9);
  for (int e = 0; e < 2; ++e) {
    const std::size_t i = n + std::size_t(e);
    const Point arm = e == 0 ? c[1] - c[0] : c[3] - c[2];
    const double sense = e == 0 ? slots_.convex_sense : -slots_.convex_sense;
    // Clockwise travel (sense +1) starts to the left of the chord: cross(chord, arm) < 0 there.
    const double wrong = sense * cross(chord, arm) / size2;
    residuals[i] = 0;
    Row row{};
    if (slots_.convex_sense != 0 && wrong > 0) {
      residuals[i] = slots_.convex_weight * wrong;
      if (jacobians) {
        // d cross(chord, arm) = cross(dchord, arm) + cross(chord, darm); the 1/size2 is followed as well.
        const double g = slots_.convex_weight * sense / size2;
        const auto by = [&](Point d0, Point d1, Point d2, Point d3) {
          const Point dc = d3 - d0, da = e == 0 ? d1 - d0 : d3 - d2;
          return g * (cross(dc, arm) + cross(chord, da)) - 2 * residuals[i] * dot(chord, dc) / size2;
        };
        for (std::size_t q = 0; q < scalar_count; ++q) {
          const Point d0 = q == x0 ? Point{1, 0} : q == y0 ? Point{0, 1} : Point{};
          const Point d3 = q == x3 ? Point{1, 0} : q == y3 ? Point{0, 1} : Point{};
          row[q] = by(d0, shape.d1[q], shape.d2[q], d3);
        }
      }
    }
    if (jacobians) store(i, 1, row);
  }
  return true;
}

}  // namespace batten
