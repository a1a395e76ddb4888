// The variance of a function of independent normal errors, shared out. Private.
#pragma once

#include "groups/sources.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace nockwise::detail {

/// A part of a variance, and the standard error of that estimate.
struct VariancePart {
  double value = 0.0, error = 0.0;
};

/// Of two values together (up and right), which are fitted apart and whose parts are added.
struct Decomposition {
  double variance = 0.0;            // of the drawn values
  double variance_error = 0.0;      // its standard error
  std::vector<VariancePart> alone;  // per source
  std::vector<double> straight;     // of `alone`, by a straight line
  struct Pair {
    std::size_t first = 0, second = 0;
    VariancePart part;
  };
  std::vector<Pair> pairs;  // every two sources
  double rest = 0.0;        // what is fitted by none
};

/// How many functions are fitted to shots with these sources.
[[nodiscard]] std::size_t functions_of(const std::vector<ActiveSource>& sources);

/// By least squares on functions of the errors that are orthonormal over all shots: Hermite's polynomials of each
/// source to the fourth degree, and products of two. Of what points any way about the shaft, both its components
/// take the place of its size. A coefficient's square less its error's square is its part of the variance.
[[nodiscard]] Decomposition decompose(const std::vector<ActiveSource>& sources, std::span<const ShotErrors> errors,
                                      const std::vector<double>& up, const std::vector<double>& right);

}  // namespace nockwise::detail
