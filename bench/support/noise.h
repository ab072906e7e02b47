#pragma once
// Samples with noise, new from one to the next or alike over some px.

#include <vector>

#include "batten/geometry.h"
#include "support/random.h"

namespace batten::support {

/// How the correlation of noise falls with the distance of samples: at once; as a bell, to exp(-1/2) at the length
/// given; linearly to nothing there (a running mean); exponentially, to exp(-1) there.
enum class Alike { no, bell, mean, exponential };

/// Each coordinate of each point moved by normal noise of standard deviation noise_px.
std::vector<std::vector<Point>> with_noise(std::vector<std::vector<Point>> loops, double noise_px, Alike alike,
                                           double alike_px, Random* random);

/// Places on a cubic, at most about step_px apart, both ends among them.
std::vector<Point> places_on(const Cubic& cubic, double step_px);

}  // namespace batten::support
