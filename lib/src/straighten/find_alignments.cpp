#include <algorithm>
#include <cmath>
#include <limits>

#include "refine/edit_draft.h"
#include "straighten/propose_edits.h"
#include "structure/axis_run.h"

namespace batten {
namespace {

// How far a value may lie off what it is made equal to, in its standard deviations. Where fonts have n equal pairs, and
// m a unit that differ by little, equal is the better guess up to a difference of s sqrt(2 ln(n / (m s sqrt(2 pi)))), s
// its standard deviation (Bayes); either of two lies half of it off their mean. Counted in 23 open fonts, letters 600
// px tall: n / m is 18 px for stems, 50 for those of one letter, 9 px for overshoots. Slants of one letter scatter by a
// few tenths of a degree more often than they are equal: no farther than one standard deviation.
constexpr double width_sds = 1.7, overshoot_sds = 1, slant_sds = 1;
// What the tolerance allows beside that.
constexpr double share_of_tolerance = 0.5;
// How far a stem 700 units tall leans where its ends are rounded to whole units.
constexpr double slant_of_units_deg = 0.03;

// A value with how far it may be moved; those that are gathered end up at their weighted mean.
struct LooseValue {
  std::size_t index = 0;  // into the caller's list
  double value = 0, slack = 0, weight = 1;
};

// Indices into the caller's list, the one that gathered the others first.
using Gathering = std::vector<std::size_t>;

// Heaviest first; a value joins if the mean with it in still lies within everybody's slack.
std::vector<Gathering> gather(std::vector<LooseValue> all) {
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.weight > b.weight; });
  std::vector<Gathering> out;
  std::vector<char> taken(all.size(), 0);
  for (std::size_t first = 0; first < all.size(); ++first) {
    if (taken[first]) continue;
    std::vector<std::size_t> members;
    double sum = 0, weight = 0;
    for (std::size_t joining = first; joining < all.size();) {
      taken[joining] = 1, members.push_back(joining);
      sum += all[joining].weight * all[joining].value, weight += all[joining].weight;
      joining = all.size();
      double least = std::numeric_limits<double>::infinity();
      for (std::size_t k = first + 1; k < all.size(); ++k) {
        const double off = std::abs(all[k].value - sum / weight);
        if (taken[k] || !(off < least)) continue;
        const double mean = (sum + all[k].weight * all[k].value) / (weight + all[k].weight);
        const auto bears = [&](std::size_t m) { return std::abs(all[m].value - mean) <= all[m].slack; };
        if (bears(k) && std::all_of(members.begin(), members.end(), bears)) joining = k, least = off;
      }
    }
    Gathering& gathering = out.emplace_back();
    for (const std::size_t m : members) gathering.push_back(all[m].index);
  }
  return out;
}

Tie equal(std::size_t a, std::size_t b) { return {{{a, 1}, {b, -1}}}; }

void add_ends(const AxisLine& line, std::vector<NodePlace>* nodes) {
  for (const std::size_t node : {line.from, line.to}) nodes->push_back({line.loop, node});
}

std::size_t place_of(const AxisLine& line, const ScalarIndex& index) {
  return index.of(line.loop, line.vertical ? Quantity::x : Quantity::y, line.from);
}

// Lines of a group that share a side: each that joins the first is a proposal of its own.
// Rulings (places of guides) gather lines round them, but take no part themselves: what is drawn decides.
void add_lines(const SheetView& sheet, const std::vector<std::size_t>& group, const std::vector<double>& rulings,
               std::vector<Proposal>* out) {
  constexpr double ruled = 1e6;  // px: longer than any line
  const std::vector<AxisLine>& lines = sheet.lines;
  std::vector<LooseValue> places;
  for (const std::size_t k : group) places.push_back({k, lines[k].at_px, lines[k].slack_px, lines[k].length_px()});
  for (const double at_px : rulings) places.push_back({lines.size(), at_px, 0.1, ruled});
  for (Gathering& gathering : gather(places)) {
    std::erase(gathering, lines.size());
    for (std::size_t m = 1; m < gathering.size(); ++m) {
      const AxisLine &first = lines[gathering[0]], &joining = lines[gathering[m]];
      Proposal& p = out->emplace_back();
      p.kind = Edit::Kind::line;
      p.ties = {equal(place_of(first, sheet.index), place_of(joining, sheet.index))};
      for (const AxisLine* line : {&first, &joining}) add_ends(*line, &p.nodes);
    }
  }
}

// The stroke that begins at `edge`: the nearest line across it with the ink on the other side, alongside for most of
// its length; null if there is none.
const AxisLine* other_edge(const SheetView& sheet, const AxisLine& edge) {
  const AxisLine* best = nullptr;
  for (const AxisLine& line : sheet.lines) {
    if (line.vertical != edge.vertical || line.ink != -1 || line.at_px <= edge.at_px) continue;
    if (sheet.groups.letter[line.loop] != sheet.groups.letter[edge.loop]) continue;
    const double alongside_px = std::min(edge.high_px, line.high_px) - std::max(edge.low_px, line.low_px);
    if (alongside_px < 0.5 * std::min(edge.length_px(), line.length_px())) continue;
    if (!best || line.at_px < best->at_px) best = &line;
  }
  return best;
}

