#include "solve_joint.h"

#include <ceres/ceres.h>

#include <algorithm>
#include <numeric>

#include "handle_caps.h"
#include "piece_data.h"
#include "piece_residual.h"

namespace batten {
namespace {

constexpr double anchor_sd_px = 10;     // a node may slide along a flat curve, but not run off
constexpr double angle_sd = 0.5;        // rad: a pull that only decides what the points leave open
constexpr double handle_share = 0.36;   // of the chord: between a circle's 0.39 a quarter and a straight's 0.33
constexpr double handle_share_sd = 0.3;
constexpr double step_px = 30, step_angle = 0.35;  // largest move a round
constexpr double convex_weight = 40;    // one unit for a handle 1.5 degrees on the wrong side of its chord

// residual = (x - target) / sd
class Pull : public ceres::SizedCostFunction<1, 1> {
 public:
  Pull(double target, double sd) : target_(target), sd_(sd) {}
  bool Evaluate(double const* const* p, double* r, double** j) const override {
    r[0] = (p[0][0] - target_) / sd_;
    if (j && j[0]) j[0][0] = 1 / sd_;
    return true;
  }

 private:
  double target_, sd_;
};

class Cancel : public ceres::IterationCallback {
 public:
  explicit Cancel(const std::stop_token& stop) : stop_(stop) {}
  ceres::CallbackReturnType operator()(const ceres::IterationSummary&) override {
    return stop_.stop_requested() ? ceres::SOLVER_ABORT : ceres::SOLVER_CONTINUE;
  }

 private:
  const std::stop_token& stop_;
};

// All scalars of the draft as blocks; level and upright straights share one.
struct Blocks {
  std::vector<double> x, y, angle, h0, h1, a0, a1;
  std::vector<std::size_t> x_of, y_of;  // joint -> owner of its coordinate

  explicit Blocks(const DraftLoop& d) {
    const std::size_t n = d.size();
    x_of.resize(n), y_of.resize(n);
    std::iota(x_of.begin(), x_of.end(), 0u);
    std::iota(y_of.begin(), y_of.end(), 0u);
    for (std::size_t i = 0; i < n; ++i) {
      if (!d.pieces[i].straight) continue;
      if (d.pieces[i].upright) unite(&x_of, i, d.next(i));
      if (d.pieces[i].level) unite(&y_of, i, d.next(i));
    }
    for (std::size_t i = 0; i < n; ++i) {
      x.push_back(d.joints[i].at.x), y.push_back(d.joints[i].at.y), angle.push_back(d.joints[i].angle);
      h0.push_back(d.pieces[i].h0), h1.push_back(d.pieces[i].h1);
      a0.push_back(d.pieces[i].a0), a1.push_back(d.pieces[i].a1);
    }
    average(d, x_of, &x, true);
    average(d, y_of, &y, false);
  }
  static void unite(std::vector<std::size_t>* of, std::size_t a, std::size_t b) {
    const std::size_t from = (*of)[b], to = (*of)[a];
    for (auto& o : *of)
      if (o == from) o = to;
  }
  void average(const DraftLoop& d, const std::vector<std::size_t>& of, std::vector<double>* v, bool in_x) {
    std::vector<double> sum(d.size(), 0);
    std::vector<int> count(d.size(), 0);
    for (std::size_t i = 0; i < d.size(); ++i) sum[of[i]] += in_x ? d.joints[i].at.x : d.joints[i].at.y, ++count[of[i]];
    for (std::size_t i = 0; i < d.size(); ++i) (*v)[i] = sum[of[i]] / count[of[i]];
  }
};

bool all_finite(const Blocks& b) {
  for (const auto* v : {&b.x, &b.y, &b.angle, &b.h0, &b.h1, &b.a0, &b.a1})
    for (double q : *v)
      if (!std::isfinite(q)) return false;
  return true;
}

class Round {
 public:
  Round(const SpacedLoop& loop, const DraftLoop& d, const std::vector<char>& freed, const SolveOptions& options)
      : loop_(loop), d_(d), freed_(freed), options_(options), blocks_(d) {}

