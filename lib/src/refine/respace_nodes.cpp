#include "refine/respace_nodes.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "fit/smooth_node.h"
#include "minimise/corner_span.h"
#include "minimise/fewest_segments.h"
#include "minimise/fit_segment.h"

namespace batten {
namespace {

// Puts `next` in the place of the draft if its `segments` can be held by moving the nodes marked.
bool try_spaced(const EditContext& c, const DraftLoop& next, const std::vector<char>& freed, const Window& segments,
                DraftLoop* d) {
  const std::span<const SolveStep> ways[] = {steps::spaced, steps::spaced_squares_first};
  for (const auto how : ways)
    if (!c.stop.stop_requested() && try_edit(c, {next, segments, segments, freed, how, allowance::hold}, d))
      return true;
  return false;
}

bool may_lie_anywhere(const DraftLoop& d) {
  for (std::size_t i = 0; i < d.size(); ++i)
    if (d.nodes[i].corner || d.nodes[i].reason != Reason::added || d.segments[i].straight) return false;
  return true;
}

constexpr double coarser = 3;  // candidates than the first count's: the nodes are moved afterwards; a fifth of the time

// Where the nodes of one segment fewer (or of a few, if it must be) go; nothing if a limit three times as wide saves
// none.
std::optional<std::vector<DraftNode>> with_fewer(const EditContext& c, const CornerSpan& span) {
  const auto nodes_at = [&](double wider) -> std::optional<std::vector<DraftNode>> {
    auto nodes = fewest_segments(c.loop, span.from, span.to, span.length_px, wider * c.loop.limit_px, coarser);
    if (!nodes || nodes->size() + 1 >= span.segments || (span.closed && nodes->empty())) return {};
    return nodes;
  };
  constexpr double step = 1.15, widest = 3.1;
  double wide = step;
  std::optional<std::vector<DraftNode>> nodes;
  while (!(nodes = nodes_at(wide))) {
    if ((wide *= step) > widest || c.stop.stop_requested()) return {};
  }
  double narrow = wide / step;
  for (int k = 0; k < 4 && nodes->size() + 2 < span.segments && !c.stop.stop_requested();
       ++k) {  // more than one went at once
    const double between = std::sqrt(narrow * wide);
    if (auto fewer = nodes_at(between))
      wide = between, nodes = std::move(fewer);
    else
      narrow = between;
  }
  return nodes;
}

bool respace_span(const EditContext& c, DraftLoop* d, const CornerSpan& span) {
  const std::optional<std::vector<DraftNode>> nodes = with_fewer(c, span);
  if (!nodes) return false;
  DraftLoop next = *d;
  put_in_span(&next, span, *nodes);
  const std::size_t segments = nodes->size() + 1;
  fit_segments(c.loop, &next, Window(next, span.first, segments), {.minimax = true});
  // The corners move a little: the segments beyond them have to hold as well.
  return try_spaced(c, next, Window(next, span.first, segments + 1).flags(),
                    Window::around(next, span.first, 1, segments), d);
}

bool has_failed(const FailedSpans& failed, const CornerSpan& span) {
  constexpr double same_px = 3;
  return std::any_of(failed.spans.begin(), failed.spans.end(), [&](const FailedSpans::Span& f) {
    return f.segments == span.segments && std::abs(f.from_arc - span.from.arc) < same_px &&
           std::abs(f.to_arc - span.to.arc) < same_px;
  });
}

}  // namespace

bool try_respaced_ring(const EditContext& c, DraftLoop* d) {
  const std::size_t n = d->size();
  if (n <= 2 || !may_lie_anywhere(*d)) return false;
  DraftLoop next;
  const double length = c.loop.curve.length_px();
  for (std::size_t k = 0; k + 1 < n; ++k)
    next.nodes.push_back(
        smooth_node(c.loop, c.loop.curve.wrap(d->nodes[0].arc + length * double(k) / double(n - 1)), Reason::added));
  next.segments.resize(n - 1);
  fit_segments(c.loop, &next, Window::all(next), {.minimax = true});
  return try_spaced(c, next, {}, Window::all(next), d);
}

bool try_respaced_spans(const EditContext& c, DraftLoop* d, FailedSpans* failed) {
  if (!uses_minimax(c.loop) || !begin_at_corner(d)) return false;
  bool changed = false;
  for (std::size_t i = 0, segments = 1; i < d->size() && !c.stop.stop_requested(); i += segments) {
    for (;;) {
      segments = segments_to_corner(*d, i);
      const CornerSpan span = corner_span(c.loop, *d, i, segments);
      if (segments < (span.closed ? 3u : 2u) || has_failed(*failed, span)) break;
      if (!respace_span(c, d, span)) {
        failed->spans.push_back({span.from.arc, span.to.arc, segments});
        break;
      }
      changed = true;
    }
  }
  return changed;
}

}  // namespace batten
