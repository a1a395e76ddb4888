#include "beam_modes.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <utility>

namespace nockwise::detail {

namespace {

constexpr int most = 64;  // nodes (kernel::max_nodes)
using Row = std::array<double, most>;

/// A − σ T by its three upper diagonals, factored as L D Lᵀ.
class Pencil {
 public:
  Pencil(const Eigen::VectorXd& mass, int size) : size_(size) {
    for (int i = 0; i < size; ++i) {
      const double left = 1.0 / mass[i];
      const double middle = 1.0 / mass[i + 1];
      const double right = 1.0 / mass[i + 2];
      at(diagonal_, i) = left + 4.0 * middle + right;
      at(first_, i) = -2.0 * (middle + right);
      at(second_, i) = right;
    }
  }

  [[nodiscard]] int size() const { return size_; }
  /// Upper bound of every μ (Gershgorin for A over the least eigenvalue of T, which is above 2).
  [[nodiscard]] double bound() const {
    double largest = 0.0;
    for (int i = 0; i < size_; ++i) {
      largest = std::max(largest, 2.0 * at(diagonal_, i));
    }
    return largest;
  }

  /// Factor at the shift; returns how many μ lie below it.
  int factor(double shift) {
    int below = 0;
    for (int i = 0; i < size_; ++i) {
      double d = at(diagonal_, i) - 4.0 * shift;
      double l1 = at(first_, i) - shift;
      if (i > 0) {
        d -= at(pivot_, i - 1) * at(lower1_, i - 1) * at(lower1_, i - 1);
        l1 -= at(pivot_, i - 1) * at(lower1_, i - 1) * at(lower2_, i - 1);
      }
      if (i > 1) {
        d -= at(pivot_, i - 2) * at(lower2_, i - 2) * at(lower2_, i - 2);
      }
      if (d == 0.0) {
        d = 1e-18 * at(diagonal_, i);  // the shift hit an eigenvalue to the last bit
      }
      const double inverse = 1.0 / d;
      at(pivot_, i) = d;
      at(inverse_, i) = inverse;
      at(lower1_, i) = l1 * inverse;
      at(lower2_, i) = at(second_, i) * inverse;
      below += d < 0.0 ? 1 : 0;
    }
    return below;
  }

  /// Solve (A − σ T) x = x with the last factors.
  void solve(Row& x) const {
    for (int i = 0; i < size_; ++i) {
      if (i > 0) {
        at(x, i) -= at(lower1_, i - 1) * at(x, i - 1);
      }
      if (i > 1) {
        at(x, i) -= at(lower2_, i - 2) * at(x, i - 2);
      }
    }
    for (int i = size_ - 1; i >= 0; --i) {
      at(x, i) *= at(inverse_, i);
      if (i + 1 < size_) {
        at(x, i) -= at(lower1_, i) * at(x, i + 1);
      }
      if (i + 2 < size_) {
        at(x, i) -= at(lower2_, i) * at(x, i + 2);
      }
    }
  }

  /// T x.
  [[nodiscard]] Row weighted(const Row& x) const {
    Row y;
    for (int i = 0; i < size_; ++i) {
      at(y, i) = 4.0 * at(x, i) + (i > 0 ? at(x, i - 1) : 0.0) + (i + 1 < size_ ? at(x, i + 1) : 0.0);
    }
    return y;
  }
  /// xᵀ A x.
  [[nodiscard]] double quadratic(const Row& x) const {
    double sum = 0.0;
    for (int i = 0; i < size_; ++i) {
      double row = at(diagonal_, i) * at(x, i);
      row += i + 1 < size_ ? 2.0 * at(first_, i) * at(x, i + 1) : 0.0;
      row += i + 2 < size_ ? 2.0 * at(second_, i) * at(x, i + 2) : 0.0;
      sum += at(x, i) * row;
    }
    return sum;
  }
  [[nodiscard]] double product(const Row& x, const Row& y) const {
    double sum = 0.0;
    for (int i = 0; i < size_; ++i) {
      sum += at(x, i) * at(y, i);
    }
    return sum;
  }

  static double& at(Row& row, int i) { return row[static_cast<std::size_t>(i)]; }
  static double at(const Row& row, int i) { return row[static_cast<std::size_t>(i)]; }

