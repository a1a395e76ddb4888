// The unknowns of statics, and the linear systems in them. Private.
#pragma once

#include "kernel/constants.hpp"

#include <Eigen/Core>

namespace nockwise::detail {

// The same for every number of links, so that Eigen's solvers are compiled once.
inline constexpr int max_unknowns = 2 * (kernel::max_links + 1) + 6;
// Not aligned: GCC does not align what a coroutine keeps.
using UnknownVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::DontAlign, max_unknowns, 1>;
using UnknownMatrix =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::DontAlign, max_unknowns, max_unknowns>;

/// By elimination with partial pivoting.
UnknownMatrix inverse_of(const UnknownMatrix& matrix);
/// Solve `matrix` · `x` = `right` by Cholesky's method; false where the matrix is not positive definite.
bool solve_positive_definite(const UnknownMatrix& matrix, const UnknownVector& right, UnknownVector& x);

}  // namespace nockwise::detail
