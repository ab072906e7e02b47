#pragma once
// Makes heaps of nodes of good outlines, as programs and careless hands do.

#include "batten/geometry.h"
#include "support/random.h"

namespace batten::support {

/// Every segment cut into so many equal parameters: the same curve.
Outline cut_up(const Outline& outline, int pieces);
/// Every node moved by so much, in any direction, and its handles with it: corners and straights stay what they are.
Outline shaken(const Outline& outline, double least_px, double most_px, Random* random);
/// Every curve cut into straights that lie within flatness_px of it.
Outline flattened(const Outline& outline, double flatness_px);
/// A polygon of places spacing_px apart along the outline, each off by normal noise in x and in y.
Outline sampled(const Outline& outline, double spacing_px, double sigma_px, Random* random);

}  // namespace batten::support