 private:
  int size_;
  Row diagonal_{}, first_{}, second_{};
  Row pivot_{}, inverse_{}, lower1_{}, lower2_{};
};

/// Rayleigh quotient iteration from the vector in `u` and the shift `mu`, kept inside (low, high). False when it does
/// not settle there.
bool refine(Pencil& pencil, double low, double high, double& mu, Row& u) {
  bool settled = false;
  for (int iteration = 0; iteration < 20; ++iteration) {
    pencil.factor(mu);
    u = pencil.weighted(u);
    pencil.solve(u);
    const double weight = pencil.product(u, pencil.weighted(u));
    const double next = pencil.quadratic(u) / weight;
    const double scale = 1.0 / std::sqrt(weight);
    for (int i = 0; i < pencil.size(); ++i) {
      Pencil::at(u, i) *= scale;
    }
    // Rayleigh's quotient may leave the bracket in the first steps; until it settles the shift stays inside. The step
    // after one below a millionth is at rounding.
    if (next > low && next < high) {
      const bool last = settled;
      settled = std::fabs(next - mu) <= 1e-6 * next;
      mu = next;
      if (last) {
        return true;
      }
    }
  }
  return false;
}

/// Mode `k` from the sine with as many half waves as its moments nearly are; false when the iteration ends elsewhere.
bool from_sine(Pencil& pencil, int k, double& mu, Row& u) {
  const double turn = std::numbers::pi * (k + 1) / (pencil.size() + 1);
  const double twice = 2.0 * std::cos(turn);
  double before = 0.0;
  double here = std::sin(turn);
  for (int i = 0; i < pencil.size(); ++i) {
    Pencil::at(u, i) = here;
    before = std::exchange(here, twice * here - before);
  }
  mu = pencil.quadratic(u) / pencil.product(u, pencil.weighted(u));
  constexpr double apart = 1e-6;  // modes of a beam are much farther from each other
  return refine(pencil, 0.0, std::numeric_limits<double>::infinity(), mu, u) &&
         pencil.factor((1.0 - apart) * mu) == k && pencil.factor((1.0 + apart) * mu) == k + 1;
}

/// Mode `k` by bracketing its eigenvalue, for beams whose modes are no sines.
bool from_bracket(Pencil& pencil, int k, double& mu, Row& u) {
  double low = 0.0;
  double high = 1e-6 * pencil.bound();
  int below = pencil.factor(high);
  while (below <= k) {
    low = high;
    high *= 2.0;
    below = pencil.factor(high);
  }
  for (int i = 0; i < 400 && (high > 1.01 * low || below != k + 1 || pencil.factor(low) != k); ++i) {
    const double middle = low > 0.0 ? std::sqrt(low * high) : 0.25 * high;
    const int found = pencil.factor(middle);
    if (found > k) {
      high = middle;
      below = found;
    } else {
      low = middle;
    }
  }
  mu = 0.5 * (low + high);
  for (int i = 0; i < pencil.size(); ++i) {
    Pencil::at(u, i) = 1.0 + 0.37 * (i % 3) - 0.11 * (i % 5);  // leans towards no mode
  }
  return refine(pencil, low, high, mu, u);
}

}  // namespace

BendingModes bending_modes(const Eigen::VectorXd& mass, double spacing, double bending_stiffness, int count) {
  const auto nodes = static_cast<int>(mass.size());
  Pencil pencil(mass, nodes - 2);
  BendingModes modes{Eigen::VectorXd(count), Eigen::MatrixXd(nodes, count)};
  const double alpha = 6.0 * bending_stiffness / (spacing * spacing * spacing);
  for (int k = 0; k < count; ++k) {
    double mu = 0.0;
    Row u{};
    if (!from_sine(pencil, k, mu, u) && !from_bracket(pencil, k, mu, u)) {
      throw SolverError("arrow.modes", "the bending mode number " + std::to_string(k + 1) + " was not found");
    }
    modes.frequency[k] = std::sqrt(alpha * mu);
    const auto part = [&](int i) { return i >= 0 && i < nodes - 2 ? Pencil::at(u, i) : 0.0; };
    for (int i = 0; i < nodes; ++i) {
      modes.shapes(i, k) = (part(i) - 2.0 * part(i - 1) + part(i - 2)) / mass[i];
    }
    const double size = std::sqrt((mass.array() * modes.shapes.col(k).array().square()).sum());
    modes.shapes.col(k) *= (modes.shapes(0, k) < 0.0 ? -1.0 : 1.0) / size;
  }
  return modes;
}

}  // namespace nockwise::detail
