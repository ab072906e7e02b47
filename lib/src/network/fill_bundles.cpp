#include "network/fill_bundles.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/parallel.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "network/discs.h"

namespace batten {
namespace {

// The piece's own crests once closed say whether it is one wide line: nearly everywhere wider than its strokes by a
// quarter (words fill up, but the lines round them do not), of one width (the widest tenth less than half as wide
// again), full to four fifths, and long against its width.
bool is_bundle(const std::vector<float>& band, const std::vector<float>& strokes, double full, double area_px2) {
  if (band.empty() || strokes.empty()) return false;
  const double half = median(band);
  return quantile(band, 0.25) > 1.25 * median(strokes) && full > 0.8 && quantile(band, 0.9) < 1.5 * half &&
         area_px2 > 60 * 4 * half * half;
}

struct Hole {
  cv::Rect box;
  int area_px2 = 0;
  float depth = 0;  // half its width
  cv::Point first;  // its first pixel in the first row
};

// Width of the lines round a hole: the median over the crests no farther off than a line of its mask is wide.
double width_beside(const cv::Mat1f& depth, const cv::Mat1b& crest, const cv::Mat1i& labels, const Hole& hole,
                    int label, double reach_px) {
  const int reach = std::max(2, int(std::ceil(reach_px)));
  const cv::Rect at =
      cv::Rect(hole.box.x - reach, hole.box.y - reach, hole.box.width + 2 * reach, hole.box.height + 2 * reach) &
      cv::Rect(0, 0, labels.cols, labels.rows);
  cv::Mat1b near;
  cv::dilate(labels(at) == label, near, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  std::vector<float> half = values_at(depth(at), near & crest(at));
  return half.empty() ? 0 : 2 * median(std::move(half));
}

// Width of the line at each label of a mask: the median over its crests.
std::vector<double> widths_of(const cv::Mat1f& depth, const cv::Mat1b& crest, const cv::Mat1i& labels, int count) {
  std::vector<std::vector<float>> half(static_cast<std::size_t>(count));
  for (int y = 0; y < depth.rows; ++y) {
    const std::uint8_t* on = crest[y];
    for (int x = 0; x < depth.cols; ++x)
      if (on[x]) half[labels(y, x)].push_back(depth(y, x));
  }
  std::vector<double> out(std::size_t(count), 3);
  for (std::size_t i = 1; i < half.size(); ++i)
    if (!half[i].empty()) out[i] = 2 * median(std::move(half[i]));
  return out;
}

// Does a hole (pixels of one label within its box) hold an island of line?
bool has_island(const cv::Mat1i& labels, const Hole& hole, int label) {
  cv::Mat1b other;
  cv::copyMakeBorder(labels(hole.box) != label, other, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(255));
  cv::Mat1i ignored;
  return cv::connectedComponents(other, ignored, 8, CV_32S) > 2;
}

std::vector<Hole> holes_of(const cv::Mat1f& depth, const cv::Mat1i& labels, int count) {
  std::vector<Hole> out(static_cast<std::size_t>(count));
  for (int y = 0; y < labels.rows; ++y) {
    const int* label = labels[y];
    const float* deep = depth[y];
    for (int x = 0, first = 0; x < labels.cols; first = x) {
      Hole& hole = out[label[first]];
      for (; x < labels.cols && label[x] == label[first]; ++x) hole.depth = std::max(hole.depth, deep[x]);
      if (hole.area_px2 == 0) hole.first = {first, y}, hole.box = {first, y, x - first, 1};
      hole.area_px2 += x - first;
      hole.box |= cv::Rect(first, y, x - first, 1);
    }
  }
  return out;
}

}  // namespace

double thin_ridge_px(const cv::Mat1b& mask) {
  const cv::Mat1f depth = depth_in(mask);
  const std::vector<float> half = values_at(depth, crests_of(depth));
  return half.empty() ? 4 : std::max(2.5, 2. * quantile(half, 0.25));
}

cv::Mat1b fill_bundles(const cv::Mat1b& mask, double stroke_px, int threads, const std::stop_token& stop) {
  const cv::Mat1b whole = closed(mask, 1.2 * stroke_px);
  if (stop.stop_requested()) return mask;
  cv::Mat1f depth_closed, depth;
  cv::Mat1b crest_closed, crest;
  MaskPieces pieces;
  const auto look = [&](std::size_t part) {  // the closed mask and the mask itself know nothing of each other
    if (part == 0) {
      depth_closed = depth_in(whole), crest_closed = crests_of(depth_closed);
    } else {
      depth = depth_in(mask), crest = crests_of(depth) & mask;
      pieces = connected_pieces(whole, 8);
    }
  };
  share_out(2, threads, look, [](std::size_t) {});
  if (stop.stop_requested()) return mask;
  cv::Mat1b out = mask.clone();
  for (int i = 1; i < pieces.count() && !stop.stop_requested(); ++i) {
    const double area_px2 = pieces.areas_px2[i];
    if (area_px2 < 60 * stroke_px * stroke_px) continue;
    const cv::Rect at = as_rect(pieces.boxes[i]);
    const cv::Mat1b piece = pieces.labels(at) == i;
    const std::vector<float> wide = values_at(depth_closed(at), piece & crest_closed(at));
    const double full = cv::countNonZero(piece & mask(at)) / area_px2;
    if (!is_bundle(wide, values_at(depth(at), piece & crest(at)), full, area_px2)) continue;
    cv::Mat1b even;
    cv::medianBlur(piece, even, 2 * std::max(1, int(0.35 * median(wide))) + 1);
    even.copyTo(out(at), piece);
  }
  return out;
}

cv::Mat1b fill_slivers(cv::Mat1b mask, int threads, const std::stop_token& stop) {
  for (int round = 0; round < 4 && !stop.stop_requested(); ++round) {
    cv::Mat1i lines, paper;
    cv::Mat1f depth;
    cv::Mat1b crest;
    std::vector<double> width_px;
    std::vector<Hole> holes;
    int count = 0;
    const auto look = [&](std::size_t part) {  // lines and paper know nothing of each other
      if (part == 0) {
        const int line_count = cv::connectedComponents(mask, lines, 8, CV_32S);
        depth = depth_in(mask), crest = crests_of(depth) & mask;
        width_px = widths_of(depth, crest, lines, line_count);
      } else {
        const cv::Mat1b bare = mask == 0;
        count = cv::connectedComponents(bare, paper, 4, CV_32S);
        holes = holes_of(depth_in(bare), paper, count);
      }
    };
    share_out(2, threads, look, [](std::size_t) {});
    if (stop.stop_requested()) break;
    const double widest = *std::max_element(width_px.begin(), width_px.end());
    std::vector<char> fill(holes.size(), 0);
    bool any = false;
    for (int i = 1; i < count && !stop.stop_requested(); ++i) {
      const Hole& hole = holes[i];
      const cv::Rect& b = hole.box;
      if (hole.depth > 0.8 * widest || b.x == 0 || b.y == 0 || b.br().x == mask.cols || b.br().y == mask.rows) continue;
      const double own = width_px[lines(hole.first.y - 1, hole.first.x)];
      // 0.3 px: the distance to paper is measured from pixel to pixel.
      const bool thin = hole.depth < 0.35 * own + 0.3;
      const bool sliver = hole.depth < 0.8 * own && hole.area_px2 > 9 * hole.depth * hole.depth &&
                          !has_island(paper, hole, i) &&
                          hole.depth < 0.8 * width_beside(depth, crest, paper, hole, i, own);
      fill[i] = thin || sliver, any |= fill[i] != 0;
    }
    if (!any) break;
    for (int y = 0; y < mask.rows; ++y)
      for (int x = 0; x < mask.cols; ++x)
        if (fill[paper(y, x)]) mask(y, x) = 255;
  }
  return mask;
}

}  // namespace batten
