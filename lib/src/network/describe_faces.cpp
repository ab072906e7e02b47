#include "network/describe_faces.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/nesting.h"
#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

constexpr double paper_below = 0.06;    // grain and dust of real sheets cover up to 2 %
constexpr double hatched_up_to = 0.85;  // close hatching on simulated letters reached 0.77
constexpr double solid_from = 0.92;
constexpr double ink_from = 0.2;          // of the line's own darkness: hatching is paler
constexpr double stroke_coherence = 0.2;  // one-way hatching has 0.28 to 0.93, crayon and grain 0.02 to 0.15
constexpr double crossed_coherence = 0.2;
constexpr double even_within = 0.06;  // solid ink varies by 0.03 to 0.05, graphite by 0.07 to 0.11, crayon by 0.26
// Beyond the paper's own tint: crayon has 0.09 to 0.16, paper and graphite 0.015.
constexpr double coloured_from = 0.05;
constexpr int too_few = 60;             // samples say nothing
constexpr double most_samples = 40000;  // of a face: a share is known to a hundredth by far fewer

// What was read inside a face.
struct Reading {
  int samples = 0;
  double ink_share = 0;
  double tint = 0;           // how far it is from grey, beyond the paper's own tint
  double variation = 0;      // of the darkness of its ink, one standard deviation over the mean
  double coherence = 0;      // 0..1: how much its edges run one way
  double crossed = 0;        // the same once directions at a right angle count as one
  double direction_deg = 0;  // of its strokes, 0..180, anticlockwise from level
};

// Sums of directions of edges, as vectors at twice and four times their angle.
struct Directions {
  double x2 = 0, y2 = 0, x4 = 0, y4 = 0, sum = 0;
  void add(double gx, double gy) {
    const double square = gx * gx + gy * gy;
    if (square <= 0) return;
    const double c2 = gx * gx - gy * gy, s2 = 2 * gx * gy;
    x2 += c2, y2 += s2, sum += square;
    x4 += (c2 * c2 - s2 * s2) / square, y4 += 2 * c2 * s2 / square;
  }
};

class FaceReader {
 public:
  FaceReader(const Plane<std::uint8_t>& drawn, const Scan& scan) : drawn_(as_mat(drawn)), scan_(scan) {}

  // `mask`: 1 where the face is, at one sample each `step` pixels from the corner of `box`.
  Reading read(const cv::Mat1b& mask, cv::Point corner, int step, double line_level) const {
    Reading r;
    Directions directions;
    double sum = 0, sum2 = 0;
    int ink = 0;
    std::vector<float> tints;
    for (int j = 0; j < mask.rows; ++j)
      for (int i = 0; i < mask.cols; ++i) {
        const int x = corner.x + i * step, y = corner.y + j * step;
        if (!mask(j, i) || x < 1 || y < 1 || x + 1 >= drawn_.cols || y + 1 >= drawn_.rows) continue;
        ++r.samples;
        tints.push_back(tint_at(x, y));
        double level = 0;
        for (int v = -1; v <= 1; ++v)
          for (int u = -1; u <= 1; ++u) level += drawn_(y + v, x + u) / 9.;
        directions.add(slope(x, y, 1, 0), slope(x, y, 0, 1));
        if (level < ink_from * line_level) continue;
        ++ink, sum += level, sum2 += level * level;
      }
    if (r.samples == 0) return r;
    r.ink_share = double(ink) / r.samples;
    if (ink > 0) {
      const double mean = sum / ink;
      r.variation = std::sqrt(std::max(0., sum2 / ink - mean * mean)) / mean;
    }
    r.tint = median(std::move(tints)) - paper_tint_;
    if (directions.sum > 0) {
      r.coherence = std::hypot(directions.x2, directions.y2) / directions.sum;
      r.crossed = std::hypot(directions.x4, directions.y4) / directions.sum;
      // Strokes run across their slope; on screen y runs down.
      const double along = 0.5 * std::atan2(-directions.y2, directions.x2) * 180 / CV_PI + 90;
      r.direction_deg = std::fmod(along + 360, 180);
    }
    return r;
  }

  // The darkness of the line round a face; of a shaded shape that of its inside.
  double level_of(const Loop& loop) const {
    std::vector<double> levels;
    const std::size_t each = std::max<std::size_t>(1, loop.points.size() / 200);
    for (std::size_t i = 0; i < loop.points.size(); i += each) {
      const Point p = grid_of(loop.points[i]);
      const int x = int(std::lround(p.x)), y = int(std::lround(p.y));
      if (x >= 0 && y >= 0 && x < drawn_.cols && y < drawn_.rows) levels.push_back(drawn_(y, x));
    }
    const double on_loop = median(std::move(levels));
    return loop.kind == Kind::filled ? 2 * on_loop : on_loop;  // the edge runs where ink is half as dark
  }

