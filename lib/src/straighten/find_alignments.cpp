#include "straighten/find_alignments.h"

#include <algorithm>
#include <cmath>

#include "structure/axis_run.h"

namespace batten {
namespace {

// How far a value may lie off what it is made equal to, in its standard deviations. Where fonts have n equal pairs, and
// m a unit that differ by little, equal is the better guess up to a difference of s sqrt(2 ln(n / (m s sqrt(2 pi)))), s
// its standard deviation (Bayes); either of two lies half of it off their mean. Counted in 23 open fonts, letters 600
// px tall: n / m is 18 px for stems, 50 for those of one letter, 9 px for overshoots. Slants of one letter scatter by a
// few tenths of a degree more often than they are equal: no further than one standard deviation.
constexpr double width_sds = 1.7, overshoot_sds = 1, slant_sds = 1;
// What the tolerance allows beside that.
constexpr double share_of_tolerance = 0.5;
// Of a stem 700 units tall whose ends lie on whole units.
constexpr double slant_of_units_deg = 0.03;

// A value with how far it may be moved; members of one gathering end up at their weighted mean.
struct Member {
  std::size_t index = 0;  // of the caller's list
  double value = 0, slack = 0, weight = 1;
};

struct Gathering {
  std::vector<std::size_t> members;  // indices of the caller's list, the seed first
};

// Heaviest first; a member joins if the mean with it in still lies within everybody's slack.
std::vector<Gathering> gather(std::vector<Member> all) {
  std::stable_sort(all.begin(), all.end(), [](const Member& a, const Member& b) { return a.weight > b.weight; });
  std::vector<Gathering> out;
  std::vector<char> taken(all.size(), 0);
  for (std::size_t s = 0; s < all.size(); ++s) {
    if (taken[s]) continue;
    taken[s] = 1;
    std::vector<std::size_t> in{s};
    double sum = all[s].weight * all[s].value, weight = all[s].weight;
    for (bool grown = true; grown;) {
      grown = false;
      std::size_t best = all.size();
      for (std::size_t k = s + 1; k < all.size(); ++k) {
        if (taken[k]) continue;
        const double mean = (sum + all[k].weight * all[k].value) / (weight + all[k].weight);
        bool fits = std::abs(all[k].value - mean) <= all[k].slack;
        for (std::size_t m : in) fits = fits && std::abs(all[m].value - mean) <= all[m].slack;
        if (fits &&
            (best == all.size() || std::abs(all[k].value - sum / weight) < std::abs(all[best].value - sum / weight)))
          best = k;
      }
      if (best == all.size()) break;
      taken[best] = 1, in.push_back(best), grown = true;
      sum += all[best].weight * all[best].value, weight += all[best].weight;
    }
    Gathering g;
    for (std::size_t m : in) g.members.push_back(all[m].index);
    out.push_back(std::move(g));
  }
  return out;
}

Tie equal(std::size_t a, std::size_t b) { return {{{a, 1}, {b, -1}}}; }

// Lines of a group that share a side: each that joins the first is a proposal of its own.
// Rulings (places of guides) gather lines round them, but take no part themselves: what is drawn decides.
void add_lines(const std::vector<AxisLine>& lines, const std::vector<std::size_t>& group,
               const std::vector<double>& rulings, const ScalarIndex& index, std::vector<Proposal>* out) {
  constexpr double ruled = 1e6;  // px: longer than any line
  std::vector<Member> members;
  for (std::size_t k : group) members.push_back({k, lines[k].at_px, lines[k].slack_px, lines[k].length_px()});
  for (double at : rulings) members.push_back({lines.size(), at, 0.1, ruled});
  for (Gathering& g : gather(members)) {
    std::erase(g.members, lines.size());
    if (g.members.empty()) continue;
    const AxisLine& first = lines[g.members[0]];
    const Quantity q = first.vertical ? Quantity::x : Quantity::y;
    for (std::size_t m = 1; m < g.members.size(); ++m) {
      const AxisLine& l = lines[g.members[m]];
      Proposal p;
      p.kind = Edit::Kind::line;
      p.ties = {equal(index.of(first.loop, q, first.from), index.of(l.loop, q, l.from))};
      p.nodes = {{first.loop, first.from}, {first.loop, first.to}, {l.loop, l.from}, {l.loop, l.to}};
      out->push_back(std::move(p));
    }
  }
}

// The stroke that begins at line `a`: the nearest line across it with the ink on the other side, alongside for most of
// its length.
int other_edge(const std::vector<AxisLine>& lines, const Grouping& groups, std::size_t a) {
  int best = -1;
  for (std::size_t b = 0; b < lines.size(); ++b) {
    if (lines[b].vertical != lines[a].vertical || lines[b].ink != -1 || lines[b].at_px <= lines[a].at_px) continue;
    if (groups.letter[lines[b].loop] != groups.letter[lines[a].loop]) continue;
    const double alongside = std::min(lines[a].high_px, lines[b].high_px) - std::max(lines[a].low_px, lines[b].low_px);
    if (alongside < 0.5 * std::min(lines[a].length_px(), lines[b].length_px())) continue;
    if (best < 0 || lines[b].at_px < lines[std::size_t(best)].at_px) best = int(b);
  }
  return best;
}

struct Stroke {
  std::size_t a = 0, b = 0;  // lines
  double width_px = 0, length_px = 0;
};

std::vector<Stroke> strokes_of(const std::vector<AxisLine>& lines, const Grouping& groups) {
  std::vector<Stroke> out;
  for (std::size_t a = 0; a < lines.size(); ++a) {
    if (lines[a].ink != 1) continue;
    const int b = other_edge(lines, groups, a);
    if (b < 0) continue;
    const AxisLine &p = lines[a], &q = lines[std::size_t(b)];
    Stroke s{a, std::size_t(b), q.at_px - p.at_px, std::min(p.high_px, q.high_px) - std::max(p.low_px, q.low_px)};
    // A stroke is longer than wide; as wide as half a letter is the letter itself.
    if (s.length_px < 0.8 * s.width_px || s.width_px > 0.5 * groups.row_height_px[groups.row[p.loop]]) continue;
    const bool again = std::any_of(out.begin(), out.end(), [&](const Stroke& o) { return o.b == s.b; });
    if (!again) out.push_back(s);
  }
  return out;
}

// Widths further apart than this were meant to differ (thick and thin stems differ by more, common practice, no
// source).
constexpr double largest_width_change = 0.08;

struct Round {
  std::size_t loop = 0, node = 0;
  double y = 0;
  bool top = false;
};

std::vector<Round> rounds_of(const Draft& draft) {
  std::vector<Round> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftNode& j = d.nodes[i];
      if (j.corner || (j.reason != Reason::extreme_top && j.reason != Reason::extreme_bottom)) continue;
      if (d.segments[i].straight || d.segments[d.previous(i)].straight) continue;
      out.push_back({k, i, j.at.y, j.reason == Reason::extreme_top});
    }
  }
  return out;
}

