#include "api/pixel_pipeline.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <new>
#include <numeric>
#include <opencv2/core.hpp>

#include "api/reduced_scan.h"
#include "base/parallel.h"
#include "base/pixel_grid.h"
#include "ink/load_scan.h"
#include "ink/pin_ink.h"
#include "ink/remove_construction.h"
#include "ink/remove_hatching.h"
#include "ink/separate_ink.h"
#include "ink/subtract_guides.h"
#include "ink/turn_over.h"
#include "locate/locate_loops.h"
#include "network/choose_way.h"
#include "network/describe_faces.h"
#include "network/trace_network.h"
#include "shapes/find_patches.h"
#include "shapes/trace_cells.h"
#include "shapes/trace_fills.h"

namespace batten {
namespace {

Error no_ink() {
  return {ErrorCode::no_ink_found,
          "No line and no shape was found in the picture: check that the drawing is darker than the paper, "
          "scan with more contrast, or crop to the drawing.",
          "image"};
}

// Where a stage begins and ends, as parts of the pixel half, from measured times.
Progress stage(const Job& job, Stage which, double begin, double end) {
  return {job, which, begin * pixel_half_share, end * pixel_half_share};
}

// Pencil lines of compasses measured 2 to 4.5 px, the rings of cups 8 px and more, at some 300 dpi.
constexpr double broadest_pencil_px = 6;

Finding construction_left_out() {
  return {.what = Finding::What::guide_removed,
          .text =
              "The lines round solid shapes are much paler than these, were taken for their construction and left "
              "out: ask to keep construction lines if they belong to the drawing."};
}

Finding holes_left_out(const std::vector<Hole>& holes) {
  return {Finding::What::dropped_speck, -1, page_of(holes.front().centre), 2 * holes.front().radius_px,
          std::to_string(holes.size()) + " holes punched along the edge of the sheet were left out."};
}

Finding hole_rims_left_out(int count) {
  return {.what = Finding::What::dropped_speck,
          .text = std::to_string(count) +
                  " arcs at equal distances along the edge of the sheet were taken for the rims "
                  "of punched holes and left out."};
}

// A construction line as a line of the drawing, a point each pixel. It is exact by how it was found, and its ink is no
// longer there to be read again: it counts as a polyline whose points are exact, without a width.
Loop construction_loop(std::vector<Point> points, bool open) {
  Loop loop;
  loop.kind = Kind::line, loop.open = open;
  loop.sigma_px = 0.1, loop.rounding_px = 0.1, loop.correlation_px = 2;
  loop.points = std::move(points);
  return loop;
}

Loop loop_of(const PaleLine& line) {
  std::vector<Point> points;
  const int steps = std::max(2, int(line.length_px()));
  for (int i = 0; i <= steps; ++i) points.push_back(page_of(line.from + (double(i) / steps) * (line.to - line.from)));
  return construction_loop(std::move(points), true);
}

// The circle, or the arcs of it that lie within the picture; nothing for the ring that a cup left.
std::vector<Loop> loops_of(const PaleCircle& circle, int width, int height) {
  if (circle.width_px > broadest_pencil_px) return {};
  const int steps = int(2 * pi * circle.radius_px);
  std::vector<Point> all;
  for (int i = 0; i < steps; ++i)
    all.push_back(page_of(circle.centre + circle.radius_px * direction(2 * pi * i / steps)));
  const auto inside = [&](Point p) { return p.x > 0 && p.y > 0 && p.x < width && p.y < height; };
  const auto first_outside = std::find_if_not(all.begin(), all.end(), inside);
  if (first_outside == all.end()) return {construction_loop(std::move(all), false)};
  std::rotate(all.begin(), first_outside, all.end());
  std::vector<Loop> out;
  for (auto from = std::find_if(all.begin(), all.end(), inside); from != all.end();) {
    const auto to = std::find_if_not(from, all.end(), inside);
    if (to - from > 2) out.push_back(construction_loop({from, to}, true));
    from = std::find_if(to, all.end(), inside);
  }
  return out;
}

Finding fallback_in(const PixelBox& box, const char* text) {
  const Point middle{box.x + box.width / 2., box.y + box.height / 2.};
  return {Finding::What::fallback, -1, middle, double(box.longest()), text};
}

Finding gap_closed(const PixelBox& box) {
  return fallback_in(box, "The lines of a shape do not meet: it was closed across the gap.");
}

Finding too_many_cells(const PixelBox& box) {
  return fallback_in(box, "A patch of ink encloses thousands of places: no outlines were looked for in it.");
}

CellLoops trace_patch(const Ink& ink, const Patches& patches, std::size_t which, int threads,
                      const std::stop_token& stop) {
  if (patches.patches[which].kind == Kind::outlined)
    return trace_lines_or_bundles(ink, patches, int(which), threads, stop);
  CellLoops fill;
  fill.loops = trace_fills(ink, patches, int(which));
  return fill;
}

Result<std::vector<CellLoops>> trace_patches(const Ink& ink, const Patches& patches, int threads, Progress& progress) {
  const std::size_t count = patches.patches.size();
  std::vector<CellLoops> traced(count);
  std::vector<double> areas;
  for (const Patch& p : patches.patches) areas.push_back(double(p.box.width) * p.box.height);
  const double all = std::accumulate(areas.begin(), areas.end(), 0.);
  share_out_by_size(
      areas, threads,
      [&](std::size_t i) {  // patches know nothing of each other
        // A patch larger than all others together would leave the other threads without work.
        const int own_threads = areas[i] > 0.5 * all ? threads : 1;
        if (!progress.stopped()) traced[i] = trace_patch(ink, patches, i, own_threads, progress.stop_token());
      },
      [&](std::size_t done) { progress.advance(double(done) / double(std::max<std::size_t>(1, count))); });
  if (progress.stopped()) return progress.cancelled();
  return traced;
}

// The loops of all patches that do not belong to the network.
std::vector<RoughLoop> loops_of_outlines(const Patches& patches, const std::vector<char>& in_network,
                                         std::vector<CellLoops> traced, std::vector<Finding>* findings) {
  std::vector<RoughLoop> rough;
  std::size_t tiny = 0, open = 0;
  for (std::size_t i = 0; i < traced.size(); ++i) {
    if (in_network[i]) continue;
    const Patch& patch = patches.patches[i];
    CellLoops& cells = traced[i];
    if (patch.kind == Kind::outlined) {
      if (cells.gap_closed && !cells.loops.empty()) findings->push_back(gap_closed(patch.box));
      open += cells.covered < 0.5;
      tiny += std::erase_if(cells.loops, [&](const RoughLoop& l) { return is_tiny(l, patch.measure.band_px); });
    }
    for (RoughLoop& loop : cells.loops) rough.push_back(std::move(loop));
  }
  if (open > 0)
    findings->push_back({Finding::What::open_lines_left_out,
                         -1,
                         {},
                         0,
                         "Open lines enclose nothing and were left out in " + std::to_string(open) +
                             (open == 1 ? " place" : " places") +
                             ": ask for lines, or leave the kind of drawing open, to have them traced."});
  if (tiny > 0)
    findings->push_back({Finding::What::dropped_speck,
                         -1,
                         {},
                         0,
                         std::to_string(tiny) + (tiny == 1 ? " loop" : " loops") +
                             " less than three line widths across " + (tiny == 1 ? "was" : "were") + " left out."});
  return rough;
}

// What was seen on the sheet before lines are followed.
struct Seen {
  Scan scan;
  ClearInk guided;
  Plane<std::uint8_t> drawn;  // before hatching went
  Patches patches;
};

Result<Seen> see(const ImageView& image, const Options& options, int reduction, const Job& job,
                 std::vector<Finding>* findings) {
  Progress load = stage(job, Stage::load, 0, 0.05), ink_stage = stage(job, Stage::ink, 0.05, 0.2),
           guide_stage = stage(job, Stage::guides, 0.2, 0.3), patch_stage = stage(job, Stage::patches, 0.3, 0.4);
  Result<Scan> scan = load_scan(image, load, options.threads, reduction);
  if (!scan) return scan.error();
  scan = turn_over(std::move(*scan), ink_stage, findings);
  if (!scan) return scan.error();
  Result<Ink> bare = separate_ink(*scan, ink_stage);
  if (!bare) return bare.error();
  Result<GuidedInk> ruled = subtract_guides(std::move(*bare), guide_stage, findings);
  if (!ruled) return ruled.error();
  Result<ClearInk> guided = remove_construction(std::move(*ruled), guide_stage, findings);
  if (!guided) return guided.error();
  const bool pinned =
      std::any_of(options.pins.begin(), options.pins.end(), [](const Pin& p) { return changes_scan(p.kind); });
  if (pinned) {
    Result<Ink> decided = pin_ink(guided->ink, options.pins, guide_stage);
    if (!decided) return decided.error();
    guided->ink = std::move(*decided);
  }
  Plane<std::uint8_t> drawn = drawn_ink(guided->ink);
  if (options.drawing != Options::DrawingKind::filled) {
    const Plane<float> before = pinned ? guided->ink.ink : Plane<float>();
    Result<Ink> clear = remove_hatching(std::move(guided->ink), guide_stage, options.threads, findings);
    if (!clear) return clear.error();
    guided->ink = pinned ? keep_shading(*clear, before, options.pins) : std::move(*clear);
  }
  if (!guided->ink.holes.empty()) findings->push_back(holes_left_out(guided->ink.holes));
  Result<Patches> patches = find_patches(guided->ink, options, patch_stage, findings);
  if (!patches) return patches.error();
  return Seen{std::move(*scan), std::move(*guided), std::move(drawn), std::move(*patches)};
}

Result<Loops> loops_of_seen(Seen seen, const Options& options, const Job& job, std::vector<Finding>* findings) {
  Progress loop_stage = stage(job, Stage::loops, 0.4, 0.7), locate_stage = stage(job, Stage::locate, 0.7, 0.85),
           network_stage = stage(job, Stage::locate, 0.85, 1);
  Ink& ink = seen.guided.ink;
  Result<std::vector<CellLoops>> traced = trace_patches(ink, seen.patches, options.threads, loop_stage);
  if (!traced) return traced.error();
  const std::vector<char> in_network =
      belongs_to_network(ink, seen.patches, *traced, options.drawing, options.pins, options.construction);
  for (std::size_t i = 0; i < in_network.size(); ++i)
    if (!in_network[i]) seen.patches.patches[i].measure.band_px *= (*traced)[i].wider;
  bool left_out_lines = false;
  for (std::size_t i = 0; i < in_network.size(); ++i)
    left_out_lines |= seen.patches.patches[i].has_lines && !in_network[i];
  for (std::size_t i = 0; i < traced->size(); ++i)
    if ((*traced)[i].too_many) findings->push_back(too_many_cells(seen.patches.patches[i].box));
  std::vector<RoughLoop> rough = loops_of_outlines(seen.patches, in_network, std::move(*traced), findings);
  std::erase_if(rough, [&](const RoughLoop& loop) { return lies_in_hole(ink.holes, loop.points); });
  Result<std::vector<Loop>> located = locate_loops(ink, seen.patches, rough, locate_stage, options.threads);
  if (!located) return located.error();
  Loops out{std::move(*located), std::move(seen.guided.guides), {}, ink.noise, {}, {}};
  if (std::find(in_network.begin(), in_network.end(), 1) != in_network.end()) {
    Result<NetworkLoops> network =
        trace_network(seen.scan, ink, seen.patches, in_network, int(out.loops.size()), options, network_stage);
    if (!network) return network.error();
    if (network->hole_rims_left_out > 0) findings->push_back(hole_rims_left_out(network->hole_rims_left_out));
    left_out_lines |= network->construction_left_out;
    std::move(network->loops.begin(), network->loops.end(), std::back_inserter(out.loops));
    out.areas = std::move(network->areas), out.runs_on = std::move(network->runs_on);
  }
  if (left_out_lines) findings->push_back(construction_left_out());
  if (options.construction == Options::Construction::keep) {
    for (const PaleLine& line : seen.guided.construction) out.loops.push_back(loop_of(line));
    for (const PaleCircle& circle : seen.guided.circles)
      for (Loop& arc : loops_of(circle, ink.ink.width, ink.ink.height)) out.loops.push_back(std::move(arc));
  }
  if (out.loops.empty()) return no_ink();
  describe_faces(seen.drawn, seen.scan, options.drawing, network_stage.stop_token(), &out);
  if (network_stage.stopped()) return network_stage.cancelled();
  network_stage.advance(1);
  out.ink = std::move(ink.ink);
  return out;
}

Finding read_in_copy(int reduction) {
  return {.what = Finding::What::read_in_copy,
          .text = "All lines are broad, so the scan was read in a copy 1/" + std::to_string(reduction) +
                  " of its size: coordinates are those of the scan."};
}

// The same job, which tells nothing of what was reached before: a copy that is not good enough is followed by another.
Job only_forward(const Job& job, double* reached) {
  Job out = job;
  if (job.progress)
    out.progress = [tell = job.progress, reached](Stage stage, double fraction) {
      if (fraction >= *reached) *reached = fraction, tell(stage, fraction);
    };
  return out;
}

Result<Loops> run(const ImageView& image, const Options& options, const Job& job, std::optional<int> known,
                  std::vector<Finding>& findings) {
  double reached = 0;
  const Job forward = only_forward(job, &reached);
  for (int reduction = known.value_or(largest_reduction(image.width, image.height));; reduction /= 2) {
    std::vector<Finding> found;
    const Options in_copy = reduced(options, reduction);
    Result<Seen> seen = see(image, in_copy, reduction, forward, &found);
    if (!seen) return seen.error();
    if (reduction > 1 && !known && !is_broad_enough(seen->guided.ink, seen->patches)) continue;
    Result<Loops> loops = loops_of_seen(std::move(*seen), in_copy, forward, &found);
    if (!loops) return loops.error();
    enlarge(reduction, &found);
    if (reduction > 1) found.push_back(read_in_copy(reduction));
    findings.insert(findings.end(), found.begin(), found.end());
    return enlarged(std::move(*loops), reduction, image.width, image.height);
  }
}

}  // namespace

Result<Loops> loops_from_pixels(const ImageView& image, const Options& options, const Job& job,
                                std::vector<Finding>& findings, std::optional<int> reduction) {
  try {
    return run(image, options, job, reduction, findings);
  } catch (const cv::Exception& e) {
    if (e.code == cv::Error::StsNoMem) throw std::bad_alloc();
    throw;
  }
}

}  // namespace batten
