// Somebody's own linear algebra, compiled for his own processor: there Eigen aligns and frees memory in another way
// than in the library, under the same names. Each keeps to its own. usage: eigen_user CASE
#include <Eigen/Dense>
#include <nockwise/nockwise.hpp>

#include <cmath>
#include <exception>
#include <iostream>

namespace {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

// Whatever the library is likely to use, so that the same functions exist here.
double own_algebra(int size) {
  Matrix a = Matrix::Identity(size, size) * size;
  for (int i = 0; i < size; ++i) {
    for (int j = 0; j < size; ++j)
      a(i, j) += std::sin(i + 2.0 * j);
  }
  const Matrix square = a * a.transpose();
  const Vector right = Vector::LinSpaced(size, 0.0, 1.0);
  double sum = (a * right).sum();
  sum += square.ldlt().solve(right).sum();
  sum += square.llt().solve(right).sum();
  sum += a.partialPivLu().solve(right).sum();
  sum += a.householderQr().solve(right).sum();
  sum += a.colPivHouseholderQr().solve(right).sum();
  sum += square.completeOrthogonalDecomposition().solve(right).sum();
  sum += Eigen::SelfAdjointEigenSolver<Matrix>(square).eigenvalues().sum();
  sum += Eigen::JacobiSVD<Matrix>(a, Eigen::ComputeThinU | Eigen::ComputeThinV).singularValues().sum();
  sum += square.inverse().sum();
  Matrix grown = square;
  grown.conservativeResize(2 * size, size);
  return sum + grown.topRows(size).sum();
}

}  // namespace

int main(int count, char** arguments) {
  try {
    if (count != 2) {
      std::cerr << "usage: eigen_user CASE\n";
      return 2;
    }
    const double before = own_algebra(7);
    nockwise::ExplanationOptions options;
    options.next_checks = false;
    options.plan = false;
    const nockwise::Explanation answer = nockwise::explain(nockwise::read_case(arguments[1]), options);
    std::cout << "alignment of Eigen here: " << EIGEN_MAX_ALIGN_BYTES << " bytes; " << answer.launches << " launches\n";
    return answer.launches > 0 && std::isfinite(before) && own_algebra(7) == before ? 0 : 1;
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
