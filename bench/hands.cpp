// Letters drawn by six hands: what is learnt may look at the first four only, and the last two say whether it holds.
// Beside each stands an oracle that is told the designer's own nodes, corners and straights and fits them to the same
// located lines: nothing honest does much better.
//
//   hands [--quick] [FOLDER]     a quarter of an hour; --quick: a fourth of the letters; FOLDER: where drawings with an
//                                outline missing or too many are written (PNG)
// Debian package: fonts-texgyre. No program looks at these cuts; learn_corners draws others of the same families.
#include <algorithm>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <string>
#include <vector>

#include "api/pixel_pipeline.h"
#include "base/cubic.h"
#include "batten/convert.h"
#include "corners/find_corners.h"
#include "refine/solve_joint.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/png.h"
#include "support/score.h"
#include "support/shapes.h"

namespace {

using namespace batten;

constexpr const char* fonts[] = {"texgyreschola-bold", "texgyreadventor-regular", "texgyretermes-bolditalic",
                                 "texgyrecursor-regular"};
constexpr std::u32string_view letters = U"EhQs5yWc";
struct Pencilling {
  support::Hand hand;
  double height_px, tolerance_px;
};
constexpr Pencilling kinds[] = {
    {support::Hand::single, 420, 1}, {support::Hand::multistroke, 520, 1.5}, {support::Hand::loose, 640, 2}};

struct Sum {
  std::vector<double> rms;
  std::size_t segments = 0, of_segments = 0, corners = 0, of_corners = 0, false_corners = 0, off = 0, drawings = 0;
  double max_px = 0;
  void add(const support::Score& s) {
    ++drawings;
    off += s.missing() + s.extra();
    segments += s.segments, of_segments += s.truth_segments;
    corners += s.corners_found, of_corners += s.truth_corners, false_corners += s.false_corners;
    rms.push_back(s.rms_px), max_px = std::max(max_px, s.max_px);
  }
  double median_rms() {
    if (rms.empty()) return 0;
    std::nth_element(rms.begin(), rms.begin() + std::ptrdiff_t(rms.size() / 2), rms.end());
    return rms[rms.size() / 2];
  }
};

// Mean distance of a loop to an outline, from every tenth of its points.
double mean_distance(const Loop& loop, const Outline& outline) {
  const Polyline points = support::points_of(outline, 1);
  double sum = 0;
  int count = 0;
  for (std::size_t i = 0; i < loop.points.size(); i += 10, ++count) {
    double best = 1e300;
    for (const Point p : points) best = std::min(best, distance(p, loop.points[i]));
    sum += best;
  }
  return count ? sum / count : 1e300;
}

// The arc of the point of a loop that is nearest to a place.
double arc_of(const ArcLoop& loop, Point p) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < loop.points.size(); ++i)
    if (distance(loop.points[i], p) < distance(loop.points[best], p)) best = i;
  return double(best) * loop.step_px;
}

// The designer's outline as a draft on a located loop: the same nodes, corners, straights and directions.
DraftLoop draft_of(const Outline& truth, const SpacedLoop& loop) {
  DraftLoop out;
  const std::size_t n = truth.nodes.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Cubic before = truth.segment((i + n - 1) % n), after = truth.segment(i);
    const Point in = end_tangent(before), on = start_tangent(after);
    DraftNode node;
    node.at = node.anchor = truth.nodes[i].at;
    node.arc = arc_of(loop.curve, node.at);
    const double turn_deg = std::abs(degrees(turn_between(in, on)));
    node.corner = turn_deg > 5;
    node.zone_px = node.corner ? corner_zone_px(loop, turn_deg) : 0;
    node.angle = std::atan2(on.y, on.x);
    node.angle_fixed = !node.corner && off_axis_deg(node.angle) < 0.5;
    if (node.angle_fixed) node.angle = axis_angle(node.angle);
    node.reason = node.corner ? Reason::corner : Reason::added;
    out.nodes.push_back(node);
    DraftSegment segment;
    segment.straight = truth.is_straight(i);
    segment.start = {distance(after[0], after[1]), std::atan2(on.y, on.x), false};
    const Point end = end_tangent(after);
    segment.end = {distance(after[2], after[3]), std::atan2(end.y, end.x), false};
    out.segments.push_back(segment);
  }
  settle_angles(&out);
  return out;
}

Outline outline_of(const DraftLoop& draft) {
  Outline out;
  for (std::size_t i = 0; i < draft.size(); ++i) {
    const Cubic before = cubic_of(draft, draft.previous(i)), after = cubic_of(draft, i);
    out.nodes.push_back({before[2], draft.nodes[i].at, after[1], !draft.nodes[i].corner, draft.nodes[i].reason});
  }
  return out;
}

