#include "groups/decomposition.hpp"

#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

/// Functions of one source alone, the straight ones first.
std::size_t own_count(const ActiveSource& source) { return source.source->any_way ? 5 : 4; }
std::size_t straight_count(const ActiveSource& source) { return source.source->any_way ? 2 : 1; }

/// Their values, each of mean 0 and variance 1.
void add_own(const ActiveSource& source, double z, double angle, std::vector<double>& to) {
  using std::numbers::sqrt2;
  const double square = z * z;
  if (source.source->any_way) {
    to.insert(to.end(), {sqrt2 * z * std::cos(angle), sqrt2 * z * std::sin(angle), (square - 1.0) / sqrt2,
                         std::sqrt(2.0 / 3.0) * square * std::cos(2.0 * angle),
                         std::sqrt(2.0 / 3.0) * square * std::sin(2.0 * angle)});
  } else {
    to.insert(to.end(), {z, (square - 1.0) / sqrt2, z * (square - 3.0) / std::sqrt(6.0),
                         (square * (square - 6.0) + 3.0) / std::sqrt(24.0)});
  }
}

/// Whom a column of the fit belongs to.
struct Column {
  std::size_t first = 0, second = 0;  // the same of one source alone
  bool straight = false;
};

std::vector<Column> columns_of(const std::vector<ActiveSource>& sources) {
  std::vector<Column> columns;
  for (std::size_t k = 0; k < sources.size(); ++k) {
    for (std::size_t i = 0; i < own_count(sources[k]); ++i) {
      columns.push_back({k, k, i < straight_count(sources[k])});
    }
  }
  for (std::size_t k = 0; k < sources.size(); ++k) {
    for (std::size_t j = 0; j < k; ++j) {
      columns.insert(columns.end(), straight_count(sources[k]) * straight_count(sources[j]), {j, k, false});
    }
  }
  return columns;
}

/// A row of the fit: a shot's functions, in the order of the columns, after the mean.
void fill_row(const std::vector<ActiveSource>& sources, const ShotErrors& errors, Eigen::MatrixXd& rows,
              Eigen::Index row) {
  std::vector<double> own;
  std::vector<std::size_t> begin;
  for (std::size_t k = 0; k < sources.size(); ++k) {
    begin.push_back(own.size());
    add_own(sources[k], errors.normal[k], errors.angle[k], own);
  }
  Eigen::Index column = 0;
  rows(row, column++) = 1.0;
  for (const double each : own) {
    rows(row, column++) = each;
  }
  for (std::size_t k = 0; k < sources.size(); ++k) {
    for (std::size_t j = 0; j < k; ++j) {
      for (std::size_t a = 0; a < straight_count(sources[j]); ++a) {
        for (std::size_t b = 0; b < straight_count(sources[k]); ++b) {
          rows(row, column++) = own[begin[j] + a] * own[begin[k] + b];
        }
      }
    }
  }
}

/// Sums of parts whose errors are independent.
void add(VariancePart& sum, const VariancePart& part) {
  sum.value += part.value;
  sum.error = std::hypot(sum.error, part.error);
}

/// Variance of both values together, and its standard error from their fourth moment.
void fill_variance(const Eigen::MatrixXd& values, Decomposition& result) {
  const auto count = static_cast<double>(values.rows());
  const Eigen::RowVectorXd mean = values.colwise().mean();
  const Eigen::VectorXd square = (values.rowwise() - mean).rowwise().squaredNorm();
  result.variance = square.sum() / (count - 1.0);
  const double fourth = (square.array() - square.mean()).square().sum() / (count - 1.0);
  result.variance_error = std::sqrt(fourth / count);
}

}  // namespace

std::size_t functions_of(const std::vector<ActiveSource>& sources) { return 1 + columns_of(sources).size(); }

Decomposition decompose(const std::vector<ActiveSource>& sources, std::span<const ShotErrors> errors,
                        const std::vector<double>& up, const std::vector<double>& right) {
  const std::vector<Column> columns = columns_of(sources);
  const auto count = static_cast<Eigen::Index>(errors.size());
  const auto fitted = static_cast<Eigen::Index>(1 + columns.size());
  Eigen::MatrixXd rows(count, fitted);
  Eigen::MatrixXd values(count, 2);
  for (Eigen::Index i = 0; i < count; ++i) {
    const auto shot = static_cast<std::size_t>(i);
    fill_row(sources, errors[shot], rows, i);
    values(i, 0) = up[shot];
    values(i, 1) = right[shot];
  }
  Decomposition result;
  fill_variance(values, result);
  const Eigen::MatrixXd inverse = inverse_of(gram_matrix(rows));
  const Eigen::MatrixXd coefficients = inverse * (rows.transpose() * values);
  const Eigen::RowVectorXd left =
      (values - rows * coefficients).colwise().squaredNorm() / static_cast<double>(count - fitted);
  result.rest = left.sum();
  result.alone.resize(sources.size());
  result.straight.resize(sources.size());
  for (std::size_t k = 0; k < sources.size(); ++k) {
    for (std::size_t j = 0; j < k; ++j) {
      result.pairs.push_back({j, k, {}});
    }
  }
  std::size_t pair = 0;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const Column& column = columns[c];
    const auto at = static_cast<Eigen::Index>(c) + 1;
    VariancePart part;
    for (Eigen::Index axis = 0; axis < 2; ++axis) {
      const double square = left[axis] * inverse(at, at);  // of the coefficient's error
      const double found = coefficients(at, axis);
      add(part, {found * found - square, std::sqrt(square * (4.0 * found * found + 2.0 * square))});
    }
    if (column.first == column.second) {
      add(result.alone[column.first], part);
      result.straight[column.first] += column.straight ? part.value : 0.0;
    } else {
      while (result.pairs[pair].first != column.first || result.pairs[pair].second != column.second) {
        ++pair;
      }
      add(result.pairs[pair].part, part);
    }
  }
  return result;
}

}  // namespace nockwise::detail