// Common practice, no source: rounds pass the line by 1 to 3 % of the letter's height; half as much again is a hand's.
constexpr double largest_overshoot = 0.045;

// Does the round pass a foot line (or, at a top, a head line) of its row?
bool overshoots(const Round& r, const std::vector<AxisLine>& lines, const Grouping& groups) {
  const std::size_t row = groups.row[r.loop];
  return std::any_of(lines.begin(), lines.end(), [&](const AxisLine& l) {
    if (l.vertical || groups.row[l.loop] != row || l.ink != (r.top ? 1 : -1)) return false;
    const double past = r.top ? l.at_px - r.y : r.y - l.at_px;
    return past > -l.slack_px && past < largest_overshoot * groups.row_height_px[row] + l.slack_px;
  });
}

struct Leaning {
  std::size_t loop = 0, segment = 0;
  double slope = 0;  // dx / dy
  double slack = 0;
  double length_px = 0;
};

}  // namespace

std::vector<Proposal> propose_lines(const SpacedLoops& loops, const Draft& draft, const std::vector<Guide>& guides,
                                    const Grouping& groups, const ScalarIndex& index) {
  const std::vector<AxisLine> lines = axis_lines(loops, draft);
  std::vector<double> rulings;
  for (const Guide& g : guides) {
    double x0 = 1e300, x1 = -1e300;
    for (const AxisLine& l : lines)
      if (!l.vertical) x0 = std::min(x0, l.low_px), x1 = std::max(x1, l.high_px);
    constexpr double level_px = 1;  // a guide that falls by more over the letters is no line of theirs
    if (x0 < x1 && std::abs(g.slope) * (x1 - x0) < level_px) rulings.push_back(g.y0_px + g.slope * 0.5 * (x0 + x1));
  }
  std::vector<Proposal> out;
  for (std::size_t group = 0; group < loops.loops.size(); ++group)
    for (const bool vertical : {false, true})
      for (const int ink : {1, -1}) {
        std::vector<std::size_t> own;
        for (std::size_t k = 0; k < lines.size(); ++k) {
          const std::size_t of = vertical ? groups.letter[lines[k].loop] : groups.row[lines[k].loop];
          if (lines[k].vertical == vertical && lines[k].ink == ink && of == group) own.push_back(k);
        }
        add_lines(lines, own, vertical ? std::vector<double>() : rulings, index, &out);
      }
  return out;
}

