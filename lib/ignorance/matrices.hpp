// Row-by-row numbers of public values as matrices. Private.
#pragma once

#include "nockwise/ignorance.hpp"

#include <Eigen/Core>

#include <span>
#include <vector>

namespace nockwise::detail {

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

inline Eigen::Map<const Eigen::VectorXd> as_vector(std::span<const double> values) {
  return {values.data(), std::ssize(values)};
}
inline Eigen::Map<const RowMajor> as_matrix(const std::vector<double>& values, std::size_t columns) {
  const std::size_t rows = columns == 0 ? 0 : values.size() / columns;
  return {values.data(), static_cast<Eigen::Index>(rows), static_cast<Eigen::Index>(columns)};
}
inline std::vector<double> as_rows(const Eigen::MatrixXd& matrix) {
  std::vector<double> values(static_cast<std::size_t>(matrix.size()));
  Eigen::Map<RowMajor>(values.data(), matrix.rows(), matrix.cols()) = matrix;
  return values;
}
inline std::vector<double> as_values(const Eigen::VectorXd& vector) { return {vector.begin(), vector.end()}; }

/// J: readings × directions.
inline Eigen::Map<const RowMajor> slope_of(const Ignorance& ignorance, const Sensitivity& sensitivity) {
  return as_matrix(sensitivity.slope, ignorance.directions.size());
}
/// Σ: directions × directions.
inline Eigen::Map<const RowMajor> covariance_of(const Ignorance& ignorance) {
  return as_matrix(ignorance.covariance, ignorance.directions.size());
}

}  // namespace nockwise::detail
