#include "shapes/find_patches.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "ink/bounded_distance.h"
#include "ink/pin_ink.h"
#include "shapes/pinned_kinds.h"

namespace batten {
namespace {

// Ink paler than this share of the sheet's own is no line but grain, a smear or an eraser's trace.
constexpr double faint = 0.3;

// Upper quartile of smoothed ink above the threshold, from a histogram.
double sheet_top(const cv::Mat1f& smooth, double threshold) {
  std::vector<std::int64_t> bins(1024, 0);
  std::int64_t total = 0;
  for (const float v : all_values(smooth))
    if (v > threshold) ++bins[std::size_t(std::clamp(int(v * 1000), 0, 1023))], ++total;
  std::int64_t seen = 0;
  for (std::size_t i = 0; i < bins.size(); ++i)
    if ((seen += bins[i]) >= 0.75 * double(total)) return double(i) / 1000;
  return 0;
}

// Removes components that are nowhere as dark as a faint line: grain of the paper, smears. They must not link what is
// drawn.
void drop_faint(const cv::Mat1f& smooth, double least_peak, int count, Plane<std::int32_t>* labels) {
  std::vector<float> peak(count, 0);
  const std::span<const float> ink = all_values(smooth);
  for (std::size_t i = 0; i < ink.size(); ++i)
    if (const int label = labels->values[i]; label > 0) peak[label] = std::max(peak[label], ink[i]);
  for (int& label : labels->values)
    if (label > 0 && peak[label] < least_peak) label = 0;
}

Plane<float> masked_crop(const Plane<float>& ink, const Plane<std::int32_t>& labels, int label, PixelBox box) {
  Plane<float> out(box.width, box.height);
  for (int y = 0; y < box.height; ++y) {
    const std::int32_t* own = labels.row(box.y + y) + box.x;
    const float* from = ink.row(box.y + y) + box.x;
    float* to = out.row(y);
    for (int x = 0; x < box.width; ++x) to[x] = own[x] == label ? from[x] : 0;
  }
  return out;
}

Kind kind_asked(const PatchMeasure& m, PixelBox box, Options::DrawingKind asked) {
  if (asked == Options::DrawingKind::outlined || asked == Options::DrawingKind::lines) return Kind::outlined;
  if (asked == Options::DrawingKind::filled) return Kind::filled;
  return kind_of(m, box.longest());
}

Kind kind_drawn(Pin::Drawn drawn) { return drawn == Pin::Drawn::shaded ? Kind::filled : Kind::outlined; }

// Clears a mask where pins keep apart what touches.
void cut_mask(const std::vector<Pin>& pins, cv::Mat1b* mask) {
  constexpr int shift = 4;
  const auto place = [](Point p) {
    const Point g = grid_of({std::clamp(p.x, -1e5, 1e5), std::clamp(p.y, -1e5, 1e5)});
    return cv::Point(cvRound(g.x * (1 << shift)), cvRound(g.y * (1 << shift)));
  };
  for (const Pin& pin : pins)
    if (pin.kind == Pin::Kind::keep_apart)  // three pixels wide, so that no two touch across it, by a corner neither
      cv::line(*mask, place(pin.places[0]), place(pin.places[1]), 0, 3, cv::LINE_8, shift);
}

std::vector<double> areas_of(const std::vector<PixelBox>& boxes) {
  std::vector<double> out;
  for (const PixelBox& b : boxes) out.push_back(b.area_px2());
  return out;
}

struct Piece {
  PatchMeasure measure;
  Kind kind = Kind::outlined;
  bool telling = false;    // enough ink to tell its kind and width
  bool has_lines = false;  // a solid shape, and pale lines that lead up to it
};

// Lines that were taken for shapes by themselves, although a larger line of the same pencil lies beside them.
void find_lines_beside(std::vector<Piece>* pieces) {
  std::vector<std::size_t> found;
  for (std::size_t i = 1; i < pieces->size(); ++i) {
    const Piece& p = (*pieces)[i];
    if (!p.telling || p.kind != Kind::filled) continue;
    const auto is_like = [&](const Piece& other) {
      return other.telling && other.kind == Kind::outlined && is_line_beside(p.measure, other.measure);
    };
    if (std::any_of(pieces->begin(), pieces->end(), is_like)) found.push_back(i);
  }
  for (const std::size_t i : found) (*pieces)[i].kind = Kind::outlined;
}

// A piece shorter than this says nothing about its kind.
constexpr int least_piece_px = 40;

// The width of band that pieces too small to tell are taken to have: the median of the others, weighted by area.
double sheet_band_px(const std::vector<Piece>& pieces) {
  std::vector<std::pair<double, double>> bands;
  double total = 0;
  for (const Piece& p : pieces)
    if (p.telling && p.kind == Kind::outlined)
      bands.push_back({p.measure.band_px, p.measure.area_px2}), total += p.measure.area_px2;
  std::sort(bands.begin(), bands.end());
  double seen = 0;
  for (const auto& [band, area] : bands)
    if ((seen += area) >= total / 2) return band;
  return 6;  // a pencil line at 300 dpi
}

// Marks the pixels whose nearest piece of outlined ink lies within its own margin.
void mark_near_unlike(const cv::Mat1i& labels, const std::vector<float>& margin_px, cv::Mat1b* region) {
  cv::Mat1b away(labels.size());
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) away(y, x) = margin_px[labels(y, x)] > 0 ? 0 : 255;
  cv::Mat1f distance;
  cv::Mat1i nearest;
  cv::distanceTransform(away, distance, nearest, cv::DIST_L2, 5, cv::DIST_LABEL_CCOMP);
  std::vector<float> margin_of_nearest(1, 0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) {
      if (away(y, x)) continue;
      const std::size_t n = std::size_t(nearest(y, x));
      if (n >= margin_of_nearest.size()) margin_of_nearest.resize(n + 1, 0);
      margin_of_nearest[n] = margin_px[labels(y, x)];
    }
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (distance(y, x) <= margin_of_nearest[nearest(y, x)]) (*region)(y, x) = 255;
}

// The margin of the pieces in a part of the sheet; -1 where they have different ones.
float common_margin(const cv::Mat1i& labels, const std::vector<float>& margin_px) {
  float out = 0;
  for (int y = 0; y < labels.rows; ++y) {
    const int* row = labels[y];
    for (int x = 0; x < labels.cols; ++x) {
      const float own = row[x] > 0 ? margin_px[row[x]] : 0;
      if (own == 0 || own == out) continue;
      if (out > 0) return -1;
      out = own;
    }
  }
  return out;
}

// The same in a part of the sheet in which pieces lie near one another: only where different margins meet does it
// matter which piece is nearest.
void mark_near(const cv::Mat1i& labels, const std::vector<float>& margin_px, float widest_px, cv::Mat1b* region) {
  cv::Mat1b outlined(labels.size());
  for (int y = 0; y < labels.rows; ++y)
    std::transform(labels[y], labels[y] + labels.cols, outlined[y],
                   [&](int label) { return label > 0 && margin_px[label] > 0 ? 255 : 0; });
  const MaskPieces parts = connected_pieces(within(outlined, widest_px, {}), 8);
  for (int i = 1; i < parts.count(); ++i) {
    const cv::Rect box = as_rect(parts.boxes[i]);
    const cv::Mat1b own = parts.labels(box) == i;
    cv::Mat1i pieces(own.size(), 0);
    labels(box).copyTo(pieces, own);
    cv::Mat1b near(own.size(), std::uint8_t(0));
    if (const float margin = common_margin(pieces, margin_px); margin > 0)
      near = within(outlined(box) & own, margin, {});
    else
      mark_near_unlike(pieces, margin_px, &near);
    (*region)(box) |= near;
  }
  region->setTo(0, (labels > 0) & (outlined == 0));
}

// Boxes of parts of the sheet that lie apart by rows and then by columns, of the boxes of what is in them.
std::vector<PixelBox> boxes_apart(std::vector<PixelBox> boxes, bool by_rows = true) {
  const auto from = [&](const PixelBox& b) { return by_rows ? b.y : b.x; };
  const auto to = [&](const PixelBox& b) { return by_rows ? b.bottom() : b.right(); };
  std::sort(boxes.begin(), boxes.end(), [&](const PixelBox& a, const PixelBox& b) { return from(a) < from(b); });
  std::vector<PixelBox> out;
  for (auto first = boxes.begin(); first != boxes.end();) {
    PixelBox all;
    auto end = first;
    for (; end != boxes.end() && (all.empty() || from(*end) <= to(all)); ++end) all.add(*end);
    const std::vector<PixelBox> parts = by_rows ? boxes_apart({first, end}, false) : std::vector<PixelBox>{all};
    out.insert(out.end(), parts.begin(), parts.end());
    first = end;
  }
  return out;
}

// Pixels within the margin of a piece of outlined ink, and those of such pieces. `margin_px` is indexed by piece; 0
// says that it is no outlined ink.
cv::Mat1b region_near(const Plane<std::int32_t>& labels, const std::vector<float>& margin_px, int threads,
                      const std::stop_token& stop) {
  const float widest_px = *std::max_element(margin_px.begin(), margin_px.end());
  std::vector<PixelBox> boxes;
  const std::vector<PixelBox> of_pieces = boxes_of(labels, int(margin_px.size()));
  for (std::size_t i = 1; i < of_pieces.size(); ++i)
    if (margin_px[i] > 0 && !of_pieces[i].empty())
      boxes.push_back(grown(of_pieces[i], int(std::ceil(widest_px)) + 1, labels.width, labels.height));
  boxes = boxes_apart(std::move(boxes));
  cv::Mat1b region(labels.height, labels.width, std::uint8_t(0));
  const auto mark = [&](std::size_t i) {
    if (stop.stop_requested()) return;
    cv::Mat1b part = region(as_rect(boxes[i]));
    mark_near(as_mat(labels)(as_rect(boxes[i])), margin_px, widest_px, &part);
  };
  share_out_by_size(areas_of(boxes), threads, mark, [](std::size_t) {});
  return region;
}

// Pieces of outlined ink nearer to each other than 0.8 W of either get one label: lines have gaps. Returns the number
// of labels.
int join_outlined(const std::vector<Piece>& pieces, const std::vector<Pin>& pins, int threads,
                  const std::stop_token& stop, Plane<std::int32_t>* all_labels) {
  const double default_band_px = sheet_band_px(pieces);
  std::vector<float> margin_px(pieces.size(), 0);
  for (std::size_t i = 1; i < pieces.size(); ++i)
    if (pieces[i].kind == Kind::outlined)
      margin_px[i] = float(0.8 * (pieces[i].telling ? pieces[i].measure.band_px : default_band_px));
  cv::Mat1b region = region_near(*all_labels, margin_px, threads, stop);
  if (stop.stop_requested()) return 0;
  cut_mask(pins, &region);
  cv::Mat1i joined;
  const int count = cv::connectedComponents(region, joined, 8, CV_32S);
  if (stop.stop_requested()) return 0;
  const int first = int(pieces.size());  // filled pieces keep their labels, joined ones come after
  const std::span<const int> parts = all_values(joined);
  for (std::size_t i = 0; i < parts.size(); ++i)
    if (parts[i] > 0) all_labels->values[i] = first + parts[i] - 1;
  return first + count - 1;
}

// Dust and smears: too small for its own width to be a shape, or far fainter than what was drawn.
bool is_speck(const PatchMeasure& m, Kind kind, PixelBox box, double top, bool crisp) {
  if (m.top < faint * top) return true;
  if (kind == Kind::outlined) return box.longest() < 6 * m.band_px || box.longest() < 18;
  return m.area_px2 < least_fill_px2(crisp);
}

void report_specks(const std::vector<PixelBox>& specks, std::vector<Finding>* findings) {
  if (specks.empty()) return;
  const PixelBox largest =
      *std::max_element(specks.begin(), specks.end(), [](PixelBox a, PixelBox b) { return a.longest() < b.longest(); });
  findings->push_back({.what = Finding::What::dropped_speck,
                       .place = {largest.x + largest.width / 2., largest.y + largest.height / 2.},
                       .amount_px = double(largest.longest()),
                       .text = std::to_string(specks.size()) +
                               (specks.size() == 1 ? " speck or smear was" : " specks or smears were") + " left out."});
}

}  // namespace