 private:
  double slope(int x, int y, int dx, int dy) const {  // Sobel
    return (drawn_(y + dy - dx, x + dx - dy) + 2. * drawn_(y + dy, x + dx) + drawn_(y + dy + dx, x + dx + dy) -
            drawn_(y - dy - dx, x - dx - dy) - 2. * drawn_(y - dy, x - dx) - drawn_(y - dy + dx, x - dx + dy)) /
           4;
  }
  // How far a pixel is from grey: 0 on grey pictures.
  float tint_at(int x, int y) const {
    return scan_.brightest.empty() ? 0 : scan_.brightest.at(x, y) - scan_.grey.at(x, y);
  }
  // Most of a sheet is bare.
  double paper_tint() const {
    std::vector<float> tints;
    const int step = std::max(1, int(std::sqrt(double(drawn_.total()) / most_samples)));
    for (int y = 0; y < drawn_.rows; y += step)
      for (int x = 0; x < drawn_.cols; x += step) tints.push_back(tint_at(x, y));
    return median(std::move(tints));
  }

  const cv::Mat1b drawn_;
  const Scan& scan_;
  const double paper_tint_ = paper_tint();
};

// Why a shape has its kind, as choose_way and kind_of decide it, or the caller did.
std::string kind_sentence(Kind kind, Options::DrawingKind asked) {
  if (asked != Options::DrawingKind::automatic)
    return std::string("It was asked for as ") + (kind == Kind::line ? "lines" : name_of(kind)) + ".";
  switch (kind) {
    case Kind::outlined:
      return "A line runs round it: loops explain at least 93 % of the ink there.";
    case Kind::filled:
      return "It is ink without a line round it.";
    case Kind::line:
      break;
  }
  return "It belongs to a network of lines: loops alone do not explain the ink there, or that of most of the sheet.";
}

int percent(double share) { return int(std::lround(100 * share)); }

Face face_of(const Reading& r, const std::string& kind_sentence) {
  const auto seen = [&](Inside inside, const std::string& what) {
    const bool known = inside != Inside::unknown;
    return Face{inside, known ? r.ink_share : 0, kind_sentence + " " + what};
  };
  if (r.samples < too_few) return seen(Inside::unknown, "Its inside is too small to tell.");
  const std::string ink = std::to_string(percent(r.ink_share)) + " % of it is ink";
  if (r.tint > coloured_from) return seen(Inside::coloured, "Inside is coloured: most of it is no grey, and no paper.");
  if (r.ink_share < paper_below) return seen(Inside::paper, "Inside is paper: " + ink + ".");
  if (r.ink_share <= hatched_up_to && r.coherence > stroke_coherence) {
    const std::string at = std::to_string(int(std::lround(r.direction_deg)) % 180);
    return seen(Inside::hatched, "Inside is hatched: " + ink + ", in strokes at " + at + " degrees.");
  }
  if (r.ink_share <= hatched_up_to && r.crossed > crossed_coherence)
    return seen(Inside::hatched, "Inside is hatched: " + ink + ", in strokes that cross.");
  if (r.ink_share >= solid_from && r.variation < even_within)
    return seen(Inside::solid, "Inside is solid: " + ink + ", evenly dark.");
  return seen(Inside::shaded, "Inside is shaded: " + ink + ", unevenly and without a direction.");
}

// All closed outlines, areas after loops.
struct Border {
  std::vector<Point> polygon;
  std::size_t loop = 0;  // whose darkness tells
};

std::vector<Border> borders_of(const Loops& loops) {
  std::vector<Border> out;
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    const Loop& loop = loops.loops[k];
    out.push_back({loop.open ? std::vector<Point>{} : loop.points, k});
  }
  for (const Area& area : loops.areas) {
    Border b;
    for (const Area::Part& part : area.parts) {
      if (part.loop < 0 || std::size_t(part.loop) >= loops.loops.size()) continue;
      const Loop& loop = loops.loops[std::size_t(part.loop)];
      const std::vector<Point>& p = loop.points;
      if (part.reversed)
        b.polygon.insert(b.polygon.end(), p.rbegin(), p.rend());
      else
        b.polygon.insert(b.polygon.end(), p.begin(), p.end());
      b.loop = std::size_t(part.loop);
    }
    out.push_back(std::move(b));
  }
  return out;
}