// Ink between two edges that run alongside.
struct Stroke {
  const AxisLine *low, *high;
  double width_px() const { return high->at_px - low->at_px; }
  double length_px() const { return std::min(low->high_px, high->high_px) - std::max(low->low_px, high->low_px); }
};

std::vector<Stroke> strokes_of(const SheetView& sheet) {
  std::vector<Stroke> out;
  for (const AxisLine& line : sheet.lines) {
    const Stroke s{&line, line.ink == 1 ? other_edge(sheet, line) : nullptr};
    if (!s.high) continue;
    // A stroke is longer than wide; as wide as half a letter is the letter itself.
    const double row_height_px = sheet.groups.row_height_px[sheet.groups.row[line.loop]];
    if (s.length_px() < 0.8 * s.width_px() || s.width_px() > 0.5 * row_height_px) continue;
    const bool again = std::any_of(out.begin(), out.end(), [&](const Stroke& o) { return o.high == s.high; });
    if (!again) out.push_back(s);
  }
  return out;
}

// Widths farther apart than this were meant to differ (thick and thin stems differ by more, common practice, no
// source).
constexpr double largest_width_change = 0.08;

// The highest or lowest place of a round.
struct RoundEnd {
  NodePlace node;
  double y = 0;
  bool top = false;
};

std::vector<RoundEnd> round_ends_of(const Draft& draft) {
  std::vector<RoundEnd> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftNode& node = d.nodes[i];
      const bool top = node.reason == Reason::extreme_top, bottom = node.reason == Reason::extreme_bottom;
      if (!node.corner && (top || bottom) && !touches_straight(d, i)) out.push_back({{k, i}, node.at.y, top});
    }
  }
  return out;
}

// Common practice, no source: rounds pass the line by 1 to 3 % of the letter's height; half as much again is a hand's.
constexpr double largest_overshoot = 0.045;

// Does the round pass a foot line (or, at a top, a head line) of its row?
bool overshoots(const RoundEnd& round, const SheetView& sheet) {
  const std::size_t row = sheet.groups.row[round.node.loop];
  return std::any_of(sheet.lines.begin(), sheet.lines.end(), [&](const AxisLine& line) {
    if (line.vertical || sheet.groups.row[line.loop] != row || line.ink != (round.top ? 1 : -1)) return false;
    const double past_px = round.top ? line.at_px - round.y : round.y - line.at_px;
    return past_px > -line.slack_px && past_px < largest_overshoot * sheet.groups.row_height_px[row] + line.slack_px;
  });
}

// A steep straight of a letter that leans.
struct LeaningStraight {
  NodePlace from, to;
  double slope = 0;  // dx / dy
  double slack = 0;
  double length_px = 0;
};

std::vector<LeaningStraight> leaning_straights(const SheetView& sheet, const SheetAxes& axes) {
  constexpr double largest_slack_deg = 2;
  std::vector<LeaningStraight> out;
  for (std::size_t k = 0; k < sheet.draft.loops.size(); ++k) {
    if (axes.of_loop[k].vertical) continue;
    const SpacedLoop& loop = sheet.loops.loops[k];
    const DraftLoop& d = sheet.draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftSegment& segment = d.segments[i];
      if (!segment.straight || segment.level || segment.vertical) continue;
      const Point chord = d.nodes[d.next(i)].at - d.nodes[i].at;
      // Steeper than 60 degrees: what leans more belongs to diagonals.
      if (std::abs(chord.y) < 1.7 * std::abs(chord.x)) continue;
      const double length_px = norm(chord);
      // Turned about its middle a straight moves at its ends. Slopes that differ by more than their points can err were
      // meant to, whatever the tolerance.
      const double sd_deg = std::hypot(tilt_sd_deg(loop, length_px), slant_of_units_deg);
      const double slack = std::min(std::tan(radians(slant_sds * sd_deg)), 2 * slack_px(loop, length_px) / length_px);
      out.push_back({{k, i},
                     {k, d.next(i)},
                     chord.x / chord.y,
                     std::min(slack, std::tan(radians(largest_slack_deg))),
                     length_px});
    }
  }
  return out;
}

}  // namespace

