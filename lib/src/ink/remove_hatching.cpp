#include "ink/remove_hatching.h"

#include <array>
#include <cmath>
#include <numeric>

#include "base/parallel.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "base/vec.h"
#include "ink/bounded_distance.h"
#include "ink/extend_notches.h"
#include "ink/flood_markers.h"

namespace batten {
namespace {

// What the strokes of this sheet are like.
struct Pencil {
  double top = 0;        // ink of a strong stroke
  double least = 0;      // ink that belongs to a stroke
  double stroke_px = 0;  // width of a stroke
};

constexpr double smoothing_px = 0.8;  // the grain of paper and graphite

// How hatching is looked for: open, with paper between the strokes; and, where that finds none, close, where strokes
// cross so closely that only what is half as dark as a strong one can be told from the paper between.
struct Looking {
  double stroke_share;  // ink that belongs to a stroke, over the ink of a strong one
  // Of the inside of a hatched solid: share over half the ink of a strong stroke; pieces of ink or paper by which it is
  // hatching; and by which it is if their directions say so.
  double most_dark;
  int many_pieces, some_pieces;
};
// Of 32 simulated letters all but one had 52 pieces and more, those with one direction of strokes a directed share of
// about 0.6 and more. What has gaps as narrow without being hatched (small letters, drawings coloured in with pencil)
// had 47 pieces at most, and 32 where it was directed. Hatched letters are dark up to 0.55, dense shading from 0.8 on.
constexpr Looking open_strokes{0.22, 0.65, 60, 20};
// Ten cross-hatched letters had 193 to 586 pieces of paper and were dark up to 0.79. What was not hatched had at most
// 47 (a drawing coloured in with pencil), dense shading 3.
constexpr Looking close_strokes{0.5, 0.82, 100, 40};

// No stroke is half as broad; the middles of black shapes may lie deeper.
constexpr int deepest_stroke_px = 64;

// Without a width of stroke where nothing was drawn, and when asked to stop.
Pencil pencil_of(double noise, const cv::Mat1f& smooth, const Looking& looking, Reach reach) {
  reach.px = deepest_stroke_px;
  Pencil out;
  std::vector<float> strong;
  for (const float v : all_values(smooth))
    if (v > std::max(0.12, 4 * noise)) strong.push_back(v);
  if (strong.size() < 50) return out;
  out.top = quantile(std::move(strong), 0.8);
  out.least = std::max({0.06, 3 * noise, looking.stroke_share * out.top});
  out.stroke_px = 2 * median(ridge_depths(smooth > out.least, reach));
  return out;
}

// Strokes that lie so near to one another that hatching may join them: a letter, a drawing.
struct StrokeGroup {
  cv::Mat1f smooth;   // ink, smoothed by the grain
  cv::Mat1b ink;      // over the least of a stroke
  cv::Mat1f to_ink;   // px; 0 in the ink; known where this looks like hatching
  double gap_px = 0;  // half width of the widest gaps of the hatching
  double rim_px = 0;  // width of the line that runs round
};

// Gaps wider than this (half, in strokes) are looked at as paper and not as a place between strokes.
constexpr double widest_gap_strokes = 3.5;

// Half the mouth of a notch, in widths of the line round it.
constexpr double widest_notch_rims = 3;

// Half the width of the gaps: nearly the largest disc that fits between strokes, and a little more for where strokes
// end. 0 where this is no hatching: too little narrow paper, or gaps of all widths up to the widest, as between the
// lines and words of a diagram. In hatching 97 of 100 are narrower than 2.4 strokes (0.4 to 2.3 in 32 simulated
// letters).
double gap_radius(double stroke_px, const Reach& reach, StrokeGroup* d) {
  constexpr double least_share = 0.12, most_strokes = 2.4;
  const cv::Mat1b narrow = (opened(d->ink, widest_gap_strokes * stroke_px, reach) | d->ink) == 0;
  if (cv::countNonZero(narrow) < least_share * cv::countNonZero(d->ink) || reach.stop.stop_requested()) return 0;
  d->to_ink = distance_to(d->ink, reach);
  if (reach.stop.stop_requested()) return 0;
  const cv::Mat1b ridge = ridge_of(narrow, d->to_ink);
  if (reach.stop.stop_requested()) return 0;
  const std::vector<float> radii = values_at(d->to_ink, ridge & (d->to_ink > 0.3 * stroke_px));
  if (radii.size() < 100) return 0;
  const double radius = quantile(radii, 0.97);
  return radius > most_strokes * stroke_px ? 0 : std::max(radius + 0.5 * stroke_px, 1.1 * stroke_px);
}

// Width of the line beside wide paper.
double rim_width(const StrokeGroup& d, const cv::Mat1b& wide, double stroke_px, const Reach& reach) {
  const cv::Mat1f depth = distance_to(d.ink == 0, reach);
  if (reach.stop.stop_requested()) return stroke_px;
  const cv::Mat1f to_wide = distance_to(wide, reach);
  if (reach.stop.stop_requested()) return stroke_px;
  const std::vector<float> half = values_at(depth, ridge_of(d.ink, depth) & (to_wide < 2 * stroke_px));
  return half.size() < 20 ? stroke_px : 2 * median(half);
}

// Labels 1 (outside), 2 .. (counters): paper wider than the gaps of hatching.
Plane<std::int32_t> mark_paper(const StrokeGroup& d, const cv::Mat1b& wide) {
  cv::Mat1i pieces;
  const int count = cv::connectedComponents(wide, pieces, 4, CV_32S);
  std::vector<float> widest(std::size_t(count), 0);
  std::vector<int> area(std::size_t(count), 0);
  std::vector<char> outside(std::size_t(count), 0);
  for (int y = 0; y < wide.rows; ++y)
    for (int x = 0; x < wide.cols; ++x) {
      const std::size_t k = std::size_t(pieces(y, x));
      widest[k] = std::max(widest[k], d.to_ink(y, x)), ++area[k];
      if (x == 0 || y == 0 || x + 1 == wide.cols || y + 1 == wide.rows) outside[k] = 1;
    }
  std::vector<std::int32_t> label(std::size_t(count), 0);
  std::int32_t next = 2;
  for (std::size_t k = 1; k < label.size(); ++k) {
    if (outside[k])
      label[k] = 1;
    else if (area[k] >= 5 * d.gap_px * d.gap_px && widest[k] >= 1.5 * d.gap_px + 1)  // else one of the gaps
      label[k] = next++;
  }
  Plane<std::int32_t> out(wide.cols, wide.rows, 0);
  for (int y = 0; y < wide.rows; ++y)
    for (int x = 0; x < wide.cols; ++x) out.at(x, y) = label[std::size_t(pieces(y, x))];
  return out;
}

// Wide paper runs on into notches that taper: openings by smaller and smaller discs are added where they touch it, as
// long as they are no wider than their mouth. A leak into the hatching widens behind its mouth.
void grow_into_notches(const StrokeGroup& d, double stroke_px, const Reach& reach, Plane<std::int32_t>* marks) {
  for (double radius = d.gap_px, before = radius; radius > 0.4 * stroke_px; before = radius) {
    radius = std::max(radius - std::max(0.7, 0.15 * radius), 0.4 * stroke_px - 1e-9);
    const cv::Mat1i marked = as_mat(*marks);
    const cv::Mat1b free = marked == 0;
    const cv::Mat1f to_marks = distance_to(free == 0, reach);
    const cv::Mat1b narrower = opened(d.ink, radius, reach) & free;
    if (reach.stop.stop_requested()) return;
    cv::Mat1i pieces;
    const int count = cv::connectedComponents(narrower, pieces, 4, CV_32S);
    std::vector<float> widest(std::size_t(count), 0), farthest(std::size_t(count), 0);
    std::vector<std::int32_t> neighbour(std::size_t(count), 0);
    for (int y = 1; y + 1 < free.rows; ++y)
      for (int x = 1; x + 1 < free.cols; ++x) {
        const std::size_t k = std::size_t(pieces(y, x));
        if (k == 0) continue;
        widest[k] = std::max(widest[k], d.to_ink(y, x)), farthest[k] = std::max(farthest[k], to_marks(y, x));
        if (to_marks(y, x) < 1.5)
          for (const std::int32_t m : {marked(y - 1, x), marked(y, x - 1), marked(y, x + 1), marked(y + 1, x)})
            neighbour[k] = std::max(neighbour[k], m);
      }
    for (int y = 0; y < free.rows; ++y)
      for (int x = 0; x < free.cols; ++x) {
        const std::size_t k = std::size_t(pieces(y, x));
        if (k > 0 && neighbour[k] > 0 && widest[k] < before + 1 && farthest[k] < 2.2 * d.gap_px)
          marks->at(x, y) = neighbour[k];
      }
  }
}

// Share of the gradient's energy inside `where` that lies within 15 degrees of the two most frequent directions of
// strokes: a third where they run anyhow, and nearly all where somebody hatched.
double directed_share(const cv::Mat1f& smooth, const cv::Mat1b& where) {
  constexpr int bins = 36, half_window = 3;  // of five degrees
  cv::Mat1f gx, gy;
  cv::Sobel(smooth, gx, CV_32F, 1, 0);
  cv::Sobel(smooth, gy, CV_32F, 0, 1);
  std::array<double, bins> energy{};
  double all = 0;
  for (int y = 0; y < where.rows; ++y)
    for (int x = 0; x < where.cols; ++x) {
      if (!where(y, x)) continue;
      const double e = double(gx(y, x)) * gx(y, x) + double(gy(y, x)) * gy(y, x);
      const double turn = std::atan2(gy(y, x), gx(y, x)) / pi + 1;  // 0..2; opposite directions are one
      energy[std::size_t(std::fmod(turn, 1.0) * bins) % bins] += e, all += e;
    }
  double found = 0;
  for (int peak = 0; peak < 2 && all > 0; ++peak) {
    int best = 0;
    double most = -1;
    for (int k = 0; k < bins; ++k) {
      double sum = 0;
      for (int j = -half_window; j <= half_window; ++j) sum += energy[std::size_t((k + j + bins) % bins)];
      if (sum > most) most = sum, best = k;
    }
    found += most;
    for (int j = -half_window; j <= half_window; ++j) energy[std::size_t((best + j + bins) % bins)] = 0;
  }
  return all > 0 ? found / all : 0;
}

// How many separate pieces of at least that area there are.
int pieces_of(const cv::Mat1b& mask, double least_area_px2) {
  const std::vector<int> areas_px2 = connected_pieces(mask, 4).areas_px2;
  return int(std::count_if(areas_px2.begin() + 1, areas_px2.end(), [&](int a) { return a >= least_area_px2; }));
}

constexpr double least_strokes2 = 60;  // inside of a hatched solid, in squares of a stroke's width

// Is this hatching? `inner`: the inside of one solid, clear of the line round it; `group`: the same part of the sheet.
bool is_hatched(const StrokeGroup& group, const cv::Mat1b& inner, const Pencil& pencil, const Looking& looking) {
  constexpr double least_directed = 0.6;
  constexpr double least_covered = 0.2;
  const double stroke_px2 = pencil.stroke_px * pencil.stroke_px;
  const int area = cv::countNonZero(inner);
  if (area < least_strokes2 * stroke_px2) return false;
  if (cv::countNonZero(inner & group.ink) < least_covered * area) return false;
  if (cv::countNonZero(inner & (group.smooth > 0.5 * pencil.top)) > looking.most_dark * area) return false;
  // Strokes that do not meet are many pieces of ink, strokes that cross leave many pieces of paper.
  const int pieces =
      std::max(pieces_of(inner & group.ink, stroke_px2), pieces_of(inner & (group.ink == 0), stroke_px2));
  return pieces >= looking.many_pieces ||
         (pieces >= looking.some_pieces && directed_share(group.smooth, inner) >= least_directed);
}

// Marks the inside of every hatched solid with a label of its own, from `first` on. Returns how many.
int mark_hatched(const StrokeGroup& d, const Pencil& pencil, const Looking& looking, std::int32_t first,
                 const Reach& reach, Plane<std::int32_t>* marks) {
  const double s = pencil.stroke_px;
  const cv::Mat1b solid = as_mat(*marks) == 0;
  const cv::Mat1f depth = distance_to(solid == 0, reach);
  if (reach.stop.stop_requested()) return 0;
  const MaskPieces solids = connected_pieces(solid, 8);
  int found = 0;
  for (int k = 1; k < solids.count() && !reach.stop.stop_requested(); ++k) {
    if (solids.areas_px2[k] < least_strokes2 * s * s) continue;
    const cv::Rect box = as_rect(solids.boxes[k]);
    const cv::Mat1b inner = (solids.labels(box) == k) & (depth(box) > 0.75 * std::min(d.rim_px, 2 * s) + 0.4 * s);
    StrokeGroup part;
    part.smooth = d.smooth(box), part.ink = d.ink(box);
    if (!is_hatched(part, inner, pencil, looking)) continue;
    as_mat (*marks)(box).setTo(first + found, inner);
    ++found;
  }
  return found;
}

// Paper in the midst of hatching (a stroke was left out, or pressed too lightly to be seen) looks like a counter, but
// no line runs round it: where its region meets the hatched ones there is little ink beside that of the outline.
void absorb_gaps(const cv::Mat1f& crest, std::int32_t first, Plane<std::int32_t>* regions) {
  constexpr double least_line = 0.6;  // of 60 counters 0.88 and more of that round the letter, of two gaps 0.15
  std::vector<std::vector<float>> border(static_cast<std::size_t>(first));
  for (int y = 0; y + 1 < regions->height; ++y)
    for (int x = 0; x + 1 < regions->width; ++x)
      for (const std::int32_t beside : {regions->at(x + 1, y), regions->at(x, y + 1)}) {
        const auto [low, high] = std::minmax(regions->at(x, y), beside);
        if (low > 0 && low < first && high >= first) border[std::size_t(low)].push_back(crest(y, x));
      }
  const double outline = median(border[1]);
  std::vector<char> is_gap(border.size(), 0);
  for (std::size_t k = 2; k < border.size(); ++k)
    is_gap[k] = !border[k].empty() && median(border[k]) < least_line * outline;
  for (std::int32_t& r : regions->values)
    if (r >= 2 && r < first && is_gap[std::size_t(r)]) r = first;
}

// How much of the ink stays: 1 from outside up to the inner edge of the line, 0 two pixels farther in. The water meets
// near the crest, so 0.4 widths are nearly the edge: with 0.6 and a pixel the roots of the hatching drew the line
// inwards by 0.7 px, with 0.3 thin places of the line went.
cv::Mat1f share_that_stays(const StrokeGroup& d, const Plane<std::int32_t>& regions, std::int32_t first,
                           const Reach& reach) {
  const cv::Mat1b inside = as_mat(regions) >= first;
  cv::Mat1f depth = distance_to(inside == 0, reach);
  depth = 1 - (depth - 0.4 * d.rim_px) / 2;
  return cv::max(cv::min(depth, 1.f), 0.f);
}

// The crop of one drawing, its hatching faded out; empty where nothing is hatched.
cv::Mat1f without_hatching(const cv::Mat1f& ink, const Pencil& pencil, const Looking& looking, const Reach& reach) {
  const double s = pencil.stroke_px;
  StrokeGroup d;
  d.smooth = gauss(ink, smoothing_px);
  if (reach.stop.stop_requested()) return {};
  d.ink = d.smooth > pencil.least;
  d.gap_px = gap_radius(s, reach, &d);
  if (d.gap_px <= 0 || reach.stop.stop_requested()) return {};
  const cv::Mat1b wide = opened(d.ink, d.gap_px, reach);
  d.rim_px = rim_width(d, wide, s, reach);
  if (reach.stop.stop_requested()) return {};
  Plane<std::int32_t> marks = mark_paper(d, wide);
  if (reach.stop.stop_requested()) return {};
  grow_into_notches(d, s, reach, &marks);
  if (reach.stop.stop_requested()) return {};
  const cv::Mat1b wider = opened(as_mat(marks) == 0, widest_notch_rims * d.rim_px, reach);
  if (reach.stop.stop_requested()) return {};
  extend_notches(wider, d.to_ink, d.ink, d.rim_px, reach.stop, &marks);
  if (reach.stop.stop_requested()) return {};
  const std::int32_t first = *std::max_element(marks.values.begin(), marks.values.end()) + 1;
  const cv::Mat1f depth = distance_to(as_mat(marks) > 0, reach);
  if (reach.stop.stop_requested() || mark_hatched(d, pencil, looking, first, reach, &marks) == 0 ||
      reach.stop.stop_requested())
    return {};
  // Of equal crests the outermost is the line that runs round, so the water is let in a little easier from inside.
  const cv::Mat1f crest = gauss(ink, std::max(1.0, 0.35 * d.rim_px));
  Plane<float> height(ink.cols, ink.rows);
  as_mat(height) = crest - 0.02 * pencil.top * cv::min(depth, 3.5 * s);
  if (reach.stop.stop_requested()) return {};
  flood_markers(height, &marks, reach.stop);
  if (reach.stop.stop_requested()) return {};
  absorb_gaps(crest, first, &marks);
  return ink.mul(share_that_stays(d, marks, first, reach));
}

// Largest distance over the width of a stroke that is asked about: three widths of the line round a shape, which is at
// most four strokes broad where it lies beside wide paper; and a stroke to spare.
constexpr double farthest_strokes = 13;

Reach reach_of(const Pencil& pencil, int threads, const std::stop_token& stop) {
  return {std::clamp(int(std::ceil(farthest_strokes * pencil.stroke_px)), 64, farthest_px), threads, stop};
}

// The crop without its hatching, which is looked for as open strokes first; empty where there is none.
cv::Mat1f cleared(const cv::Mat1f& crop, double noise, const Pencil& pencil, const Reach& reach) {
  cv::Mat1f left = without_hatching(crop, pencil, open_strokes, reach);
  if (!left.empty() || reach.stop.stop_requested()) return left;
  const Pencil close = pencil_of(noise, gauss(crop, smoothing_px), close_strokes, reach);
  if (close.stroke_px > 0)
    left = without_hatching(crop, close, close_strokes, reach_of(close, reach.threads, reach.stop));
  return left;
}

Finding hatching_left_out(const cv::Rect& box) {
  Finding f;
  f.what = Finding::What::hatching_removed;
  f.place = {box.x + box.width / 2.0, box.y + box.height / 2.0};
  f.amount_px = std::max(box.width, box.height);
  f.text = "A shape is outlined and hatched in: the outline was traced, and the hatching was left out.";
  return f;
}

}  // namespace

Result<Ink> remove_hatching(Ink ink, const Progress& progress, int threads, std::vector<Finding>* findings) {
  const std::stop_token& stop = progress.stop_token();
  const cv::Mat1f smooth = gauss(as_mat(ink.ink), smoothing_px);
  if (progress.stopped()) return progress.cancelled();
  const Pencil pencil = pencil_of(ink.noise, smooth, open_strokes, {farthest_px, threads, stop});
  if (progress.stopped()) return progress.cancelled();
  if (pencil.stroke_px <= 0) return ink;
  const Reach reach = reach_of(pencil, threads, stop);
  const cv::Mat1b joined = opened(smooth > pencil.least, widest_gap_strokes * pencil.stroke_px, reach) == 0;
  if (progress.stopped()) return progress.cancelled();
  const MaskPieces groups = connected_pieces(joined, 8);
  if (progress.stopped()) return progress.cancelled();
  const int margin = int(std::ceil(8 * pencil.stroke_px));
  std::vector<double> areas;
  for (int k = 0; k < groups.count(); ++k) {
    const PixelBox& box = groups.boxes[k];
    const bool looked_at = k > 0 && std::min(box.width, box.height) >= 6 * pencil.stroke_px;
    areas.push_back(looked_at ? box.area_px2() : 0);
  }
  const double all = std::accumulate(areas.begin(), areas.end(), 0.);
  std::vector<char> found(areas.size(), 0);
  const auto look = [&](std::size_t k) {  // each reads and writes pixels of its own group only
    if (areas[k] <= 0 || stop.stop_requested()) return;
    const cv::Rect box = as_rect(groups.boxes[k]);
    const cv::Mat1b own = groups.labels(box) == int(k);
    cv::Mat1f crop;
    as_mat(ink.ink)(box).copyTo(crop, own);
    if (stop.stop_requested()) return;
    cv::copyMakeBorder(crop, crop, margin, margin, margin, margin, cv::BORDER_CONSTANT, 0);
    // A group larger than all others together would leave the other threads without work.
    Reach within = reach;
    within.threads = areas[k] > 0.5 * all ? threads : 1;
    const cv::Mat1f left = cleared(crop, ink.noise, pencil, within);
    if (left.empty() || stop.stop_requested()) return;
    left(cv::Rect(margin, margin, box.width, box.height)).copyTo(as_mat(ink.ink)(box), own);
    found[k] = 1;
  };
  share_out_by_size(areas, threads, look, [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  for (std::size_t k = 0; k < found.size(); ++k)
    if (found[k]) findings->push_back(hatching_left_out(as_rect(groups.boxes[k])));
  return ink;
}

}  // namespace batten
