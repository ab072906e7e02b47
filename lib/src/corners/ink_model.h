#pragma once
// Leaf: the ink of a place as the readings of a corner draw it: two arms, and a straight or a round between them.

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "corners/band_ink.h"

namespace batten {

/// What the three readings share.
struct ReadingScene {
  const InkWindow* window = nullptr;
  const NormalTable* normal = nullptr;
  ArmLine before, after;  ///< both lead towards the place
  BandProfile side;       ///< of the drawing: for the short side and the round
  EndFade fade;
  double band_px = 1;
  double sample_variance = 1;  ///< of ink left by a right reading, per sample
};

/// A sample as the two arms see it: s along, u across (left positive), the parabola taken out.
struct Seen {
  double s0, u0, s1, u1, x, y, ink;
};

struct ArmShift {
  double offset = 0, tilt = 0;
};

/// Of the samples of ink that a reading leaves over. Strokes of one side share their error over four or five bands, so
/// a window of some 700 samples holds about 14 independent ones.
inline constexpr double independent_share = 0.02;

/// The samples of a window, and what each arm, shifted and tilted a little, puts there.
class InkModel {
  // Priors of an arm: its offset, what the located middle strays near a corner; its tilt, about the point
  // `pivot_widths` back. More tilt for an arm of no length: locating rounds a short side into an S; from
  // `long_arm_widths` on an arm's direction is its own.
  static constexpr double shift_widths = 0.35, tilt_rad = 0.08, pivot_widths = 2;
  static constexpr double short_tilt_rad = 0.25, long_arm_widths = 3;
  static constexpr double farthest_widths = 3.5;  // apex from the window's centre

 public:
  /// `every`: one sample of so many, each counting for as many.
  explicit InkModel(const ReadingScene& scene, std::size_t every = 1) : scene_(scene), w_(scene.band_px) {
    seen_.reserve(scene.window->samples.size() / every + 1);
    for (std::size_t i = 0; i < scene.window->samples.size(); i += every) {
      const InkWindow::Sample& q = scene.window->samples[i];
      Seen v;
      see(scene.before, q.at, &v.s0, &v.u0);
      see(scene.after, q.at, &v.s1, &v.u1);
      v.x = q.at.x, v.y = q.at.y, v.ink = q.ink;
      seen_.push_back(v);
    }
    weight_ = std::sqrt(independent_share * double(every) / scene.sample_variance);
  }
  std::size_t size() const { return seen_.size(); }
  const Seen& operator[](std::size_t i) const { return seen_[i]; }
  double weight() const { return weight_; }
  double w() const { return w_; }
  const ReadingScene& scene() const { return scene_; }

  double pivot(const ArmLine& arm) const { return std::min(pivot_widths * w_, 0.5 * arm.length_px); }
  double across(const ArmLine& arm, double s, double u, const ArmShift& a) const {
    return u - a.offset - a.tilt * (s + pivot(arm));
  }
  double fade(double beyond_px, const EndFade& e) const {
    return (*scene_.normal)(-(beyond_px / w_ - e.start_widths) / e.width_widths);
  }
  double before(const Seen& v, const ArmShift& a, double end, const EndFade& e) const {
    const double ink = scene_.before.profile.at(across(scene_.before, v.s0, v.u0, a));
    return ink > 0 ? ink * fade(v.s0 - end, e) : 0;
  }
  double after(const Seen& v, const ArmShift& a, double end, const EndFade& e) const {
    const double ink = scene_.after.profile.at(across(scene_.after, v.s1, v.u1, a));
    return ink > 0 ? ink * fade(v.s1 - end, e) : 0;
  }
  Point at(const ArmLine& arm, const ArmShift& a, double s) const {
    const double u = 0.5 * arm.curvature * s * s + a.offset + a.tilt * (s + pivot(arm));
    return arm.base + s * arm.tangent + u * left_of(arm.tangent);
  }
  Point heading(const ArmLine& arm, const ArmShift& a, double s) const {
    return unit(arm.tangent + (arm.curvature * s + a.tilt) * left_of(arm.tangent));
  }
  // Newton for the meeting point of the two arms, from s0, s1 on.
  bool meet(const ArmShift& a, const ArmShift& b, double* s0, double* s1) const {
    for (int k = 0; k < 8; ++k) {
      const Point p = at(scene_.before, a, *s0), q = at(scene_.after, b, *s1), gap = q - p;
      const Point t = heading(scene_.before, a, *s0), v = heading(scene_.after, b, *s1);
      const double den = -cross(t, v);  // p + ds t = q + dr v
      if (std::abs(den) < 0.1) return false;
      *s0 = std::clamp(*s0 - cross(gap, v) / den, -6 * w_, 6 * w_);
      *s1 = std::clamp(*s1 - cross(gap, t) / den, -6 * w_, 6 * w_);
    }
    const Point p = at(scene_.before, a, *s0), q = at(scene_.after, b, *s1);
    return distance(p, q) < 0.05 * w_ && distance(p, scene_.window->centre) < farthest_widths * w_;
  }
  void add_priors(const ArmShift& a, const ArmShift& b, std::vector<double>* r) const {
    r->push_back(a.offset / (shift_widths * w_));
    r->push_back(a.tilt / tilt_sd(scene_.before));
    r->push_back(b.offset / (shift_widths * w_));
    r->push_back(b.tilt / tilt_sd(scene_.after));
  }