  bool run(const std::stop_token& stop, DraftLoop* out) {
    if (!all_finite(blocks_)) return false;
    ceres::Problem problem;
    for (std::size_t i = 0; i < d_.size(); ++i)
      if (touched(i)) add_piece(&problem, i);
    for (std::size_t i = 0; i < d_.size(); ++i) add_pulls(&problem, i);
    if (problem.NumParameterBlocks() == 0) return true;
    bound(&problem);
    ceres::Solver::Options o;
    // A node touches its neighbours only: past some thirty nodes the dense normal equations are nearly all zeros.
    constexpr int most_dense = 200;  // parameters; below it the sparse set-up costs more than it saves
    const bool sparse = problem.NumParameters() > most_dense;
    o.linear_solver_type = sparse ? ceres::SPARSE_NORMAL_CHOLESKY : ceres::DENSE_NORMAL_CHOLESKY;
    o.dense_linear_algebra_library_type = ceres::EIGEN;
    o.sparse_linear_algebra_library_type = ceres::EIGEN_SPARSE;
    o.max_num_iterations = options_.iterations;
    o.num_threads = 1;
    o.logging_type = ceres::SILENT;
    o.minimizer_progress_to_stdout = false;
    o.function_tolerance = 1e-5;
    o.parameter_tolerance = 1e-6;
    o.max_solver_time_in_seconds = 1e9;  // results must not depend on speed
    Cancel cancel(stop);
    o.callbacks.push_back(&cancel);
    ceres::Solver::Summary summary;
    ceres::Solve(o, &problem, &summary);
    if (!summary.IsSolutionUsable() || !all_finite(blocks_)) return false;
    read_back(out);
    return true;
  }

 private:
  bool free(std::size_t joint) const { return freed_.empty() || freed_[joint]; }
  bool touched(std::size_t piece) const { return free(piece) || free(d_.next(piece)); }
  // A coordinate moves only if all joints that share it are free.
  bool coordinate_free(const std::vector<std::size_t>& of, std::size_t joint) const {
    for (std::size_t i = 0; i < d_.size(); ++i)
      if (of[i] == of[joint] && !free(i)) return false;
    return true;
  }
  Slot x(std::size_t i) { return slot(&blocks_.x[blocks_.x_of[i]], coordinate_free(blocks_.x_of, i)); }
  Slot y(std::size_t i) { return slot(&blocks_.y[blocks_.y_of[i]], coordinate_free(blocks_.y_of, i)); }
  static Slot slot(double* block, bool is_free) { return {is_free ? block : nullptr, *block}; }

  EndSlots end_slots(std::size_t piece, bool start) {
    const std::size_t joint = start ? piece : d_.next(piece);
    const std::size_t beside = start ? d_.previous(piece) : joint;
    const Joint& j = d_.joints[joint];
    const Piece& p = d_.pieces[piece];
    EndSlots e;
    e.x = x(joint), e.y = y(joint);
    e.handle = slot(start ? &blocks_.h0[piece] : &blocks_.h1[piece], true);
    if (j.corner) {
      e.angle = slot(start ? &blocks_.a0[piece] : &blocks_.a1[piece], !(start ? p.fixed0 : p.fixed1));
    } else if (d_.pieces[beside].straight) {
      e.along_line = true;
      const std::size_t far = start ? beside : d_.next(joint);
      e.line_x = x(far), e.line_y = y(far);
    } else {
      e.angle = slot(&blocks_.angle[joint], free(joint) && !j.angle_fixed);
    }
    return e;
  }

  // Which way piece i turns. Noise hides the turn of a short one: it is asked for over a longer stretch, short of corners.
  int sense_of(std::size_t i) const {
    const Joint &a = d_.joints[i], &b = d_.joints[d_.next(i)];
    const double way = loop_.even.ahead(a.arc, b.arc), least = 4 * loop_.scale_px;
    if (way >= least) return turning_sense(loop_, a.arc, b.arc);
    const double more = 0.5 * (least - way);
    const auto reach = [&](std::size_t end, std::size_t beyond, double room) {
      if (d_.joints[end].corner) return 0.0;
      return d_.joints[beyond].corner ? std::min(more, 0.7 * room) : more;
    };
    const std::size_t end = d_.next(i), before = d_.previous(i), after = d_.next(end);
    const double back = reach(i, before, loop_.even.ahead(d_.joints[before].arc, a.arc));
    const double on = reach(end, after, loop_.even.ahead(b.arc, d_.joints[after].arc));
    return turning_sense(loop_, a.arc - back, b.arc + on);
  }

