#include "straighten/put_part.h"

#include <algorithm>
#include <optional>

#include "refine/joint_scalars.h"

namespace batten {
namespace {

// Where the scalars of one draft lie among those of another that has the same loops, or some of them.
class Renumbered {
 public:
  // loop_of: of each loop of `from` its number in `to`; -1: it is not there.
  Renumbered(const Draft& from, const Draft& to, std::vector<int> loop_of) : loop_of_(std::move(loop_of)), to_(to) {
    for (const DraftLoop& d : from.loops) first_.push_back(first_.back() + d.size() * quantity_count);
  }
  std::optional<std::size_t> of(std::size_t scalar) const {
    const auto next = std::upper_bound(first_.begin(), first_.end(), scalar);
    const auto loop = std::size_t(next - first_.begin()) - 1;
    if (loop >= loop_of_.size() || loop_of_[loop] < 0) return std::nullopt;
    return to_.of(std::size_t(loop_of_[loop]), ScalarIndex::quantity_of(scalar),
                  (scalar - first_[loop]) / quantity_count);
  }
  std::optional<NodePlace> of(const NodePlace& p) const {
    if (loop_of_[p.loop] < 0) return std::nullopt;
    return NodePlace{std::size_t(loop_of_[p.loop]), p.node};
  }

 private:
  std::vector<int> loop_of_;
  std::vector<std::size_t> first_{0};
  ScalarIndex to_;
};

void add(const Straightened& from, const Renumbered& renumbered, Straightened* out) {
  for (const DraftEdit& e : from.edits) {
    DraftEdit edit = e;
    edit.nodes.clear();
    for (const NodePlace& p : e.nodes)
      if (const auto place = renumbered.of(p)) edit.nodes.push_back(*place);
    if (edit.nodes.size() == e.nodes.size()) out->edits.push_back(std::move(edit));
  }
  for (const Tie& t : from.ties) {
    Tie tie;
    for (const auto& [scalar, factor] : t.terms)
      if (const auto at = renumbered.of(scalar)) tie.terms.push_back({*at, factor});
    if (tie.terms.size() == t.terms.size()) out->ties.push_back(std::move(tie));
  }
  for (const auto& [a, b] : from.mirrored) {
    const auto p = renumbered.of(a), q = renumbered.of(b);
    if (p && q) out->mirrored.push_back({*p, *q});
  }
}

}  // namespace

Straightened put_part(const Straightened& whole, const Straightened& part, const std::vector<std::size_t>& loops) {
  Straightened out;
  out.draft = whole.draft;
  std::vector<int> stays, placed;
  for (std::size_t k = 0; k < whole.draft.loops.size(); ++k) stays.push_back(int(k));
  for (std::size_t i = 0; i < loops.size(); ++i) {
    out.draft.loops[loops[i]] = part.draft.loops[i];
    stays[loops[i]] = -1, placed.push_back(int(loops[i]));
  }
  add(whole, Renumbered(whole.draft, out.draft, std::move(stays)), &out);
  add(part, Renumbered(part.draft, out.draft, std::move(placed)), &out);
  return out;
}

Straightened renumbered(const Straightened& from, const Draft& draft, const std::vector<int>& loop_of) {
  Straightened out;
  out.draft = draft;
  add(from, Renumbered(from.draft, draft, loop_of), &out);
  return out;
}

}  // namespace batten
