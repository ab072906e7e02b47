#include "refine/joint_scalars.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace batten {
namespace {

constexpr std::array all_quantities{Quantity::x,  Quantity::y,  Quantity::angle, Quantity::h0,
                                    Quantity::h1, Quantity::a0, Quantity::a1};
constexpr std::array quantities_of_nodes{Quantity::x, Quantity::y, Quantity::angle};
bool is_of_node(Quantity q) { return q <= Quantity::angle; }

bool is_direction(std::size_t scalar) {
  const Quantity q = ScalarIndex::quantity_of(scalar);
  return q == Quantity::angle || q == Quantity::a0 || q == Quantity::a1;
}

ScalarIndex index_of(const std::vector<JointLoop>& loops) {
  ScalarIndex index;
  for (const JointLoop& l : loops) index.add(*l.draft);
  return index;
}

void add_ties_of_straights(const DraftLoop& d, std::size_t loop, const ScalarIndex& index, std::vector<Tie>* ties) {
  for (std::size_t i = 0; i < d.size(); ++i)
    for (const Quantity q : {Quantity::x, Quantity::y})
      if (d.segments[i].straight && (q == Quantity::x ? d.segments[i].vertical : d.segments[i].level))
        ties->push_back({{{index.of(loop, q, i), 1}, {index.of(loop, q, d.next(i)), -1}}});
}

}  // namespace

ScalarIndex::ScalarIndex(const Draft& draft) {
  for (const DraftLoop& d : draft.loops) add(d);
}

std::vector<Tie> ties_of_straights(const Draft& draft, const ScalarIndex& index) {
  std::vector<Tie> ties;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) add_ties_of_straights(draft.loops[k], k, index, &ties);
  return ties;
}

JointScalars::JointScalars(const std::vector<JointLoop>& loops, std::vector<Tie> ties, Bound bound)
    : loops_(loops), index_(index_of(loops)), may_move_(index_.count(), 0), held_(index_.count(), 0) {
  for (std::size_t k = 0; k < loops.size(); ++k) add_ties_of_straights(*loops[k].draft, k, index_, &ties_);
  ties_.insert(ties_.end(), ties.begin(), ties.end());
  tied_ = eliminate(ties_);
  for (std::size_t k = 0; k < loops.size(); ++k)
    for (std::size_t i = 0; i < loops[k].freed.size(); ++i) {
      const DraftNode& j = loops[k].draft->nodes[i];
      for (const Quantity q : quantities_of_nodes) may_move_[index_.of(k, q, i)] = loops[k].freed[i];
      const bool stays = is_line_end(*loops[k].draft, i) || (bound == Bound::hold_others && !loops[k].freed[i]);
      for (const Quantity q : {Quantity::x, Quantity::y}) {
        const std::size_t scalar = index_.of(k, q, i);
        const bool pinned = q == Quantity::x ? j.fixed_x : j.fixed_y;
        if (pinned) pinned_.push_back(scalar);
        if (!stays && !pinned) continue;
        for (const auto& part : tied_.parts(scalar)) held_[part.free] = 1;
      }
    }
  if (bound == Bound::move_along) move_along();
  for (std::size_t k = 0; k < loops.size(); ++k) {
    concerned_.emplace_back();
    for (std::size_t i = 0; i < loops[k].freed.size(); ++i)
      if (touched(k, i)) concerned_[k].push_back(i);
  }
}

// What ties bind to a node that moves moves too.
void JointScalars::move_along() {
  std::vector<char> of_moving_loops(index_.count(), 0);
  for (std::size_t k = 0; k < loops_.size(); ++k)
    for (std::size_t i = 0; i < loops_[k].freed.size(); ++i)
      for (const Quantity q : quantities_of_nodes) of_moving_loops[index_.of(k, q, i)] = 1;
  for (bool grown = true; grown;) {
    grown = false;
    for (const Tie& t : ties_) {
      const auto is_free = [&](const auto& term) { return may_move_[term.first] != 0; };
      if (std::none_of(t.terms.begin(), t.terms.end(), is_free)) continue;
      for (const auto& [scalar, factor] : t.terms)
        if (of_moving_loops[scalar] && !may_move_[scalar]) may_move_[scalar] = 1, grown = true;
    }
  }
}

bool JointScalars::any_free(std::size_t loop, std::size_t node) const {
  return std::any_of(quantities_of_nodes.begin(), quantities_of_nodes.end(),
                     [&](Quantity q) { return may_move_[index_.of(loop, q, node)] != 0; });
}

bool JointScalars::touched(std::size_t loop, std::size_t segment) const {
  return !loops_[loop].freed.empty() && (any_free(loop, segment) || any_free(loop, loops_[loop].draft->next(segment)));
}

bool JointScalars::moves(std::size_t loop, Quantity q, std::size_t i) const {
  return is_of_node(q) ? may_move_[index_.of(loop, q, i)] != 0 : touched(loop, i);
}

std::vector<char> JointScalars::moved_nodes(std::size_t loop) const {
  std::vector<char> moved;
  for (std::size_t i = 0; i < loops_[loop].freed.size(); ++i) moved.push_back(any_free(loop, i));
  return moved;
}