  void add_piece(ceres::Problem* problem, std::size_t i) {
    const Joint &a = d_.joints[i], &b = d_.joints[d_.next(i)];
    const double way = loop_.even.ahead(a.arc, b.arc);
    const double step = std::clamp(loop_.correlation_px / 6, loop_.even.step_px, 3.0);
    PieceSlots s;
    s.straight = d_.pieces[i].straight;
    s.start = end_slots(i, true), s.end = end_slots(i, false);
    PieceData data = points_of_piece(loop_, d_, i, std::max(step, way / 150));
    s.points = std::move(data.points);
    const double spacing = way / double(s.points.size());
    // Neighbouring points err alike: a point counts for its share of a correlation length.
    const double share = std::min(1.0, spacing / (2 * loop_.correlation_px));
    for (double w : data.weights) s.weights.push_back(std::sqrt(w * share));
    s.shape.power = options_.power;
    s.scale_px = options_.power > 2 ? loop_.limit_px : std::max(loop_.sigma_px, 0.05);
    if (!s.straight) {
      s.convex_sense = sense_of(i);
      s.convex_weight = convex_weight;
    }
    const std::vector<double*> used = PieceResidual::blocks_of(s);
    if (used.empty()) return;
    for (double* block : used) problem->AddParameterBlock(block, 1);
    problem->AddResidualBlock(new PieceResidual(std::move(s)), nullptr, used);
  }

  void pull(ceres::Problem* problem, double* block, double target, double sd) {
    if (problem->HasParameterBlock(block)) problem->AddResidualBlock(new Pull(target, sd), nullptr, block);
  }

  // Without it a short handle swings right round a corner and the outline crosses itself at the tip.
  void pull_arm(ceres::Problem* problem, double* block, const ArmDirection& arm) {
    pull(problem, block, *block + wrap_angle(arm.angle - *block), arm.sd_rad);
  }

  void add_pulls(ceres::Problem* problem, std::size_t i) {
    const Joint& j = d_.joints[i];
    // A smooth node may slide along a flat curve; a corner was located by its arms and may only be trimmed.
    const double sd = j.corner ? std::max({1.0, 0.3 * loop_.band_px, 2 * loop_.sigma_px}) : std::max(anchor_sd_px, 1.5 * loop_.band_px);
    pull(problem, &blocks_.x[i], j.anchor.x, sd);
    pull(problem, &blocks_.y[i], j.anchor.y, sd);
    pull(problem, &blocks_.angle[i], blocks_.angle[i], angle_sd);
    if (!d_.pieces[i].straight && touched(i)) {
      const Joint& k = d_.joints[d_.next(i)];
      const double way = loop_.even.ahead(j.arc, k.arc);
      if (j.corner) pull_arm(problem, &blocks_.a0[i], arm_at(loop_, j, way, true));
      if (k.corner) pull_arm(problem, &blocks_.a1[i], arm_at(loop_, k, way, false));
    }
    const double chord = std::max(distance(j.at, d_.joints[d_.next(i)].at), 1.0);
    pull(problem, &blocks_.h0[i], handle_share * chord, handle_share_sd * chord);
    pull(problem, &blocks_.h1[i], handle_share * chord, handle_share_sd * chord);
  }

  void bound_block(ceres::Problem* problem, double* block, double low, double high) {
    if (!problem->HasParameterBlock(block)) return;
    *block = std::clamp(*block, low, high);
    problem->SetParameterLowerBound(block, 0, low);
    problem->SetParameterUpperBound(block, 0, high);
  }

  // The corner of an exact edge is known: it may not use up the tolerance that the curves beside it need.
  void hold_to_anchor(ceres::Problem* problem, std::size_t i) {
    const double reach = std::max(0.25, 0.5 * loop_.limit_px);
    const Point anchor = d_.joints[i].anchor;
    for (const auto& [block, at] : {std::pair{&blocks_.x[i], anchor.x}, std::pair{&blocks_.y[i], anchor.y}})
      bound_block(problem, block, std::min(at - reach, *block), std::max(at + reach, *block));
  }