PixelBox box_of(const std::vector<Point>& polygon, int width, int height) {
  double x0 = width, y0 = height, x1 = 0, y1 = 0;
  for (const Point p : polygon)
    x0 = std::min(x0, p.x), y0 = std::min(y0, p.y), x1 = std::max(x1, p.x), y1 = std::max(y1, p.y);
  const int left = std::clamp(int(x0), 0, width), top = std::clamp(int(y0), 0, height);
  return {left, top, std::max(0, std::min(width, int(x1) + 1) - left),
          std::max(0, std::min(height, int(y1) + 1) - top)};
}

// Polygons at one sample each `step` pixels, in fractions of 1/16.
std::vector<cv::Point> at_samples(const std::vector<Point>& points, PixelBox box, int step) {
  std::vector<cv::Point> out;
  for (const Point p : points) {
    const Point g = grid_of(p);
    out.emplace_back(cvRound((g.x - box.x) / step * 16), cvRound((g.y - box.y) / step * 16));
  }
  return out;
}

class FaceMasks {
 public:
  FaceMasks(const Loops& loops, const std::vector<Border>& borders) : loops_(loops), borders_(borders) {
    std::vector<std::vector<Point>> polygons;
    for (const Border& b : borders) polygons.push_back(b.polygon);
    parent_ = nesting(polygons);
    for (const Loop& loop : loops.loops) boxes_.push_back(box_of(loop.points, 1 << 20, 1 << 20));
  }

  cv::Mat1b mask(std::size_t face, PixelBox box, int step) const {
    cv::Mat1b out((box.height + step - 1) / step, (box.width + step - 1) / step, uchar(0));
    fill(borders_[face].polygon, box, step, 1, &out);
    for (std::size_t k = 0; k < borders_.size(); ++k)
      if (parent_[k] == int(face)) fill(borders_[k].polygon, box, step, 0, &out);
    for (std::size_t k = 0; k < loops_.loops.size(); ++k) {
      const PixelBox& b = boxes_[k];
      if (b.right() < box.x || b.x > box.right() || b.bottom() < box.y || b.y > box.bottom()) continue;
      const Loop& loop = loops_.loops[k];
      const std::vector<std::vector<cv::Point>> line{at_samples(loop.points, box, step)};
      // A band's width to either side, and a pixel for the blur.
      const int wide = std::max(1, cvRound((2 * loop.band_px + 2) / step));
      cv::polylines(out, line, !loop.open, 0, wide, cv::LINE_8, 4);
    }
    return out;
  }

 private:
  void fill(const std::vector<Point>& polygon, PixelBox box, int step, int value, cv::Mat1b* out) const {
    if (polygon.size() < 3) return;
    const std::vector<std::vector<cv::Point>> lines{at_samples(polygon, box, step)};
    cv::fillPoly(*out, lines, value, cv::LINE_8, 4);
  }

  const Loops& loops_;
  const std::vector<Border>& borders_;
  std::vector<int> parent_;
  std::vector<PixelBox> boxes_;
};

}  // namespace

Plane<std::uint8_t> drawn_ink(const Ink& ink) {
  const cv::Mat1f values = as_mat(ink.ink);
  Plane<std::uint8_t> out(ink.ink.width, ink.ink.height);
  values.convertTo(as_mat(out), CV_8U, 200);
  return out;
}

void describe_faces(const Plane<std::uint8_t>& drawn, const Scan& scan, Options::DrawingKind asked,
                    const std::stop_token& stop, Loops* loops) {
  const std::vector<Border> borders = borders_of(*loops);
  const FaceMasks masks(*loops, borders);
  const FaceReader reader(drawn, scan);
  std::vector<Face> faces(borders.size());
  for (std::size_t f = 0; f < borders.size() && !stop.stop_requested(); ++f) {
    const Loop& loop = loops->loops[borders[f].loop];
    faces[f].why = kind_sentence(loop.kind, asked);
    if (borders[f].polygon.size() < 3) continue;
    const PixelBox box = box_of(borders[f].polygon, drawn.width, drawn.height);
    if (box.width == 0 || box.height == 0) continue;
    const int step = std::max(1, int(std::ceil(std::sqrt(box.area_px2() / most_samples))));
    const Reading reading = reader.read(masks.mask(f, box, step), {box.x, box.y}, step, reader.level_of(loop));
    faces[f] = face_of(reading, faces[f].why);
  }
  for (std::size_t k = 0; k < loops->loops.size(); ++k) loops->loops[k].face = std::move(faces[k]);
  for (std::size_t a = 0; a < loops->areas.size(); ++a)
    loops->areas[a].face = std::move(faces[loops->loops.size() + a]);
}

}  // namespace batten