// A long side knows its place better than a short one; what is pinned stays, and whatever is tied to it comes to it.
void JointScalars::weigh_straights() {
  constexpr double stays = 1e9;
  weights_.assign(index_.count(), 1);
  for (const std::size_t scalar : pinned_) weights_[scalar] = stays;
  for (std::size_t k = 0; k < loops_.size(); ++k) {
    const DraftLoop& d = *loops_[k].draft;
    for (std::size_t i = 0; i < d.size(); ++i) {
      if (!d.segments[i].straight) continue;
      const Quantity across = d.segments[i].vertical ? Quantity::x : Quantity::y;
      const double px = distance(d.nodes[i].at, d.nodes[d.next(i)].at);
      for (const std::size_t end : {i, d.next(i)}) weights_[index_.of(k, across, end)] += px;
    }
  }
}

// Directions that are tied lie within half a turn of one another.
void JointScalars::turn_alike() {
  for (const Tie& t : ties_) {
    if (!std::all_of(t.terms.begin(), t.terms.end(), [](const auto& term) { return is_direction(term.first); }))
      continue;
    double sum = 0;
    for (const auto& [scalar, factor] : t.terms) sum += factor * values_[scalar];
    values_[t.terms.back().first] -= std::round(sum / (2 * pi)) * 2 * pi / t.terms.back().second;
  }
}

bool JointScalars::ties_hold() const {
  constexpr double equal = 1e-9;
  return std::all_of(ties_.begin(), ties_.end(), [&](const Tie& t) {
    double sum = 0;
    for (const auto& [scalar, factor] : t.terms) sum += factor * values_[scalar];
    return std::abs(sum) < equal;
  });
}

bool JointScalars::gather() {
  values_.resize(index_.count());
  for (std::size_t k = 0; k < loops_.size(); ++k)
    for (std::size_t i = 0; i < loops_[k].draft->size(); ++i)
      for (const Quantity q : all_quantities) values_[index_.of(k, q, i)] = value_of(*loops_[k].draft, q, i);
  if (!std::all_of(values_.begin(), values_.end(), [](double v) { return std::isfinite(v); })) return false;
  if (ties_hold()) {  // so that what does not move stays to the bit
    for (const auto& [scalar, parts] : tied_.sums) values_[scalar] = value_of(tied_, scalar, values_);
    return true;
  }
  weigh_straights();
  turn_alike();
  const std::vector<double> wanted = values_;
  const std::vector<double> tied = nearest_tied(tied_, wanted, weights_);
  std::copy(tied.begin(), tied.end(), values_.begin());  // slots point into values_
  for (const std::size_t scalar : pinned_) {             // to the bit
    const std::vector<TiedScalars::Part> parts = tied_.parts(scalar);
    if (parts.size() == 1 && parts[0].factor == 1) values_[parts[0].free] = wanted[scalar];
  }
  for (const auto& [scalar, parts] : tied_.sums) values_[scalar] = value_of(tied_, scalar, values_);
  return true;
}

Slot JointScalars::slot_of(std::size_t loop, Quantity of, std::size_t i) {
  const std::size_t scalar = index_.of(loop, of, i);
  double* block = &values_[scalar];
  if (!moves(loop, of, i)) return {nullptr, *block};
  const std::vector<TiedScalars::Part> parts = tied_.parts(scalar);
  if (parts.size() == 1 && parts[0].factor == 1) block = &values_[parts[0].free];
  return {held_[std::size_t(block - values_.data())] ? nullptr : block, *block};
}

std::vector<JointScalars::Part> JointScalars::parts_of(const double* block) {
  std::vector<Part> out;
  for (const auto& p : tied_.parts(std::size_t(block - values_.data()))) out.push_back({&values_[p.free], p.factor});
  return out;
}

std::vector<JointScalars::BlockRange> JointScalars::ranges(const std::vector<std::vector<Range>>& of_loops) {
  std::vector<char> is_tied(index_.count(), 0);
  for (const auto& [scalar, parts] : tied_.sums)
    for (const auto& p : parts) is_tied[p.free] = 1;
  std::map<std::size_t, BlockRange> own, common;
  for (std::size_t k = 0; k < of_loops.size(); ++k)
    for (const Range& r : of_loops[k]) {
      const std::size_t scalar = index_.of(k, r.of, r.index);
      const std::vector<TiedScalars::Part> parts = tied_.parts(scalar);
      if (parts.size() != 1 || parts[0].factor != 1) continue;
      const std::size_t free = parts[0].free;
      const BlockRange range{&values_[free], r.of, r.low, r.high, is_tied[free] != 0};
      if (free == scalar) own.insert({free, range});
      BlockRange& all = common.insert({free, range}).first->second;
      all.low = std::max(all.low, r.low), all.high = std::min(all.high, r.high);
    }
  std::vector<BlockRange> out;
  for (const auto& [free, r] : common)
    if (r.low < r.high || own.contains(free)) out.push_back(r.low < r.high ? r : own.at(free));
  return out;
}

bool JointScalars::read_back(std::size_t loop, DraftLoop* out) const {
  for (std::size_t i = 0; i < out->size(); ++i)
    for (const Quantity q : all_quantities) {
      const double v = value_of(tied_, index_.of(loop, q, i), values_);
      if (!std::isfinite(v)) return false;
      set_value(out, q, i, v);
    }
  settle_angles(out);
  return true;
}

}  // namespace batten
