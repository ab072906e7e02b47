#include "minimise/minimise_segments.h"

#include <algorithm>

#include "base/parallel.h"
#include "fit/keeps_pins.h"
#include "fit/segment_data.h"
#include "minimise/corner_span.h"
#include "minimise/fewest_segments.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"

namespace batten {
namespace {

// Share of the limit that segments are counted with: they are measured more densely later.
constexpr double counted_share = 0.98;

// Do the cubics among some segments hold the limit? A count that does not is no bar for one that does.
bool hold(const SpacedLoop& loop, const DraftLoop& d, const Window& segments) {
  for (const std::size_t i : segments)
    if (!d.segments[i].straight && segment_error(loop, d, i).max_px > loop.limit_px) return false;
  return true;
}

// A loop without corners: all its nodes may lie anywhere.
void free_ring(const SpacedLoop& loop, DraftLoop* d) {
  const auto nodes = fewest_on_ring(loop, counted_share * loop.limit_px);
  if (!nodes || nodes->size() < 2) return;
  if (nodes->size() >= d->size() && hold(loop, *d, Window::all(*d))) return;
  d->nodes = *nodes;
  d->segments.assign(nodes->size(), DraftSegment{});
  fit_segments(loop, d, Window::all(*d));
}

// Only corners are fixed: from one to the next, fewer segments than stand there.
void free_between_corners(const SpacedLoop& loop, DraftLoop* d) {
  if (!begin_at_corner(d)) return free_ring(loop, d);
  for (std::size_t i = 0, segments = 1; i < d->size(); i += segments) {
    segments = segments_to_corner(*d, i);
    if (d->segments[i].way_back || d->segments[i].pin >= 0) continue;
    const CornerSpan span = corner_span(loop, *d, i, segments);
    const auto nodes = fewest_segments(loop, span.from, span.to, span.length_px, counted_share * loop.limit_px);
    if (!nodes || (span.closed && nodes->empty())) continue;
    if (nodes->size() + 1 >= segments && hold(loop, *d, Window(*d, i, segments))) continue;
    put_in_span(d, span, *nodes);
    segments = nodes->size() + 1;
  }
  fit_segments(loop, d, Window::all(*d));
}

// Moves the straight's end at one end of the segment back along the straight; the line itself stays. False where there
// is no smooth straight, or too little of it would be left.
bool trim_straight(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, bool start, double by_px) {
  const std::size_t node = start ? segment : d->next(segment), line = start ? d->previous(segment) : node;
  if (d->nodes[node].pin >= 0 || d->segments[line].pin >= 0) return false;
  if (d->nodes[node].corner || !d->segments[line].straight || line == segment) return false;
  const Point far = d->nodes[start ? line : d->next(line)].at;
  DraftNode& j = d->nodes[node];
  constexpr double most = 0.4;  // of the straight: it was seen from end to end, only where it ends is not sharp
  if (by_px > most * distance(far, j.at)) return false;
  j.at = j.anchor = j.at + by_px * unit(far - j.at);
  j.arc = loop.curve.wrap(j.arc + (start ? -by_px : by_px));
  return true;
}

// A straight that runs on into the round beside it leaves the curve a step that no cubic takes: before the curve is
// split, the straights beside it are shortened to where one cubic fits best.
bool hold_by_trimming(const SpacedLoop& loop, DraftLoop* d, std::size_t segment) {
  double least = loop.limit_px;
  DraftLoop best;
  for (const auto& [start, end] : {std::pair{true, false}, std::pair{false, true}, std::pair{true, true}}) {
    for (double by : {0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0}) {
      DraftLoop next = *d;
      if (start && !trim_straight(loop, &next, segment, true, by * loop.scale_px)) break;
      if (end && !trim_straight(loop, &next, segment, false, by * loop.scale_px)) break;
      const double error = fit_segment(loop, &next, segment, {.only_if_held = true});
      if (error < least) least = error, best = std::move(next);
    }
  }
  if (best.size() == 0) return false;
  *d = std::move(best);
  return true;
}

// Into how many it was split: one where no node may be.
std::size_t split(const SpacedLoop& loop, DraftLoop* d, std::size_t segment, const std::stop_token& stop) {
  const std::size_t before = d->size();
  within_pins(loop, d, [&] {
    split_segment(loop, d, segment, stop);
    return true;
  });
  return d->size() - before + 1;
}

}  // namespace

Result<Draft> minimise_segments(const SpacedLoops& loops, const Draft& placed, const Options& options,
                                Progress& progress) {
  Draft out = placed;
  const auto count = [&](std::size_t k) {  // loops know nothing of each other
    const SpacedLoop& loop = loops.loops[k];
    DraftLoop& d = out.loops[k];
    for (std::size_t i = 0; i < d.size() && !progress.stopped(); ++i) {
      if (d.segments[i].straight) continue;
      if (fit_segment(loop, &d, i) > loop.limit_px && !hold_by_trimming(loop, &d, i))
        i += split(loop, &d, i, progress.stop_token()) - 1;
    }
    settle_angles(&d);
    if (options.extremes == Options::Extremes::free && !progress.stopped()) free_between_corners(loop, &d);
  };
  const double all = double(std::max<std::size_t>(1, out.loops.size()));
  share_out_by_size(lengths_of(loops), options.threads, count,
                    [&](std::size_t done) { progress.advance(double(done) / all); });
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
