#pragma once
// Writes scalars that are held together by linear equations as sums of the few that stay free.

#include <cstddef>
#include <map>
#include <utility>
#include <vector>

namespace batten {

/// The equation: sum of factor * scalar = 0.
struct Tie {
  std::vector<std::pair<std::size_t, double>> terms;  ///< (scalar, factor)
};

/// Every scalar as a sum over free ones.
struct TiedScalars {
  struct Part {
    std::size_t free = 0;  ///< the index of a free scalar, itself one of the scalars
    double factor = 1;
  };
  std::map<std::size_t, std::vector<Part>> sums;  ///< scalars that are not free
  bool is_free(std::size_t scalar) const { return !sums.contains(scalar); }
  /// One part with factor 1 where it is free itself.
  std::vector<Part> parts(std::size_t scalar) const;
};

/// Gauss's elimination, one equation at a time. Among the scalars of an equation the last with a factor of +-1 is given
/// up, so that ties with whole factors (shared, equally wide, mirrored) leave whole factors. An equation that follows
/// from the others changes nothing.
TiedScalars eliminate(const std::vector<Tie>& ties);

/// Value of a scalar from the values of the free ones.
double value_of(const TiedScalars& tied, std::size_t scalar, const std::vector<double>& values);

/// Values that keep the ties and lie nearest to `wanted` in the sum of weight * (value - wanted)^2; weights > 0.
std::vector<double> nearest_tied(const TiedScalars& tied, const std::vector<double>& wanted,
                                 const std::vector<double>& weights);

}  // namespace batten