  void bound(ceres::Problem* problem) {
    for (std::size_t i = 0; i < d_.size(); ++i) {
      // A corner was located by its arms and the ink: it is trimmed, not moved.
      const double reach = d_.joints[i].corner ? std::max({2.0, 0.4 * loop_.band_px, 3 * loop_.sigma_px}) : step_px;
      bound_block(problem, &blocks_.x[i], blocks_.x[i] - reach, blocks_.x[i] + reach);
      bound_block(problem, &blocks_.y[i], blocks_.y[i] - reach, blocks_.y[i] + reach);
      if (d_.joints[i].corner && loop_.band_px < 2) hold_to_anchor(problem, i);
      bound_block(problem, &blocks_.angle[i], blocks_.angle[i] - step_angle, blocks_.angle[i] + step_angle);
      bound_block(problem, &blocks_.a0[i], blocks_.a0[i] - step_angle, blocks_.a0[i] + step_angle);
      bound_block(problem, &blocks_.a1[i], blocks_.a1[i] - step_angle, blocks_.a1[i] + step_angle);
      if (d_.pieces[i].straight) continue;
      const Point p0 = d_.joints[i].at, p3 = d_.joints[d_.next(i)].at;
      const HandleCaps caps = handle_caps(p0, direction(start_angle(d_, i)), p3, direction(end_angle(d_, i)));
      const double least = shortest_handle * std::max(distance(p0, p3), 1e-3);
      bound_block(problem, &blocks_.h0[i], least, std::max(caps.start_px, 1.01 * least));
      bound_block(problem, &blocks_.h1[i], least, std::max(caps.end_px, 1.01 * least));
    }
  }

  void read_back(DraftLoop* out) const {
    for (std::size_t i = 0; i < d_.size(); ++i) {
      Joint& j = out->joints[i];
      j.at = {blocks_.x[blocks_.x_of[i]], blocks_.y[blocks_.y_of[i]]};
      j.angle = wrap_angle(blocks_.angle[i]);
      Piece& p = out->pieces[i];
      p.h0 = blocks_.h0[i], p.h1 = blocks_.h1[i];
      p.a0 = blocks_.a0[i], p.a1 = blocks_.a1[i];
    }
    settle_angles(out);
  }

  const SpacedLoop& loop_;
  const DraftLoop& d_;
  const std::vector<char>& freed_;
  const SolveOptions& options_;
  Blocks blocks_;
};

// Handles as short or long as the caps of the present geometry allow.
void clamp_handles(DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    Piece& p = d->pieces[i];
    if (p.straight) continue;
    const Point p0 = d->joints[i].at, p3 = d->joints[d->next(i)].at;
    const HandleCaps caps = handle_caps(p0, direction(start_angle(*d, i)), p3, direction(end_angle(*d, i)));
    const double least = shortest_handle * distance(p0, p3);
    p.h0 = std::clamp(p.h0, least, std::max(caps.start_px, least));
    p.h1 = std::clamp(p.h1, least, std::max(caps.end_px, least));
  }
}

}  // namespace

void renew_arcs(const SpacedLoop& loop, DraftLoop* d) {
  const std::size_t n = d->size();
  std::vector<double> arc(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Joint& j = d->joints[i];
    const double back = loop.even.ahead(d->joints[d->previous(i)].arc, j.arc);
    const double ahead = loop.even.ahead(j.arc, d->joints[d->next(i)].arc);
    const double window = std::min(std::max(20.0, 2.5 * loop.scale_px), 0.45 * std::min(back, ahead));
    // The window never reaches a neighbour, so that the order stays.
    // Corners are held to the middle of their own turn: the nearest point of a rounded tip may lie on either wall.
    arc[i] = j.corner ? j.arc : nearest_arc(loop.even, j.at, j.arc, window);
  }
  for (std::size_t i = 0; i < n; ++i) d->joints[i].arc = arc[i];
}

bool solve_joint(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options,
                 const std::stop_token& stop) {
  const DraftLoop before = *d;
  for (int round = 0; round < options.rounds; ++round) {
    clamp_handles(d);
    DraftLoop next = *d;
    if (!Round(loop, *d, freed, options).run(stop, &next)) {
      *d = before;
      return false;
    }
    renew_arcs(loop, &next);
    double moved = 0;
    for (std::size_t i = 0; i < d->size(); ++i) moved = std::max(moved, distance(next.joints[i].at, d->joints[i].at));
    *d = std::move(next);
    if (moved < 0.01 * std::max(loop.limit_px, 0.1) && round > 0) break;
    if (stop.stop_requested()) break;
  }
  clamp_handles(d);
  settle_angles(d);
  return true;
}

}  // namespace batten
