#pragma once
// Writes scalars that are held together by linear equations as sums of the few that stay free.

#include <cstddef>
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
  std::vector<std::vector<Part>> parts;  ///< of each scalar; one part with factor 1 where it is free itself
  bool is_free(std::size_t scalar) const {
    return parts[scalar].size() == 1 && parts[scalar][0].free == scalar && parts[scalar][0].factor == 1;
  }
};

/// Gauss's elimination, one equation at a time. Among the scalars of an equation the last with a factor of +-1 is given
/// up, so that ties with whole factors (shared, equally wide, mirrored) leave whole factors. An equation that follows
/// from the others changes nothing.
TiedScalars tie(std::size_t count, const std::vector<Tie>& ties);

/// Value of a scalar from the values of the free ones.
double value_of(const TiedScalars& tied, std::size_t scalar, const std::vector<double>& values);

/// Values that keep the ties and lie nearest to `wanted` in the sum of weight * (value - wanted)^2; weights > 0.
std::vector<double> nearest_tied(const TiedScalars& tied, const std::vector<double>& wanted,
                                 const std::vector<double>& weights);

}  // namespace batten
