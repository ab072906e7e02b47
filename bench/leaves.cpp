// The smallest pieces of work that a profile of a trace shows, one by one (Google Benchmark).
#include <benchmark/benchmark.h>

#include "base/arc_loop.h"
#include "base/cubic.h"
#include "base/loop_index.h"
#include "base/plane_cv.h"
#include "ink/bounded_distance.h"
#include "shapes/flood_cells.h"

namespace batten {
namespace {

const Cubic curve{Point{0, 0}, Point{60, 120}, Point{180, 120}, Point{240, 0}};

// A circle of 300 px, a point every half pixel.
ArcLoop round_loop() {
  ArcLoop loop;
  loop.step_px = 0.5;
  const int count = int(2 * pi * 300 / loop.step_px);
  for (int i = 0; i < count; ++i) loop.points.push_back(Point{400, 400} + 300. * direction(2 * pi * i / count));
  return loop;
}

// A ring of ink on a square sheet of so many pixels a side.
Plane<float> ring_of_ink(int side) {
  Plane<float> out(side, side);
  for (int y = 0; y < side; ++y)
    for (int x = 0; x < side; ++x) {
      const double off = std::hypot(x - side / 2., y - side / 2.) - 0.35 * side;
      out.at(x, y) = float(0.7 * std::exp(-off * off / 32));
    }
  return out;
}

void foot_on_cubic(benchmark::State& state) {
  const FootFinder finder(curve);
  double x = 0;
  for (auto _ : state) benchmark::DoNotOptimize(finder.foot({x = x < 240 ? x + 0.37 : 0, 60}));
}
BENCHMARK(foot_on_cubic);

void nearest_on_loop(benchmark::State& state) {
  const ArcLoop loop = round_loop();
  double arc = 0;
  for (auto _ : state) {
    arc = loop.wrap(arc + 0.7);
    benchmark::DoNotOptimize(nearest_arc(loop, loop.at(arc) + Point{3, 2}, arc, 12));
  }
}
BENCHMARK(nearest_on_loop);

void nearest_in_index(benchmark::State& state) {
  const ArcLoop loop = round_loop();
  const LoopIndex index({&loop}, 2, 8);
  double arc = 0;
  for (auto _ : state) {
    arc = loop.wrap(arc + 0.7);
    benchmark::DoNotOptimize(index.nearest(loop.at(arc) + Point{3, 2}, 20));
  }
}
BENCHMARK(nearest_in_index);

void blur(benchmark::State& state) {
  const Plane<float> ink = ring_of_ink(int(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(gauss(as_mat(ink), 1.2));
  state.SetItemsProcessed(state.iterations() * state.range(0) * state.range(0));
}
BENCHMARK(blur)->Arg(500)->Arg(2000);

void distance_to_ink(benchmark::State& state) {
  const Plane<float> ink = ring_of_ink(int(state.range(0)));
  const cv::Mat1b mask = as_mat(ink) > 0.1f;
  for (auto _ : state) benchmark::DoNotOptimize(distance_to(mask, {80, 1, {}}));
  state.SetItemsProcessed(state.iterations() * state.range(0) * state.range(0));
}
BENCHMARK(distance_to_ink)->Arg(500)->Arg(2000);

void flood(benchmark::State& state) {
  const Plane<float> ink = ring_of_ink(int(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(flood_cells(ink, {0.04, 10, 0.2}, {}).count);
  state.SetItemsProcessed(state.iterations() * state.range(0) * state.range(0));
}
BENCHMARK(flood)->Arg(500)->Arg(2000);

}  // namespace
}  // namespace batten

BENCHMARK_MAIN();
