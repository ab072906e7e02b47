#pragma once
// An outline in the making: what the stages from placing nodes to straightening hand on.

#include <vector>

#include "base/cubic.h"

namespace batten {

/// A node in the making.
struct DraftNode {
  Point at;
  double arc = 0;       ///< where it sits on the spaced loop
  bool corner = false;  ///< the two sides have directions of their own
  Reason reason = Reason::added;
  double angle = 0;                       ///< smooth: direction of travel, rad
  bool angle_fixed = false;               ///< smooth: the angle is an axis and stays
  double zone_px = 0;                     ///< corner: half length of loop that is not to be trusted
  int pin = -1;                           ///< the node of LoopPins that it is: it stays; -1: none
  bool fixed_x = false, fixed_y = false;  ///< pinned: these coordinates stay
  Point anchor;  ///< where it was located first: solve_joint() pulls it there weakly, so that it can't drift off
  /// Length of loop on either side of a corner that is not to be trusted.
  double untrusted_px() const { return corner ? zone_px : 0; }
  bool operator==(const DraftNode&) const = default;
};

/// One end of a cubic in the making.
struct SegmentEnd {
  double handle_px = 0;  ///< length of the handle
  double angle_rad = 0;  ///< direction of travel; that of the node where it is smooth
  bool on_axis = false;  ///< at a corner: the direction is an axis and stays
  bool operator==(const SegmentEnd&) const = default;
};

/// From node i to node i + 1 (cyclic).
struct DraftSegment {
  /// From the end of an open line back to its start: it closes the ring of segments and is no part of the drawing. It
  /// counts as a straight, so that nothing is fitted; it is never moved, judged or delivered, and nor are its ends.
  bool way_back = false;
  bool straight = false;
  bool level = false, vertical = false;  ///< straight: both ends share y, or x
  bool runs_on = false;                  ///< straight: on one line with that of another open line
  int pin = -1;                          ///< the straight of LoopPins that it is: it stays; -1: none
  SegmentEnd start, end;                 ///< cubic
  static DraftSegment way_back_of_line() {
    DraftSegment s;
    s.way_back = s.straight = true;
    return s;
  }
  bool operator==(const DraftSegment&) const = default;
};

struct DraftLoop {
  std::vector<DraftNode> nodes;
  std::vector<DraftSegment> segments;
  bool cut_short = false;  ///< its refining ended before everything was tried
  bool operator==(const DraftLoop&) const = default;
  std::size_t size() const { return nodes.size(); }
  /// The node (or segment) so many steps further round the outline, and so many back. Ranges of them: fit/window.h.
  std::size_t next(std::size_t i, std::size_t steps = 1) const { return (i + steps) % size(); }
  std::size_t previous(std::size_t i, std::size_t steps = 1) const {
    return (i % size() + size() - steps % size()) % size();
  }
};

struct Draft {
  std::vector<DraftLoop> loops;
};

/// Is the node an end of an open line?
bool is_line_end(const DraftLoop& d, std::size_t node);

/// The direction of travel at an end of segment i: a straight's own, a neighbouring straight's at a smooth node, the
/// smooth node's angle, or the segment's own at a corner.
double start_angle(const DraftLoop& d, std::size_t segment);
double end_angle(const DraftLoop& d, std::size_t segment);
/// Control points; a straight has its handles retracted.
Cubic cubic_of(const DraftLoop& d, std::size_t segment);
/// Brings the directions at the ends of all segments, and those of smooth nodes beside straights, up to date.
void settle_angles(DraftLoop* d);
/// Is one of the node's two segments a straight?
bool touches_straight(const DraftLoop& d, std::size_t node);
/// The segment becomes a cubic with handles of a third of its chord.
void make_cubic(DraftLoop* d, std::size_t segment);
/// Puts a node into a segment: both halves start as copies of it, the node has the index `segment` + 1.
void insert_node(DraftLoop* d, std::size_t segment, const DraftNode& node);
/// Takes a node out: the segment before it runs on to the end of the segment after, with handles half as long again. A
/// straight on either side survives only if it is the segment before.
void remove_node(DraftLoop* d, std::size_t node);

}  // namespace batten
