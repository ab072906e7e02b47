#include <algorithm>
#include <cmath>
#include <numbers>

#include "path_grammar.h"

namespace batten {
namespace {

// Coordinates are printed with a limited number of digits: points nearer than this share of their size are one.
bool same(Point a, Point b) {
  const double slack = 1e-6 * (1 + std::max({std::abs(a.x), std::abs(a.y), std::abs(b.x), std::abs(b.y)}));
  return std::abs(a.x - b.x) <= slack && std::abs(a.y - b.y) <= slack;
}

}  // namespace

void PathMaker::begin_if_needed() {
  if (outline_.nodes.empty()) outline_.nodes.push_back({at_, at_, at_});
}

void PathMaker::end() {
  if (outline_.nodes.size() > 2 || (outline_.nodes.size() == 2 && !same(outline_.nodes[0].at, outline_.nodes[1].at)) ||
      (outline_.nodes.size() == 2 && !same(outline_.nodes[0].handle_after, outline_.nodes[0].at))) {
    Node &first = outline_.nodes.front(), &last = outline_.nodes.back();
    if (outline_.nodes.size() > 2 && same(first.at, last.at)) {
      first.handle_before = last.handle_before + (first.at - last.at);
      if (same(last.handle_before, last.at)) first.handle_before = first.at;
      outline_.nodes.pop_back();
      outline_.closed = true;
    }
    done_.push_back(std::move(outline_));
  }
  outline_ = {};
  outline_.closed = false;
}

void PathMaker::move_to(Point to) {
  end();
  at_ = start_ = to;
}

void PathMaker::line_to(Point to) {
  begin_if_needed();
  if (!same(at_, to)) outline_.nodes.push_back({to, to, to});
  at_ = to;
}

void PathMaker::curve_to(Point a, Point b, Point to) {
  begin_if_needed();
  if (same(at_, to) && same(at_, a) && same(at_, b)) return;
  outline_.nodes.back().handle_after = same(at_, a) ? at_ : a;
  outline_.nodes.push_back({same(to, b) ? to : b, to, to});
  at_ = to;
}

void PathMaker::arc_to(double rx, double ry, double turn_deg, bool large, bool sweep, Point to) {
  rx = std::abs(rx), ry = std::abs(ry);
  if (rx == 0 || ry == 0) return line_to(to);
  if (same(at_, to)) return;
  const double turn = turn_deg * std::numbers::pi / 180, cosine = std::cos(turn), sine = std::sin(turn);
  const Point half = 0.5 * (at_ - to);
  const double x = cosine * half.x + sine * half.y, y = cosine * half.y - sine * half.x;
  const double excess = x * x / (rx * rx) + y * y / (ry * ry);
  if (excess > 1) rx *= std::sqrt(excess), ry *= std::sqrt(excess);
  const double a = rx * rx * y * y + ry * ry * x * x;
  double k = std::sqrt(std::max(0.0, (rx * rx * ry * ry - a) / a));
  if (large == sweep) k = -k;
  const Point centre_turned{k * rx * y / ry, -k * ry * x / rx};
  const Point centre =
      Point{cosine * centre_turned.x - sine * centre_turned.y, sine * centre_turned.x + cosine * centre_turned.y} +
      0.5 * (at_ + to);
  const double from = std::atan2((y - centre_turned.y) / ry, (x - centre_turned.x) / rx);
  double way = std::atan2((-y - centre_turned.y) / ry, (-x - centre_turned.x) / rx) - from;
  if (sweep && way < 0) way += 2 * std::numbers::pi;
  if (!sweep && way > 0) way -= 2 * std::numbers::pi;
  const int pieces = std::max(1, int(std::ceil(std::abs(way) / (std::numbers::pi / 2) - 1e-9)));
  const double step = way / pieces, handle = 4.0 / 3 * std::tan(step / 4);
  const auto place = [&](double c, double s) {
    return centre + Point{rx * c * cosine - ry * s * sine, rx * c * sine + ry * s * cosine};
  };
  for (int i = 0; i < pieces; ++i) {
    const double t0 = from + i * step, t1 = t0 + step;
    curve_to(place(std::cos(t0) - handle * std::sin(t0), std::sin(t0) + handle * std::cos(t0)),
             place(std::cos(t1) + handle * std::sin(t1), std::sin(t1) - handle * std::cos(t1)),
             i + 1 == pieces ? to : place(std::cos(t1), std::sin(t1)));
  }
}

void PathMaker::close() {
  if (!outline_.nodes.empty()) {
    outline_.closed = true;
    end();
  }
  at_ = start_;
}

std::vector<Outline> PathMaker::take() {
  end();
  return std::move(done_);
}

}  // namespace batten
