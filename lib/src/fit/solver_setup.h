#pragma once
// How Ceres is run here: on one thread, silently, with Eigen, without a limit of time.

#include <ceres/ceres.h>

#include <stop_token>

namespace batten {

/// Results must not depend on speed, so there is no limit of time. Solver kind and tolerances are the caller's.
inline ceres::Solver::Options solver_options(int iterations) {
  ceres::Solver::Options o;
  o.dense_linear_algebra_library_type = ceres::EIGEN;
  o.sparse_linear_algebra_library_type = ceres::EIGEN_SPARSE;
  o.max_num_iterations = iterations;
  o.num_threads = 1;
  o.logging_type = ceres::SILENT;
  o.minimizer_progress_to_stdout = false;
  o.max_solver_time_in_seconds = 1e9;
  // Where there are bounds Ceres searches along every step, up to 20 evaluations: ten were counted for one derivative.
  // Three shorten what overshoots; none at all, and handles at their caps crawl.
  o.line_search_interpolation_type = ceres::QUADRATIC;  // the default kind wants derivatives at each place it looks at
  o.max_num_line_search_step_size_iterations = 3;
  // Damping by a hundredth at first: with the default, a ten-thousandth, half of all steps went too far.
  o.initial_trust_region_radius = 100;
  return o;
}

/// Ends a solve between two iterations when the job is asked to stop.
class Cancel : public ceres::IterationCallback {
 public:
  explicit Cancel(const std::stop_token& stop) : stop_(stop) {}
  ceres::CallbackReturnType operator()(const ceres::IterationSummary&) override {
    return stop_.stop_requested() ? ceres::SOLVER_ABORT : ceres::SOLVER_CONTINUE;
  }

 private:
  const std::stop_token& stop_;
};

}  // namespace batten
