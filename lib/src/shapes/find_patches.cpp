#include "shapes/find_patches.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "base/plane_cv.h"

namespace batten {
namespace {

// Graphite and paper have a grain of about a pixel at 300 dpi; pictures without noise need no smoothing to see the ink.
double smoothing_for(double noise) { return noise < 0.004 ? 0.6 : 1.2; }

// Upper quartile of smoothed ink above the threshold, from a histogram.
double sheet_top(const cv::Mat1f& smooth, double threshold) {
  std::vector<std::int64_t> bins(1024, 0);
  std::int64_t total = 0;
  for (const float v : smooth)
    if (v > threshold) ++bins[std::size_t(std::clamp(int(v * 1000), 0, 1023))], ++total;
  std::int64_t seen = 0;
  for (std::size_t i = 0; i < bins.size(); ++i)
    if ((seen += bins[i]) >= 0.75 * double(total)) return double(i) / 1000;
  return 0;
}

struct Components {
  cv::Mat1i labels;
  std::vector<PixelBox> boxes;  // [0] is unused
};

Components components_of(const cv::Mat1b& mask) {
  Components c;
  cv::Mat stats, centres;
  const int n = cv::connectedComponentsWithStats(mask, c.labels, stats, centres, 8, CV_32S);
  for (int i = 0; i < n; ++i)
    c.boxes.push_back({stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                       stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)});
  return c;
}

// Components that are nowhere as dark as a faint line: grain of the paper, smears. They must not link what is drawn.
void drop_faint(const cv::Mat1f& smooth, double least_peak, Components& c) {
  std::vector<float> peak(c.boxes.size(), 0);
  for (int y = 0; y < smooth.rows; ++y)
    for (int x = 0; x < smooth.cols; ++x) {
      float& p = peak[std::size_t(c.labels(y, x))];
      p = std::max(p, smooth(y, x));
    }
  for (int& label : c.labels)
    if (peak[std::size_t(label)] < least_peak) label = 0;
  for (std::size_t i = 1; i < c.boxes.size(); ++i)
    if (peak[i] < least_peak) c.boxes[i] = {};
}

Plane<float> masked_crop(const Plane<float>& ink, const cv::Mat1i& labels, int label, PixelBox box) {
  Plane<float> out(box.width, box.height);
  for (int y = 0; y < box.height; ++y)
    for (int x = 0; x < box.width; ++x)
      if (labels(box.y + y, box.x + x) == label) out.at(x, y) = ink.at(box.x + x, box.y + y);
  return out;
}

Kind kind_asked(const PatchMeasure& m, double noise, PixelBox box, Options::DrawingKind asked) {
  if (asked == Options::DrawingKind::outlined) return Kind::outlined;
  if (asked == Options::DrawingKind::filled) return Kind::filled;
  return kind_of(m, noise, box.longest());
}

struct Piece {
  PatchMeasure measure;
  Kind kind = Kind::outlined;
  bool worth = false;  // enough ink to tell its kind and width
};

// A piece shorter than this says nothing about its kind.
constexpr int least_piece_px = 40;

// Width of band that stands for pieces too small to tell: the median over the rest, by area.
double sheet_band(const std::vector<Piece>& pieces) {
  std::vector<std::pair<double, double>> bands;
  double total = 0;
  for (const Piece& p : pieces)
    if (p.worth && p.kind == Kind::outlined)
      bands.push_back({p.measure.band_px, p.measure.area_px2}), total += p.measure.area_px2;
  std::sort(bands.begin(), bands.end());
  double seen = 0;
  for (const auto& [band, area] : bands)
    if ((seen += area) >= total / 2) return band;
  return 6;  // a pencil line at 300 dpi
}

// Pixels nearer than `reach_px` (by piece; 0: no outlined ink) to a piece of outlined ink, and those of such pieces.
cv::Mat1b region_near(const cv::Mat1i& labels, const std::vector<float>& reach_px) {
  cv::Mat1b away(labels.size());
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) away(y, x) = reach_px[std::size_t(labels(y, x))] > 0 ? 0 : 255;
  cv::Mat1f distance;
  cv::Mat1i nearest;
  cv::distanceTransform(away, distance, nearest, cv::DIST_L2, 5, cv::DIST_LABEL_CCOMP);
  std::vector<float> reach(1, 0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) {
      if (away(y, x)) continue;
      const std::size_t n = std::size_t(nearest(y, x));
      if (n >= reach.size()) reach.resize(n + 1, 0);
      reach[n] = reach_px[std::size_t(labels(y, x))];
    }
  cv::Mat1b region(labels.size());
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      region(y, x) = distance(y, x) <= reach[std::size_t(nearest(y, x))] && (labels(y, x) == 0 || away(y, x) == 0);
  return region;
}

