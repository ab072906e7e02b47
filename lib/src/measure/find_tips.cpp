#include "measure/find_tips.h"

#include <algorithm>
#include <cmath>

#include "measure/match_chains.h"

namespace batten {
namespace {

// Two sides of three widths each.
constexpr double longest_reaches = 6;
// The two sides of a corner are about twice as long as the corner reaches; some of it lies beside the corner.
constexpr double sides_of_a_tip = 3;

// A sample of the outline: how far off the line it lies, or what of the line is nearest to it.
struct Place {
  double off_px = 0, length_px = 0;
  int corner = -1;
};

std::vector<Place> places_of(const Outline& o, std::span<const Point> line) {
  std::vector<Point> points;
  std::vector<Place> out;
  for (std::size_t i = 0; i < o.segment_count(); ++i) {
    append_segment(o, i, std::min(steps_of(o, i, 1), 1e4), &points);
    const std::size_t first = out.size();
    out.resize(points.size());
    if (!o.nodes[i].smooth || (!o.closed && i == 0)) out[first].corner = int(i);
  }
  if (!o.closed) points.push_back(o.nodes.back().at), out.emplace_back().corner = int(o.nodes.size()) - 1;
  const std::size_t count = points.size();
  std::vector<Point> other(line.begin(), line.end());
  if (!o.closed) points = there_and_back(points), other = there_and_back(other);
  if (o.closed && (signed_area(points) > 0) != (signed_area(other) > 0)) std::reverse(other.begin(), other.end());
  const Chain drawn(std::move(points)), located(std::move(other));
  const ChainMatching windows = match_chains(drawn, located);
  std::vector<EdgeDistance> there, back;
  Deviation ignored;
  add_distances(drawn, located, windows.on_located, &there, &ignored);
  add_distances(located, drawn, windows.on_outline, &back, &ignored);
  for (std::size_t i = 0; i < count; ++i) {
    out[i].off_px = there[i].distance_px;
    if (i + 1 < count || o.closed) out[i].length_px = drawn.at_px[i + 1] - drawn.at_px[i];
  }
  for (const EdgeDistance& d : back) {
    Place& p = out[d.edge < count ? d.edge : 2 * count - 3 - std::min(d.edge, 2 * count - 3)];
    p.off_px = std::max(p.off_px, d.distance_px);
  }
  return out;
}

// Where a closed outline may be cut without cutting a stretch that is over: in the middle of its longest one that is
// not.
std::size_t quiet_place(const std::vector<Place>& places, double allowed_px) {
  std::size_t best = 0, longest = 0, run = 0;
  for (std::size_t k = 0; k < 2 * places.size(); ++k) {
    run = places[k % places.size()].off_px > allowed_px ? 0 : run + 1;
    if (run > longest) longest = run, best = (k - run / 2) % places.size();
  }
  return best;
}

// Stretches of places that are over, or corners, as first and last. Gaps shorter than reach_px join: the two sides of a
// corner may be off, and the corner itself not.
struct Stretch {
  std::size_t first, last;
  bool off = false;
  int corner = -1;  // the farthest off
  double corner_off_px = -1;
};

std::vector<Stretch> stretches(const std::vector<Place>& places, double allowed_px, double reach_px) {
  std::vector<Stretch> out;
  double gap_px = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Place& p = places[i];
    const bool off = p.off_px > allowed_px;
    if (off || p.corner >= 0) {
      // Corners by themselves join nothing: a row of them beside one another is no tip.
      const bool joins = !out.empty() && gap_px < reach_px && (off || out.back().off);
      if (joins)
        out.back().last = i;
      else
        out.push_back({i, i});
      Stretch& s = out.back();
      s.off = s.off || off;
      if (p.corner >= 0 && p.off_px > s.corner_off_px) s.corner = p.corner, s.corner_off_px = p.off_px;
      gap_px = 0;
    }
    gap_px += p.length_px;
  }
  return out;
}

}  // namespace

TipsFound find_tips(const Outline& outline, std::span<const Point> located, double allowed_px, double reach_px) {
  TipsFound found;
  if (outline.nodes.size() < 2 || located.size() < 2) return found;
  std::vector<Place> places = places_of(outline, located);
  if (outline.closed)
    std::rotate(places.begin(), places.begin() + std::ptrdiff_t(quiet_place(places, allowed_px)), places.end());
  std::size_t next = 0;
  const auto pass_to = [&](std::size_t end) {
    for (; next < end; ++next) found.strayed_px = std::max(found.strayed_px, places[next].off_px);
  };
  for (const Stretch& s : stretches(places, allowed_px, reach_px)) {
    if (!s.off || s.corner < 0) continue;
    pass_to(s.first);
    Tip tip{std::size_t(s.corner), 0, 0};
    const std::size_t first = next;
    for (; next <= s.last; ++next)
      tip.along_px += places[next].length_px, tip.length_px = std::max(tip.length_px, places[next].off_px);
    // What is off over a longer stretch has not only run on to a corner.
    if (tip.along_px > std::max(longest_reaches * reach_px, sides_of_a_tip * tip.length_px)) {
      next = first, pass_to(s.last + 1);
      continue;
    }
    found.tips.push_back(tip);
  }
  pass_to(places.size());
  std::sort(found.tips.begin(), found.tips.end(), [](const Tip& a, const Tip& b) { return a.node < b.node; });
  return found;
}

}  // namespace batten