 private:
  double tilt_sd(const ArmLine& arm) const {
    return tilt_rad + short_tilt_rad * std::max(0.0, 1 - arm.length_px / (long_arm_widths * w_));
  }
  void see(const ArmLine& arm, Point q, double* s, double* u) const {
    const Point d = q - arm.base;
    *s = dot(d, arm.tangent);
    *u = dot(d, left_of(arm.tangent)) - 0.5 * arm.curvature * *s * *s;
  }
  const ReadingScene& scene_;
  double w_, weight_ = 1;
  std::vector<Seen> seen_;
};

/// The ink of one arm over the whole window. A solver that changes one unknown at a time asks for the same arm again:
/// the last two are kept.
class ArmInk {
 public:
  ArmInk(const InkModel& canvas, bool before, const EndFade& fade) : canvas_(canvas), before_(before), fade_(fade) {}
  const std::vector<double>& at(const ArmShift& shift, double end) {
    for (Kept& k : kept_)
      if (!k.ink.empty() && k.shift.offset == shift.offset && k.shift.tilt == shift.tilt && k.end == end) {
        last_ = std::size_t(&k - kept_.data());
        return k.ink;
      }
    last_ = 1 - last_;
    Kept& k = kept_[last_];
    k.shift = shift, k.end = end;
    k.ink.resize(canvas_.size());
    for (std::size_t i = 0; i < canvas_.size(); ++i)
      k.ink[i] = before_ ? canvas_.before(canvas_[i], shift, end, fade_) : canvas_.after(canvas_[i], shift, end, fade_);
    return k.ink;
  }

 private:
  struct Kept {
    ArmShift shift;
    double end = 0;
    std::vector<double> ink;
  };
  const InkModel& canvas_;
  bool before_;
  EndFade fade_;
  std::array<Kept, 2> kept_;
  std::size_t last_ = 0;
};

/// Where either arm covers the paper.
void add_arms(const std::vector<double>& before, const std::vector<double>& after, std::vector<double>* out);

/// What a middle piece adds to the ink of the arms, 1 - (1 - A)(1 - m M): its amplitude m in closed form, and the sum
/// of squares that it leaves.
struct Added {
  double amplitude, left;
};
Added added_middle(const InkModel& c, const std::vector<double>& arms, const std::vector<double>& middle, double least,
                   double most);
/// The same, the weighted residuals of it. Returns m.
double add_middle(const InkModel& c, const std::vector<double>& arms, const std::vector<double>& middle, double least,
                  double most, std::vector<double>* r);

/// A straight piece from p to q with faded ends.
void straight_middle(const InkModel& c, Point p, Point q, std::vector<double>* out);

/// Ends of a round are this soft, in band widths.
inline constexpr double soft_end_widths = 0.15;
/// A round from p (direction t) to q (direction v).
void round_middle(const InkModel& c, Point p, Point t, Point q, Point v, std::vector<double>* out);

}  // namespace batten
