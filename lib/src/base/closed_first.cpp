#include "base/closed_first.h"

#include <algorithm>
#include <numeric>

namespace batten {

bool closed_come_first(const Loops& loops) {
  return std::is_partitioned(loops.loops.begin(), loops.loops.end(), [](const Loop& loop) { return !loop.open; });
}

Loops closed_first(const Loops& loops) {
  std::vector<std::size_t> order(loops.loops.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_partition(order.begin(), order.end(), [&](std::size_t k) { return !loops.loops[k].open; });
  std::vector<int> place(order.size());
  for (std::size_t k = 0; k < order.size(); ++k) place[order[k]] = int(k);
  const auto follow = [&](int* loop) {
    if (*loop >= 0 && std::size_t(*loop) < place.size()) *loop = place[std::size_t(*loop)];
  };
  Loops out = loops;
  for (std::size_t k = 0; k < order.size(); ++k) {
    out.loops[k] = loops.loops[order[k]];
    follow(&out.loops[k].start.on_loop), follow(&out.loops[k].end.on_loop);
  }
  for (Area& area : out.areas)
    for (Area::Part& part : area.parts) follow(&part.loop);
  for (LineRunsOn& runs_on : out.runs_on) follow(&runs_on.loop_a), follow(&runs_on.loop_b);
  return out;
}

}  // namespace batten
