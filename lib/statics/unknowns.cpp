#include "statics/unknowns.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>

namespace nockwise::detail {

UnknownMatrix inverse_of(const UnknownMatrix& matrix) { return matrix.partialPivLu().inverse(); }

bool solve_positive_definite(const UnknownMatrix& matrix, const UnknownVector& right, UnknownVector& x) {
  const Eigen::LLT<UnknownMatrix> factors(matrix);
  x = factors.solve(right);
  return factors.info() == Eigen::Success;
}

}  // namespace nockwise::detail
