#include "network/bridge_junctions.h"

#include <cmath>

namespace batten {
namespace {

constexpr double largest_bend_deg = 40;  // as for strokes that run on

struct Side {
  Point at, way;  // the sure point beside a run, and the direction of travel there
};

class Bridger {
 public:
  Bridger(bool closed, double width_px, const std::vector<char>& sure, Polyline* points)
      : closed_(closed),
        reach_(std::max(2, int(std::lround(2.5 * width_px)))),
        width_px_(width_px),
        sure_(sure),
        points_(*points) {}

  void run() {
    const int n = int(points_.size());
    int first_sure = 0;
    while (first_sure < n && !sure_[first_sure]) ++first_sure;
    if (first_sure == n) return;
    if (closed_) {
      for (int i = first_sure; i < first_sure + n; ++i) {
        int end = i + 1;
        while (end < first_sure + n && !sure_[end % n]) ++end;
        if (end > i + 1) bridge(i, end);
        i = end - 1;
      }
      return;
    }
    if (first_sure > 0) carry_on(first_sure, -1);
    int last_sure = n - 1;
    while (!sure_[last_sure]) --last_sure;
    if (last_sure < n - 1) carry_on(last_sure, 1);
    for (int i = first_sure; i < last_sure;) {
      int end = i + 1;
      while (!sure_[end]) ++end;
      if (end > i + 1) bridge(i, end);
      i = end;
    }
  }

 private:
  int wrap(int i) const {
    const int n = int(points_.size());
    return closed_ ? ((i % n) + n) % n : i;
  }
  // Sure points from `i` on, walking by `step`, at most as far as the direction is read.
  Side side(int i, int step) const {
    int last = i;
    for (int k = 1; k <= reach_; ++k) {
      const int j = i + step * k;
      if (!closed_ && (j < 0 || j >= int(points_.size()))) break;
      if (!sure_[wrap(j)]) break;
      last = j;
    }
    return {points_[wrap(i)], last == i ? Point{0, 0} : unit(points_[wrap(i)] - points_[wrap(last)])};
  }
  void bridge(int from, int to) {
    const Side a = side(from, -1), b = side(to, 1);
    if (norm2(a.way) == 0 || norm2(b.way) == 0) return;
    const Point before = a.way, after = -1 * b.way;
    const double chord = distance(a.at, b.at), turn = turn_between(before, after);
    const int steps = to - from;
    Polyline bridged;
    if (std::abs(degrees(turn)) < largest_bend_deg) {
      for (int k = 1; k < steps; ++k) {
        // Hermite's cubic, its speeds as long as the chord.
        const double t = double(k) / steps, s = 1 - t;
        bridged.push_back((s * s * (1 + 2 * t)) * a.at + (s * s * t * chord) * before + (t * t * (1 + 2 * s)) * b.at +
                          (-t * t * s * chord) * after);
      }
      put_where_ink_is(from, to, bridged);
      return;
    }
    const double run = cross(b.at - a.at, after) / cross(before, after);  // from a to where the two lines meet
    const Point corner = a.at + run * before;
    const double on_b = dot(b.at - corner, after);
    // A corner farther off than the run is long is no corner of these two lines.
    if (run < 0 || on_b < 0 || run + on_b > 2 * (double(steps) + width_px_)) return;
    for (int k = 1; k < steps; ++k) {
      const double arc = (run + on_b) * k / steps;
      bridged.push_back(arc < run ? a.at + arc * before : corner + (arc - run) * after);
    }
    put_where_ink_is(from, to, bridged);
  }
  // The points of a run lie in the ink, if not in its middle. A bridge that leaves it by more than the line is wide, as
  // where a round is crossed so often that little of it is sure, explains nothing that was drawn.
  void put_where_ink_is(int from, int to, const Polyline& bridged) {
    for (const Point p : bridged) {
      double nearest_px = 1e300;
      for (int i = from; i <= to; ++i) nearest_px = std::min(nearest_px, distance(p, points_[wrap(i)]));
      if (nearest_px > width_px_) return;
    }
    for (std::size_t k = 0; k < bridged.size(); ++k) points_[wrap(from + 1 + int(k))] = bridged[k];
  }
  void carry_on(int from, int step) {
    const Side a = side(from, -step);
    if (norm2(a.way) == 0) return;
    const int last = step > 0 ? int(points_.size()) - 1 : 0;
    const int steps = std::abs(last - from);
    const double length_px = std::max(0., dot(points_[last] - a.at, a.way));
    for (int k = 1; k <= steps; ++k) points_[from + step * k] = a.at + (length_px * k / steps) * a.way;
  }

  bool closed_;
  int reach_;  // points over which a direction is read
  double width_px_;
  const std::vector<char>& sure_;
  Polyline& points_;
};

}  // namespace

void bridge_junctions(bool closed, double width_px, const std::vector<char>& sure, Polyline* points) {
  Bridger(closed, width_px, sure, points).run();
}

}  // namespace batten