// What the oracle makes of a picture; empty where an outline of the letter was not located.
std::vector<Outline> oracle(const ImageView& image, const Options& options, const std::vector<Outline>& truth) {
  std::vector<Finding> findings;
  const Result<Loops> located = loops_from_pixels(image, options, Job{}, findings);
  if (!located) return {};
  const Job job;
  Progress progress(job, Stage::corners, 0, 1);
  const Result<SpacedLoops> spaced = space_loops(*located, options, progress);
  if (!spaced) return {};
  std::vector<Outline> out;
  for (const Outline& outline : truth) {
    std::size_t best = located->loops.size();
    double least = 5;
    for (std::size_t k = 0; k < located->loops.size(); ++k)
      if (const double d = mean_distance(located->loops[k], outline); d < least) least = d, best = k;
    if (best == located->loops.size()) return {};
    const bool same_way = (signed_area_px2(support::points_of(outline, 1)) > 0) ==
                          (signed_area_px2(spaced->loops[best].curve.points) > 0);
    DraftLoop draft = draft_of(same_way ? outline : support::reversed(outline), spaced->loops[best]);
    solve_joint(spaced->loops[best], &draft, {}, {.rounds = 12}, {});
    out.push_back(outline_of(draft));
  }
  return out;
}

support::GrayImage draw(const std::vector<Outline>& truth, support::Hand hand, support::Drawer drawer,
                        support::Random random) {
  const support::Extent size = support::extent_of(truth, 40);
  const support::Manner manner = support::manner_of(drawer, random);
  return support::pencil_drawing(size.width, size.height, truth, hand, false, random, manner);
}

// One drawing, traced and by the oracle.
void add_drawing(const Pencilling& kind, support::Drawer drawer, const char* font, char32_t letter,
                 const std::string& folder, Sum* traced, Sum* told) {
  const std::vector<Outline> truth =
      support::glyph(support::font_file(std::string(font) + ".otf"), letter, kind.height_px, 40);
  if (truth.empty()) return;
  const support::GrayImage image =
      draw(truth, kind.hand, drawer,
           support::Random("hands", std::string(font) + name_of(kind.hand), unsigned(letter) * 8 + unsigned(drawer)));
  const ImageView view{image.pixels.data(), image.width, image.height, image.width};
  Options options;
  options.tolerance_px = kind.tolerance_px;
  const auto result = convert(view, options);
  const support::Score score = support::score(truth, result ? result->drawing.outlines : std::vector<Outline>{});
  traced->add(score);
  if (score.missing() + score.extra() > 0) {
    const std::string name = name_of(kind.hand) + "-" + font + "-" + char(letter) + "-" + name_of(drawer);
    std::fprintf(stderr, "%s: %zu missing, %zu too many\n", name.c_str(), score.missing(), score.extra());
    if (!folder.empty())
      std::ofstream(folder + "/" + name + ".png", std::ios::binary) << support::png_bytes(image, 300);
  }
  const std::vector<Outline> best = oracle(view, options, truth);
  if (!best.empty()) told->add(support::score(truth, best));
}

void print_row(const Pencilling& kind, int drawer, Sum traced, Sum told) {
  std::printf("%-12s %-8s %6.3f %6.2f %6.2f %6.1f %4zu/%zu %6zu %5zu/%zu%s\n", name_of(kind.hand).c_str(),
              name_of(support::Drawer(drawer)).c_str(),
              traced.of_segments ? double(traced.segments) / double(traced.of_segments) : 0., traced.median_rms(),
              told.median_rms(), traced.max_px, traced.corners, traced.of_corners, traced.false_corners, traced.off,
              traced.drawings, drawer < support::drawers_to_learn_from ? "" : "   unseen");
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  const bool quick = argc > 1 && std::strcmp(argv[1], "--quick") == 0;
  const std::string folder = argc > 1 + quick ? argv[1 + quick] : "";
  std::printf("%-12s %-8s %6s %6s %6s %6s %8s %6s %9s\n", "drawing", "hand", "nodes", "rms", "oracle", "max", "corners",
              "false", "outlines");
  for (const Pencilling& kind : kinds)
    for (int drawer = 0; drawer < support::drawers; ++drawer) {
      Sum traced, told;
      for (const char* font : fonts)
        for (std::size_t i = 0; i < letters.size(); i += quick ? 4 : 1)
          add_drawing(kind, support::Drawer(drawer), font, letters[i], folder, &traced, &told);
      print_row(kind, drawer, traced, told);
    }
  return 0;
}