std::vector<Proposal> propose_lines(const SheetView& sheet, const std::vector<Guide>& guides) {
  double low_px = 1e300, high_px = -1e300;
  for (const AxisLine& line : sheet.lines)
    if (!line.vertical) low_px = std::min(low_px, line.low_px), high_px = std::max(high_px, line.high_px);
  std::vector<double> rulings;
  for (const Guide& g : guides) {
    constexpr double level_px = 1;  // a guide that falls by more over the letters is no line of theirs
    if (low_px < high_px && std::abs(g.slope) * (high_px - low_px) < level_px)
      rulings.push_back(g.y0_px + g.slope * 0.5 * (low_px + high_px));
  }
  std::vector<Proposal> out;
  for (std::size_t group = 0; group < sheet.loops.loops.size(); ++group)
    for (const bool vertical : {false, true})
      for (const int ink : {1, -1}) {
        const std::vector<std::size_t>& group_of = vertical ? sheet.groups.letter : sheet.groups.row;
        std::vector<std::size_t> own;
        for (std::size_t k = 0; k < sheet.lines.size(); ++k) {
          const AxisLine& line = sheet.lines[k];
          if (line.vertical == vertical && line.ink == ink && group_of[line.loop] == group) own.push_back(k);
        }
        add_lines(sheet, own, vertical ? std::vector<double>() : rulings, &out);
      }
  return out;
}

std::vector<Proposal> propose_widths(const SheetView& sheet) {
  const std::vector<Stroke> strokes = strokes_of(sheet);
  std::vector<Proposal> out;
  for (std::size_t row = 0; row < sheet.groups.row_height_px.size(); ++row)
    for (const bool vertical : {true, false}) {
      std::vector<LooseValue> widths;
      for (std::size_t k = 0; k < strokes.size(); ++k) {
        const AxisLine &low = *strokes[k].low, &high = *strokes[k].high;
        if (low.vertical != vertical || sheet.groups.row[low.loop] != row) continue;
        const double width_px = strokes[k].width_px();
        const double slack_px = width_sds * std::hypot(low.sd_px, high.sd_px) +
                                share_of_tolerance * sheet.loops.loops[low.loop].tolerance_px;
        widths.push_back({k, width_px, std::min(slack_px, largest_width_change * width_px), strokes[k].length_px()});
      }
      for (const Gathering& gathering : gather(widths))
        for (std::size_t m = 1; m < gathering.size(); ++m) {
          const Stroke &first = strokes[gathering[0]], &joining = strokes[gathering[m]];
          const auto place = [&](const AxisLine* edge) { return place_of(*edge, sheet.index); };
          Proposal& p = out.emplace_back();
          p.kind = Edit::Kind::width;
          p.ties = {
              {{{place(joining.high), 1}, {place(joining.low), -1}, {place(first.high), -1}, {place(first.low), 1}}}};
          for (const AxisLine* edge : {first.low, first.high, joining.low, joining.high}) add_ends(*edge, &p.nodes);
        }
    }
  return out;
}

std::vector<Proposal> propose_overshoots(const SheetView& sheet) {
  const std::vector<RoundEnd> rounds = round_ends_of(sheet.draft);
  std::vector<Proposal> out;
  for (std::size_t row = 0; row < sheet.groups.row_height_px.size(); ++row)
    for (const bool top : {true, false}) {
      std::vector<LooseValue> heights;
      for (std::size_t k = 0; k < rounds.size(); ++k) {
        const RoundEnd& round = rounds[k];
        if (round.top != top || sheet.groups.row[round.node.loop] != row || !overshoots(round, sheet)) continue;
        const SpacedLoop& loop = sheet.loops.loops[round.node.loop];
        heights.push_back({k, round.y, overshoot_sds * loop.sigma_px + share_of_tolerance * loop.tolerance_px, 1});
      }
      const auto height = [&](NodePlace p) { return sheet.index.of(p.loop, Quantity::y, p.node); };
      for (const Gathering& gathering : gather(heights))
        for (std::size_t m = 1; m < gathering.size(); ++m) {
          const NodePlace first = rounds[gathering[0]].node, joining = rounds[gathering[m]].node;
          out.push_back({Edit::Kind::overshoot, {equal(height(first), height(joining))}, {first, joining}, {}});
        }
    }
  return out;
}

std::vector<Proposal> propose_slants(const SheetView& sheet, const SheetAxes& axes) {
  const std::vector<LeaningStraight> leaning = leaning_straights(sheet, axes);
  std::vector<LooseValue> slopes;
  for (std::size_t k = 0; k < leaning.size(); ++k)
    slopes.push_back({k, leaning[k].slope, leaning[k].slack, leaning[k].length_px});
  std::vector<Proposal> out;
  for (const Gathering& gathering : gather(slopes)) {
    if (gathering.size() < 2) continue;
    double slope = 0, weight = 0;
    for (const std::size_t m : gathering) {
      const double w = leaning[m].length_px * leaning[m].length_px;  // a slope is known by the square of the length
      slope += w * leaning[m].slope, weight += w;
    }
    slope /= weight;
    for (const std::size_t m : gathering) {
      const auto scalar = [&](Quantity q, NodePlace p) { return sheet.index.of(p.loop, q, p.node); };
      const NodePlace from = leaning[m].from, to = leaning[m].to;
      const Tie leans{{{scalar(Quantity::x, to), 1},
                       {scalar(Quantity::x, from), -1},
                       {scalar(Quantity::y, to), -slope},
                       {scalar(Quantity::y, from), slope}}};
      out.push_back({Edit::Kind::slant, {leans}, {from, to}, {}});
    }
  }
  return out;
}

}  // namespace batten