std::vector<Proposal> propose_widths(const SpacedLoops& loops, const Draft& draft, const Grouping& groups,
                                     const ScalarIndex& index) {
  const std::vector<AxisLine> lines = axis_lines(loops, draft);
  const std::vector<Stroke> strokes = strokes_of(lines, groups);
  std::vector<Proposal> out;
  for (std::size_t row = 0; row < groups.row_height_px.size(); ++row)
    for (const bool vertical : {true, false}) {
      std::vector<Member> members;
      for (std::size_t k = 0; k < strokes.size(); ++k) {
        const AxisLine &a = lines[strokes[k].a], &b = lines[strokes[k].b];
        if (a.vertical != vertical || groups.row[a.loop] != row) continue;
        const double give =
            width_sds * std::hypot(a.sd_px, b.sd_px) + share_of_tolerance * loops.loops[a.loop].tolerance_px;
        const double slack = std::min(give, largest_width_change * strokes[k].width_px);
        members.push_back({k, strokes[k].width_px, slack, strokes[k].length_px});
      }
      for (const Gathering& g : gather(members)) {
        const Stroke& first = strokes[g.members[0]];
        for (std::size_t m = 1; m < g.members.size(); ++m) {
          const Stroke& s = strokes[g.members[m]];
          const Quantity q = vertical ? Quantity::x : Quantity::y;
          const auto scalar = [&](std::size_t line) { return index.of(lines[line].loop, q, lines[line].from); };
          Proposal p;
          p.kind = Edit::Kind::width;
          p.ties = {{{{scalar(s.b), 1}, {scalar(s.a), -1}, {scalar(first.b), -1}, {scalar(first.a), 1}}}};
          for (std::size_t l : {first.a, first.b, s.a, s.b})
            for (std::size_t j : {lines[l].from, lines[l].to}) p.nodes.push_back({lines[l].loop, j});
          out.push_back(std::move(p));
        }
      }
    }
  return out;
}

std::vector<Proposal> propose_overshoots(const SpacedLoops& loops, const Draft& draft, const Grouping& groups,
                                         const ScalarIndex& index) {
  const std::vector<AxisLine> lines = axis_lines(loops, draft);
  const std::vector<Round> rounds = rounds_of(draft);
  std::vector<Proposal> out;
  for (std::size_t row = 0; row < groups.row_height_px.size(); ++row)
    for (const bool top : {true, false}) {
      std::vector<Member> members;
      for (std::size_t k = 0; k < rounds.size(); ++k) {
        if (rounds[k].top != top || groups.row[rounds[k].loop] != row || !overshoots(rounds[k], lines, groups))
          continue;
        const SpacedLoop& loop = loops.loops[rounds[k].loop];
        members.push_back({k, rounds[k].y, overshoot_sds * loop.sigma_px + share_of_tolerance * loop.tolerance_px, 1});
      }
      for (const Gathering& g : gather(members)) {
        const Round& first = rounds[g.members[0]];
        for (std::size_t m = 1; m < g.members.size(); ++m) {
          const Round& r = rounds[g.members[m]];
          Proposal p;
          p.kind = Edit::Kind::overshoot;
          p.ties = {equal(index.of(first.loop, Quantity::y, first.node), index.of(r.loop, Quantity::y, r.node))};
          p.nodes = {{first.loop, first.node}, {r.loop, r.node}};
          out.push_back(std::move(p));
        }
      }
    }
  return out;
}

std::vector<Proposal> propose_slants(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                     const ScalarIndex& index) {
  std::vector<Leaning> leaning;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    if (axes.of_loop[k].vertical) continue;
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftSegment& p = d.segments[i];
      if (!p.straight || p.level || p.vertical) continue;
      const Point way = d.nodes[d.next(i)].at - d.nodes[i].at;
      // Steeper than 60 degrees: what leans less belongs to diagonals.
      if (std::abs(way.y) < 1.7 * std::abs(way.x)) continue;
      const SpacedLoop& loop = loops.loops[k];
      const double length = norm(way);
      // Turned about its middle a straight moves at its ends. Slopes that differ by more than their points can err were
      // meant to, whatever the tolerance.
      const double sd_deg = std::hypot(tilt_sd_deg(loop, length), slant_of_units_deg);
      const double slack = std::tan(radians(slant_sds * sd_deg));
      leaning.push_back({k, i, way.x / way.y, std::min(slack, 2 * slack_px(loop, length) / length), length});
    }
  }
  std::vector<Member> members;
  for (std::size_t k = 0; k < leaning.size(); ++k)
    members.push_back({k, leaning[k].slope, std::min(leaning[k].slack, std::tan(radians(2.0))), leaning[k].length_px});
  std::vector<Proposal> out;
  for (const Gathering& g : gather(members)) {
    if (g.members.size() < 2) continue;
    double slope = 0, weight = 0;
    for (std::size_t m : g.members) {
      const double w = leaning[m].length_px * leaning[m].length_px;  // a slope is known by the square of the length
      slope += w * leaning[m].slope, weight += w;
    }
    slope /= weight;
    for (std::size_t m : g.members) {
      const Leaning& l = leaning[m];
      const std::size_t from = l.segment, to = draft.loops[l.loop].next(from);
      Proposal p;
      p.kind = Edit::Kind::slant;
      p.ties = {{{{index.of(l.loop, Quantity::x, to), 1},
                  {index.of(l.loop, Quantity::x, from), -1},
                  {index.of(l.loop, Quantity::y, to), -slope},
                  {index.of(l.loop, Quantity::y, from), slope}}}};
      p.nodes = {{l.loop, from}, {l.loop, to}};
      out.push_back(std::move(p));
    }
  }
  return out;
}

}  // namespace batten
