#include "network/find_network.h"

#include "base/plane_cv.h"
#include "network/clean_network.h"
#include "network/close_gaps.h"
#include "network/drop_lenses.h"
#include "network/follow_faint.h"
#include "network/mean_along.h"
#include "network/place_edges.h"
#include "network/thin_mask.h"
#include "network/trace_skeleton.h"

namespace batten {
namespace {

// Marks shorter than a line is wide, and within a shaded area what is pale, or hangs together with nothing and is
// short: that is grain and no line.
void remove_marks(const LineMask& mask, LineNetwork* net) {
  for (const int e : net->living()) {
    const NetEdge& edge = net->edges[e];
    const bool alone = net->degree(edge.from) == 1 && net->degree(edge.to) == 1;
    const double length_px = net->length_px(e);
    const bool speck = alone && length_px < mask.width_px;
    const bool in_tone = mean_along(mask.toned, edge.points) > 0.6;
    const bool grain = mean_along(mask.ink, edge.points) < 0.6 * mask.dark || (alone && length_px < 10 * mask.width_px);
    if (speck || (in_tone && grain)) net->remove_edge(e);
  }
  net->join_pairs();
}

}  // namespace

Result<Network> find_network(const LineMask& mask, const Progress& progress) {
  Network out;
  const cv::Mat1b lines = as_mat(mask.lines) != 0;
  const cv::Mat1b skeleton = thinned(lines, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  LineNetwork& net = out.lines;
  net = trace_skeleton(skeleton);
  const LineDepth depth = line_depth(mask.lines);
  if (progress.stopped()) return progress.cancelled();
  merge_junctions(depth, &net);
  remove_hairs(depth, &net);
  merge_junctions(depth, &net);
  net.join_pairs();
  for (int round = 0; round < 3; ++round) remove_marks(mask, &net);  // what hung on one that went may be one itself
  if (progress.stopped()) return progress.cancelled();
  trim_overlaps(mask.width_px, &net);
  follow_faint(mask, &net);
  for (int round = 0; round < 2; ++round) {
    out.gaps_closed += close_gaps(mask.width_px, &net);
    remove_hairs(depth, &net);
    if (progress.stopped()) return progress.cancelled();
  }
  drop_lenses(mask.ink, mask.width_px, &net);
  remove_hairs(depth, &net);
  if (progress.stopped()) return progress.cancelled();
  place_edges(mask.ink, mask.width_px, &net);
  out.strokes = find_strokes(net, mask.width_px);
  out.faces = find_faces(net, mask.width_px);
  if (progress.stopped()) return progress.cancelled();
  out.shapes = choose_shapes(net, out.faces, mask.stroke_px, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