// Pieces of outlined ink nearer to each other than 0.8 W of either belong to one patch: lines have gaps. In strips of
// rows, so that a stop is heard between them; each is looked at with what can reach into it.
void join_outlined(cv::Mat1i& labels, const std::vector<Piece>& pieces, double default_band, int threads,
                   const std::stop_token& stop) {
  std::vector<float> reach_px(pieces.size(), 0);
  for (std::size_t i = 1; i < pieces.size(); ++i)
    if (pieces[i].kind == Kind::outlined)
      reach_px[i] = float(0.8 * (pieces[i].worth ? pieces[i].measure.band_px : default_band));
  const int beside = int(std::ceil(*std::max_element(reach_px.begin(), reach_px.end()))) + 1;
  constexpr int strip_px = 256;
  cv::Mat1b region(labels.size());
  const auto look = [&](std::size_t strip) {
    if (stop.stop_requested()) return;
    const int y = int(strip) * strip_px;
    const cv::Range own(y, std::min(y + strip_px, labels.rows));
    const cv::Range seen(std::max(0, own.start - beside), std::min(labels.rows, own.end + beside));
    region_near(labels.rowRange(seen), reach_px)
        .rowRange(own.start - seen.start, own.end - seen.start)
        .copyTo(region.rowRange(own));
  };
  share_out(std::size_t((labels.rows + strip_px - 1) / strip_px), threads, look, [](std::size_t) {});
  if (stop.stop_requested()) return;
  cv::Mat1i joined;
  cv::connectedComponents(region, joined, 8, CV_32S);
  if (stop.stop_requested()) return;
  const int first = int(pieces.size());  // filled pieces keep their numbers, joined ones come after
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (joined(y, x) > 0) labels(y, x) = first + joined(y, x) - 1;
}

// Dust and smears: too small for its own width to be a shape, or far fainter than what was drawn.
bool is_speck(const PatchMeasure& m, Kind kind, PixelBox box, double top, bool crisp) {
  if (m.top < 0.3 * top) return true;
  if (kind == Kind::outlined) return box.longest() < 6 * m.band_px || box.longest() < 18;
  return m.area_px2 < (crisp ? 12 : 150);
}

void report_specks(const std::vector<PixelBox>& specks, std::vector<Finding>& findings) {
  if (specks.empty()) return;
  const PixelBox largest =
      *std::max_element(specks.begin(), specks.end(), [](PixelBox a, PixelBox b) { return a.longest() < b.longest(); });
  Finding f;
  f.what = Finding::What::dropped_speck;
  f.place = {largest.x + largest.width / 2., largest.y + largest.height / 2.};
  f.amount_px = largest.longest();
  f.text = std::to_string(specks.size()) + (specks.size() == 1 ? " speck or smear was" : " specks or smears were") +
           " left out; the largest is " + std::to_string(largest.longest()) + " px long.";
  findings.push_back(f);
}

std::vector<PixelBox> boxes_of(const cv::Mat1i& labels) {
  struct Extent {
    int x0 = 1 << 30, y0 = 1 << 30, x1 = -1, y1 = -1;
  };
  std::vector<Extent> extents;
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) {
      const std::size_t l = std::size_t(labels(y, x));
      if (l >= extents.size()) extents.resize(l + 1);
      Extent& e = extents[l];
      e.x0 = std::min(e.x0, x), e.y0 = std::min(e.y0, y), e.x1 = std::max(e.x1, x), e.y1 = std::max(e.y1, y);
    }
  std::vector<PixelBox> boxes;
  for (const Extent& e : extents)
    boxes.push_back(e.x1 < 0 ? PixelBox{} : PixelBox{e.x0, e.y0, e.x1 - e.x0 + 1, e.y1 - e.y0 + 1});
  return boxes;
}

