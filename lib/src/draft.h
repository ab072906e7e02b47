#pragma once
// The struct that the node-placing, counting and refining stages hand on: an outline in the making.

#include <vector>

#include "cubic.h"

namespace batten {

/// A node in the making.
struct Joint {
  Point at;
  double arc = 0;           ///< where it sits on the spaced loop
  bool corner = false;      ///< the two sides have directions of their own
  Reason reason = Reason::added;
  double angle = 0;         ///< smooth: direction of travel, rad
  bool angle_fixed = false; ///< smooth: the angle is an axis and stays
  double zone_px = 0;       ///< corner: half length of loop that is not to be trusted
  double abruptness = 1;    ///< corner: as found; smooth: not used
  Point anchor;             ///< where it was located first: the weak pull of the joint solve goes there, so it can't drift
};

/// From joint i to joint i + 1 (cyclic).
struct Piece {
  bool straight = false;
  bool level = false, upright = false;  ///< straight: both ends share y, or x
  double h0 = 0, h1 = 0;                ///< cubic: handle lengths, px
  double a0 = 0, a1 = 0;                ///< cubic: directions of travel at its ends, rad (kept equal to a smooth joint's)
  bool fixed0 = false, fixed1 = false;  ///< the direction at a corner end is an axis and stays
};

struct DraftLoop {
  std::vector<Joint> joints;
  std::vector<Piece> pieces;
  bool cut_short = false;  ///< its refining ended before everything was tried
  std::size_t size() const { return joints.size(); }
  std::size_t next(std::size_t i) const { return i + 1 < joints.size() ? i + 1 : 0; }
  std::size_t previous(std::size_t i) const { return i ? i - 1 : joints.size() - 1; }
};

struct Draft {
  std::vector<DraftLoop> loops;
};

/// The direction of travel at an end of piece i: a straight's own, a neighbouring straight's at a smooth joint, the
/// smooth joint's angle, or the piece's own at a corner.
double start_angle(const DraftLoop& d, std::size_t piece);
double end_angle(const DraftLoop& d, std::size_t piece);
/// Control points; a straight has its handles retracted.
Cubic cubic_of(const DraftLoop& d, std::size_t piece);
/// Bring a0, a1 of all pieces and the angle of joints beside straights up to date.
void settle_angles(DraftLoop* d);

}  // namespace batten
