#pragma once
// The ink of a place as the hypotheses about a corner draw it: two sides, and a straight or a round between them.

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "corners/band_ink.h"
#include "corners/corner_arms.h"

namespace batten {

/// A side of a corner: its parabola leads towards the corner.
struct CornerSide {
  Arm arm;
  BandProfile profile;     ///< its ink across
  double length_px = 1e9;  ///< of the stretch that it was fitted to
};

/// What all hypotheses about one place are judged by.
struct CornerScene {
  InkWindow window;
  std::array<CornerSide, 2> sides;  ///< before and after the corner
  const PencilInk* pencil = nullptr;
};

/// How a hypothesis moves a side: across at its pivot, px, and turned about that, rad.
struct ArmShift {
  double offset_px = 0, tilt_rad = 0;
};
using ArmShifts = std::array<ArmShift, 2>;

/// The share of a window's samples that are independent. Strokes of one side share their error over four or five bands,
/// so a window of some 700 samples holds about 14 independent ones.
inline constexpr double independent_share = 0.02;

/// The samples of a window, and what each side, shifted and tilted a little, puts there.
class InkModel {
  // Priors of an arm: its offset, what the located middle strays near a corner; its tilt, about the point
  // `pivot_widths` back. More tilt for an arm of no length: locating rounds a short side into an S; from
  // `long_arm_widths` on an arm's direction is its own.
  static constexpr double shift_widths = 0.35, default_tilt_rad = 0.08, pivot_widths = 2;
  static constexpr double short_tilt_rad = 0.25, long_arm_widths = 3;
  static constexpr double farthest_widths = 3.5;  // apex from the window's centre

 public:
  /// A sample as the two sides see it: s along, u across (left positive), the parabola taken out.
  struct Sample {
    std::array<double, 2> s, u;
    Point at;
    double ink;
  };

  /// `every`: one sample of so many, each counting for as many.
  explicit InkModel(const CornerScene& scene, std::size_t every = 1);
  std::size_t size() const { return samples_.size(); }
  const Sample& operator[](std::size_t i) const { return samples_[i]; }
  double weight() const { return weight_; }
  double band_px() const { return w_; }
  const CornerScene& scene() const { return scene_; }
  const PencilInk& pencil() const { return *scene_.pencil; }
  /// The drawing's own band, for what lies between the sides.
  const BandProfile& profile() const { return scene_.pencil->profile; }

  /// Ink that a side (0 before, 1 after) puts on a sample when it ends at `end_px`.
  double ink_of(std::size_t side, const Sample& v, const ArmShift& a, double end_px, const EndFade& e) const {
    const double across_px = v.u[side] - a.offset_px - a.tilt_rad * (v.s[side] + pivot_px(side));
    const double ink = scene_.sides[side].profile.at(across_px);
    return ink > 0 ? ink * pencil().left_beyond(v.s[side] - end_px, e) : 0;
  }
  Point at(std::size_t side, const ArmShift& a, double s) const;
  Point heading(std::size_t side, const ArmShift& a, double s) const;
  /// Newton's method for the meeting point of the two sides, from *s0, *s1 on. False where they do not meet near the
  /// window's centre.
  bool meet(const ArmShifts& a, double* s0, double* s1) const;
  /// Appends what the shifts cost.
  void add_priors(const ArmShifts& a, std::vector<double>* r) const;

 private:
  double pivot_px(std::size_t side) const { return std::min(pivot_widths * w_, 0.5 * scene_.sides[side].length_px); }
  const CornerScene& scene_;
  double w_, weight_ = 1;
  std::vector<Sample> samples_;
};

/// The ink of one side over the whole window. A solver that changes one unknown at a time asks for the same side again:
/// the last two are kept.
class SideInk {
 public:
  SideInk(const InkModel& model, std::size_t side, const EndFade& fade) : model_(model), side_(side), fade_(fade) {}
  const std::vector<double>& at(const ArmShift& shift, double end_px);

 private:
  struct DrawnSide {
    ArmShift shift;
    double end_px = 0;
    std::vector<double> ink;
  };
  const InkModel& model_;
  std::size_t side_;
  EndFade fade_;
  std::array<DrawnSide, 2> kept_;
  std::size_t last_ = 0;
};

/// Where either side covers the paper.
void add_sides(const std::vector<double>& before, const std::vector<double>& after, std::vector<double>* out);

/// What a middle piece adds to the ink of the sides, 1 - (1 - A)(1 - m M): its amplitude m in closed form, clamped, and
/// the sum of squares that it leaves.
struct FittedMiddle {
  double amplitude, left;
};
FittedMiddle fit_middle(const InkModel& c, const std::vector<double>& sides, const std::vector<double>& middle,
                        double least, double most);
/// The weighted residuals with that amplitude.
void middle_residuals(const InkModel& c, const std::vector<double>& sides, const std::vector<double>& middle,
                      double amplitude, std::vector<double>* r);

/// A straight piece from p to q with faded ends.
void straight_middle(const InkModel& c, Point p, Point q, std::vector<double>* out);

/// Ends of a round are this soft, in band widths.
inline constexpr double soft_end_widths = 0.15;
/// A round from p (direction t) to q (direction v).
void round_middle(const InkModel& c, Point p, Point t, Point q, Point v, std::vector<double>* out);

}  // namespace batten
