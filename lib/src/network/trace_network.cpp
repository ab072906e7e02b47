#include "network/trace_network.h"

#include <iterator>

#include "network/drop_grain.h"
#include "network/drop_hole_rims.h"
#include "network/locate_lines.h"
#include "network/solid_loops.h"

namespace batten {
namespace {

// 1 on the patches that `is_one_of` holds for; empty where there are none.
template <class IsOneOf>
Plane<std::uint8_t> plane_of(const Patches& patches, const IsOneOf& is_one_of) {
  std::vector<std::uint8_t> chosen;
  bool any = false;
  for (std::size_t i = 0; i < patches.patches.size(); ++i) {
    const std::size_t label = std::size_t(patches.patches[i].label);
    if (chosen.size() <= label) chosen.resize(label + 1, 0);
    chosen[label] = is_one_of(i), any |= is_one_of(i);
  }
  if (!any) return {};
  Plane<std::uint8_t> out(patches.labels.width, patches.labels.height);
  for (std::size_t i = 0; i < out.values.size(); ++i) {
    const std::size_t label = std::size_t(patches.labels.values[i]);
    out.values[i] = label < chosen.size() && chosen[label];
  }
  return out;
}

}  // namespace

Result<NetworkLoops> trace_network(const Scan& scan, const Ink& ink, const Patches& patches,
                                   const std::vector<char>& in_network, int first_loop, const Options& options,
                                   const Progress& progress) {
  const Plane<std::uint8_t> left_out = plane_of(patches, [&](std::size_t i) { return !in_network[i]; });
  const Result<LineMask> mask = find_lines(ink, left_out, options.threads, progress);
  if (!mask) return mask.error();
  progress.advance(0.5);
  const Plane<std::uint8_t> filled =
      plane_of(patches, [&](std::size_t i) { return !in_network[i] && patches.patches[i].kind == Kind::filled; });
  NetworkLoops solid;
  solid.loops = solid_loops(ink, *mask, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  if (options.construction == Options::Construction::leave_out && options.drawing != Options::DrawingKind::lines &&
      lines_are_construction(ink, *mask, filled)) {
    solid.construction_left_out = true;
    solid.loops = solid_loops(ink, with_small_solids(ink, left_out, filled, *mask), progress.stop_token());
    if (progress.stopped()) return progress.cancelled();
    return solid;
  }
  const Result<Network> network = find_network(*mask, progress);
  if (!network) return network.error();
  progress.advance(0.7);
  LinePaths paths = line_paths(*mask, *network);
  if (progress.stopped()) return progress.cancelled();
  locate_lines(ink, progress.stop_token(), options.threads, &paths);
  ColouredAreas coloured = coloured_areas(scan, ink, *mask, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  drop_grain(ink, *mask, coloured, &paths);
  const int hole_rims = drop_hole_rims(ink.ink.width, ink.ink.height, &paths);
  std::move(coloured.loops.begin(), coloured.loops.end(), std::back_inserter(solid.loops));
  if (progress.stopped()) return progress.cancelled();
  progress.advance(1);
  NetworkLoops out = network_loops(paths, network->strokes, first_loop + int(solid.loops.size()));
  out.hole_rims_left_out = hole_rims;
  out.loops.insert(out.loops.begin(), solid.loops.begin(), solid.loops.end());
  return out;
}

}  // namespace batten