std::vector<double> areas_of(const std::vector<PixelBox>& boxes) {
  std::vector<double> out;
  for (const PixelBox& b : boxes) out.push_back(double(b.width) * b.height);
  return out;
}

}  // namespace

PixelBox grown(PixelBox box, int margin_px, int width, int height) {
  const int x0 = std::max(0, box.x - margin_px), y0 = std::max(0, box.y - margin_px);
  const int x1 = std::min(width, box.x + box.width + margin_px), y1 = std::min(height, box.y + box.height + margin_px);
  return {x0, y0, x1 - x0, y1 - y0};
}

Plane<float> ink_of_patch(const Ink& ink, const Patches& patches, const Patch& patch, PixelBox box) {
  return masked_crop(ink.ink, as_mat(patches.labels), patch.label, box);
}

Result<Patches> find_patches(const Ink& ink, const Options& options, Progress& progress,
                             std::vector<Finding>& findings) {
  const int width = ink.ink.width, height = ink.ink.height;
  const double smoothing = smoothing_for(ink.noise), threshold = ink_threshold(ink.noise);
  const cv::Mat1f smooth = gauss(as_mat(ink.ink), smoothing);
  if (progress.stopped()) return progress.cancelled();
  const double top = sheet_top(smooth, threshold);
  if (progress.stopped()) return progress.cancelled();
  Patches out;
  if (top <= 0) return out;
  cv::Mat1b mask = smooth > std::max(0.12 * top, threshold);
  if (progress.stopped()) return progress.cancelled();
  cv::dilate(mask, mask, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  if (progress.stopped()) return progress.cancelled();
  Components c = components_of(mask);
  if (progress.stopped()) return progress.cancelled();
  drop_faint(smooth, 0.3 * top, c);
  if (progress.stopped()) return progress.cancelled();
  progress.advance(0.3);
  const auto measure = [&](int label, PixelBox box) {
    return measure_patch(masked_crop(ink.ink, c.labels, label, grown(box, 4, width, height)), ink.noise, smoothing,
                         progress.stop_token());
  };
  std::vector<Piece> pieces(c.boxes.size());
  const auto weigh = [&](std::size_t i) {
    if (i == 0 || progress.stopped() || c.boxes[i].longest() < least_piece_px) return;
    pieces[i].measure = measure(int(i), c.boxes[i]);
    pieces[i].worth = pieces[i].measure.top >= 0.3 * top;
    if (pieces[i].worth) pieces[i].kind = kind_asked(pieces[i].measure, ink.noise, c.boxes[i], options.drawing);
  };
  share_out_by_size(areas_of(c.boxes), options.threads, weigh, [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  const bool crisp = ink.noise < 0.004;
  if (crisp)  // nothing to tell from grain: small pieces are dots
    for (std::size_t i = 1; i < pieces.size(); ++i)
      if (!pieces[i].worth) pieces[i].kind = kind_asked({}, ink.noise, {}, options.drawing);
  join_outlined(c.labels, pieces, sheet_band(pieces), options.threads, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  progress.advance(0.7);

  const std::vector<PixelBox> boxes = boxes_of(c.labels);
  if (progress.stopped()) return progress.cancelled();
  const auto is_dust = [&](PixelBox box) { return box.longest() < 12 && !crisp; };
  std::vector<PatchMeasure> measures(boxes.size());
  const auto measure_again = [&](std::size_t i) {
    if (i > 0 && boxes[i].width > 0 && !is_dust(boxes[i]) && !progress.stopped())
      measures[i] = measure(int(i), boxes[i]);
  };
  share_out_by_size(areas_of(boxes), options.threads, measure_again, [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  std::vector<PixelBox> specks;
  for (std::size_t i = 1; i < boxes.size(); ++i) {
    if (boxes[i].width == 0) continue;
    const Patch p{int(i), boxes[i], i < pieces.size() ? pieces[i].kind : Kind::outlined, measures[i]};
    if (is_dust(p.box) || is_speck(p.measure, p.kind, p.box, top, crisp))
      specks.push_back(p.box);
    else
      out.patches.push_back(p);
  }
  report_specks(specks, findings);
  out.labels = Plane<std::int32_t>(width, height);
  c.labels.copyTo(as_mat(out.labels));
  progress.advance(1);
  return out;
}

}  // namespace batten
