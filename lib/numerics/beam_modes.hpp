// The lowest bending modes of a free beam of lumped masses joined by a natural cubic spline. Private.
//
// With D the second differences, T = tridiag(1, 4, 1), M the masses and α = 6 EI/h³ the stiffness is K = α Dᵀ T⁻¹ D
// (lib/README.md, "Arrow"). Put u = T⁻¹ D y: the modes of K y = λ M y that bend are those of A u = μ T u with
// A = D M⁻¹ Dᵀ, five diagonals wide, λ = α μ and y = M⁻¹ Dᵀ u. How many μ lie below a shift is the number of negative
// pivots of A − σ T (Sylvester), which brackets each; inverse iteration with Rayleigh's quotient then squares the error
// and more in every step. A few microseconds where a dense solution of all modes takes a third of a launch.
#pragma once

#include <Eigen/Core>

namespace nockwise::detail {

struct BendingModes {
  Eigen::VectorXd frequency;  // angular, lowest first [rad/s]
  Eigen::MatrixXd shapes;     // nodes × modes, mass-normalised [1/√kg]
};

/// The lowest `count` bending modes, at most nodes − 2. The sign of a shape makes its nock (node 0) positive.
BendingModes bending_modes(const Eigen::VectorXd& mass, double spacing, double bending_stiffness, int count);

}  // namespace nockwise::detail