Plane<float> ink_of_patch(const Ink& ink, const Patches& patches, const Patch& patch, PixelBox box) {
  return masked_crop(ink.ink, patches.labels, patch.label, box);
}

Result<Patches> find_patches(const Ink& ink, const Options& options, const Progress& progress,
                             std::vector<Finding>* findings) {
  const int width = ink.ink.width, height = ink.ink.height;
  const bool crisp = is_crisp_scan(ink.noise);
  // Graphite and paper have a grain of about a pixel at 300 dpi; without noise the ink shows with hardly any smoothing.
  const double smoothing_px = crisp ? 0.6 : 1.2, threshold = ink_threshold(ink.noise);
  const cv::Mat1f smooth = gauss(as_mat(ink.ink), smoothing_px);
  if (progress.stopped()) return progress.cancelled();
  const double top = sheet_top(ink.unpinned.empty() ? smooth : gauss(as_mat(ink.unpinned), smoothing_px), threshold);
  if (progress.stopped()) return progress.cancelled();
  Patches out;
  if (top <= 0) return out;
  cv::Mat1b mask = smooth > std::max(0.12 * top, threshold);
  if (progress.stopped()) return progress.cancelled();
  cv::dilate(mask, mask, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  cut_mask(options.pins, &mask);
  if (progress.stopped()) return progress.cancelled();
  out.labels = Plane<std::int32_t>(width, height);
  Plane<std::int32_t>& labels = out.labels;
  const int count = cv::connectedComponents(mask, as_mat(labels), 8, CV_32S);
  if (progress.stopped()) return progress.cancelled();
  drop_faint(smooth, faint * top, count, &labels);
  if (progress.stopped()) return progress.cancelled();
  progress.advance(0.3);

  const auto measure = [&](std::size_t label, PixelBox box, double least_share = least_ink) {
    return measure_patch(masked_crop(ink.ink, labels, int(label), grown(box, 4, width, height)), ink.noise,
                         smoothing_px, progress.stop_token(), least_share);
  };
  const std::vector<PixelBox> piece_boxes = boxes_of(labels, count);
  std::vector<Piece> pieces(piece_boxes.size());
  const std::vector<std::optional<Pin::Drawn>> drawn = pinned_kinds(labels, count, options.pins);
  const auto judge_piece = [&](std::size_t i) {
    const PixelBox& box = piece_boxes[i];
    if (i == 0 || progress.stopped()) return;
    Piece& piece = pieces[i];
    if (box.longest() >= least_piece_px) piece.measure = measure(i, box);
    piece.telling = box.longest() >= least_piece_px && piece.measure.top >= faint * top;
    if (piece.telling) piece.kind = kind_asked(piece.measure, box, options.drawing);
    if (piece.telling && options.drawing == Options::DrawingKind::automatic && piece.kind == Kind::outlined &&
        has_thick_places(piece.measure))
      piece.has_lines = is_solid_with_lines(measure(i, box, paler_than_solid), piece.measure, box.longest());
    if (piece.has_lines) piece.kind = Kind::filled;
    // There is nothing to tell from grain in a crisp scan: small pieces are dots.
    if (!piece.telling && crisp && options.drawing != Options::DrawingKind::outlined) piece.kind = Kind::filled;
  };
  share_out_by_size(areas_of(piece_boxes), options.threads, judge_piece, [](std::size_t) {});
  if (options.drawing == Options::DrawingKind::automatic) find_lines_beside(&pieces);
  for (std::size_t i = 1; i < drawn.size(); ++i)
    if (drawn[i]) pieces[i].kind = kind_drawn(*drawn[i]), pieces[i].has_lines = false;
  if (progress.stopped()) return progress.cancelled();
  const int patch_count = join_outlined(pieces, options.pins, options.threads, progress.stop_token(), &labels);
  if (progress.stopped()) return progress.cancelled();
  progress.advance(0.7);

  const std::vector<PixelBox> boxes = boxes_of(labels, patch_count);
  if (progress.stopped()) return progress.cancelled();
  const auto is_dust = [&](PixelBox box) { return box.longest() < 12 && !crisp; };
  std::vector<PatchMeasure> measures(boxes.size());
  const auto measure_again = [&](std::size_t i) {
    if (i > 0 && !boxes[i].empty() && !is_dust(boxes[i]) && !progress.stopped()) measures[i] = measure(i, boxes[i]);
  };
  share_out_by_size(areas_of(boxes), options.threads, measure_again, [](std::size_t) {});
  if (progress.stopped()) return progress.cancelled();
  std::vector<PixelBox> specks;
  for (std::size_t i = 1; i < boxes.size(); ++i) {
    if (boxes[i].empty()) continue;
    const Piece& own = pieces[i < pieces.size() ? i : 0];  // the first is paper: outlined, as joined ones are
    const Patch patch{int(i), boxes[i], own.kind, measures[i], own.has_lines};
    if (is_dust(patch.box) || is_speck(patch.measure, patch.kind, patch.box, top, crisp))
      specks.push_back(patch.box);
    else
      out.patches.push_back(patch);
  }
  report_specks(specks, findings);
  progress.advance(1);
  return out;
}

}  // namespace batten
