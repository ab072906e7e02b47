#include "network/trace_skeleton.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "base/plane.h"

namespace batten {
namespace {

struct Step {
  int x, y;
};
// Straight neighbours before slanting ones, so that a line is followed without jumping over its own pixels.
constexpr std::array<Step, 8> around{{{0, -1}, {0, 1}, {-1, 0}, {1, 0}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}};

class Tracer {
 public:
  explicit Tracer(const cv::Mat1b& skeleton) : on_(skeleton), junction_(skeleton.size(), 0), seen_(skeleton.size(), 0) {
    cv::Mat1b crowded(skeleton.size(), std::uint8_t(0));
    for (int y = 0; y < on_.rows; ++y)
      for (int x = 0; x < on_.cols; ++x)
        if (on_(y, x)) crowded(y, x) = neighbours(x, y) >= 3 ? 255 : 0;
    cv::Mat stats, middles;
    const int count = cv::connectedComponentsWithStats(crowded, junction_, stats, middles, 8, CV_32S);
    for (int i = 1; i < count; ++i) net_.add_node({middles.at<double>(i, 0), middles.at<double>(i, 1)});
  }

  LineNetwork run() {
    for (int y = 0; y < on_.rows; ++y)
      for (int x = 0; x < on_.cols; ++x)
        if (is_line(x, y) && !seen_(y, x) && (touching(x, y) || neighbours(x, y) <= 1)) add_line(x, y);
    for (int y = 0; y < on_.rows; ++y)
      for (int x = 0; x < on_.cols; ++x)
        if (is_line(x, y) && !seen_(y, x)) add_line(x, y);
    return std::move(net_);
  }

 private:
  bool inside(int x, int y) const { return x >= 0 && y >= 0 && x < on_.cols && y < on_.rows; }
  bool is_on(int x, int y) const { return inside(x, y) && on_(y, x); }
  bool is_line(int x, int y) const { return is_on(x, y) && junction_(y, x) == 0; }
  int neighbours(int x, int y) const {
    int out = 0;
    for (const Step s : around) out += is_on(x + s.x, y + s.y);
    return out;
  }
  // The first junction beside a pixel other than `but`; the node's number.
  std::optional<int> touching(int x, int y, int but = -1) const {
    for (const Step s : around)
      if (inside(x + s.x, y + s.y) && junction_(y + s.y, x + s.x) > 0 && junction_(y + s.y, x + s.x) - 1 != but)
        return junction_(y + s.y, x + s.x) - 1;
    return std::nullopt;
  }

  void add_line(int x, int y) {
    Polyline points;
    Step first{x, y}, last{x, y};
    for (bool more = true; more;) {
      seen_(last.y, last.x) = 1;
      points.push_back({double(last.x), double(last.y)});
      more = false;
      for (const Step s : around) {
        const int u = last.x + s.x, v = last.y + s.y;
        if (!is_line(u, v) || seen_(v, u)) continue;
        last = {u, v};
        more = true;
        break;
      }
    }
    const std::optional<int> begins = touching(first.x, first.y);
    // A line of one pixel may lie between two junctions.
    const std::optional<int> ends =
        points.size() == 1 ? (begins ? touching(first.x, first.y, *begins) : begins) : touching(last.x, last.y);
    const bool ring =
        !begins && !ends && points.size() > 6 && std::abs(first.x - last.x) <= 1 && std::abs(first.y - last.y) <= 1;
    if (ring) {
      const int node = net_.add_node(points.front());
      points.push_back(points.front());
      net_.add_edge(node, node, std::move(points));
      return;
    }
    if (points.size() == 1 && !begins) return;  // a dot
    const int from = begins ? *begins : net_.add_node(points.front());
    const int to = ends ? *ends : net_.add_node(points.back());
    if (begins) points.insert(points.begin(), net_.nodes[from].at);
    if (ends) points.push_back(net_.nodes[to].at);
    net_.add_edge(from, to, std::move(points));
  }

  const cv::Mat1b& on_;
  cv::Mat1i junction_;  // 0: none, else the node's number and 1
  cv::Mat1b seen_;
  LineNetwork net_;
};

}  // namespace

LineNetwork trace_skeleton(const cv::Mat1b& skeleton) { return Tracer(skeleton).run(); }

}  // namespace batten
