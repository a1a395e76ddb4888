#include "numerics/beam_modes.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

namespace nockwise::detail {

namespace {

constexpr int most = 64;  // nodes (kernel::max_nodes)
/// As many modes at once as a launch keeps by default: each pivot waits for a division, and several waits run together.
constexpr int lane_count = 6;
using Lanes = Eigen::Array<double, lane_count, 1>;
using Rows = std::array<Lanes, most>;

template <class T>
T& at(std::array<T, most>& row, int i) {
  return row[i];
}
template <class T>
const T& at(const std::array<T, most>& row, int i) {
  return row[i];
}
Lanes all(double value) { return Lanes::Constant(value); }

/// A − σ T by its three upper diagonals, factored as L D Lᵀ at one shift per lane.
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

  void factor(const Lanes& shift) {
    for (int i = 0; i < size_; ++i) {
      Lanes d = at(diagonal_, i) - 4.0 * shift;
      Lanes l1 = at(first_, i) - shift;
      if (i > 0) {
        d -= at(pivot_, i - 1) * at(lower1_, i - 1) * at(lower1_, i - 1);
        l1 -= at(pivot_, i - 1) * at(lower1_, i - 1) * at(lower2_, i - 1);
      }
      if (i > 1) {
        d -= at(pivot_, i - 2) * at(lower2_, i - 2) * at(lower2_, i - 2);
      }
      d += 1e-18 * at(diagonal_, i);  // below rounding, and no zero where the shift hits an eigenvalue to the last bit
      const Lanes inverse = 1.0 / d;
      at(pivot_, i) = d;
      at(inverse_, i) = inverse;
      at(lower1_, i) = l1 * inverse;
      at(lower2_, i) = at(second_, i) * inverse;
    }
  }
  /// How many μ lie below each shift.
  Lanes below(const Lanes& shift) {
    factor(shift);
    Lanes count = all(0.0);
    for (int i = 0; i < size_; ++i) {
      count += (at(pivot_, i) < 0.0).cast<double>();
    }
    return count;
  }

  /// Solve (A − σ T) x = x with the last factors.
  void solve(Rows& x) const {
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

  /// x becomes T x.
  void weigh(Rows& x) const {
    Lanes before = all(0.0);
    for (int i = 0; i < size_; ++i) {
      const Lanes here = at(x, i);
      at(x, i) = weighted(x, i, before);
      before = here;
    }
  }
  /// xᵀ T x.
  [[nodiscard]] Lanes weight(const Rows& x) const {
    Lanes sum = all(0.0);
    Lanes before = all(0.0);
    for (int i = 0; i < size_; ++i) {
      sum += at(x, i) * weighted(x, i, before);
      before = at(x, i);
    }
    return sum;
  }
  /// xᵀ A x.
  [[nodiscard]] Lanes quadratic(const Rows& x) const {
    Lanes sum = all(0.0);
    for (int i = 0; i < size_; ++i) {
      Lanes row = at(diagonal_, i) * at(x, i);
      if (i + 1 < size_) {
        row += 2.0 * at(first_, i) * at(x, i + 1);
      }
      if (i + 2 < size_) {
        row += 2.0 * at(second_, i) * at(x, i + 2);
      }
      sum += at(x, i) * row;
    }
    return sum;
  }

 private:
  [[nodiscard]] Lanes weighted(const Rows& x, int i, const Lanes& before) const {
    Lanes sum = 4.0 * at(x, i) + before;
    if (i + 1 < size_) {
      sum += at(x, i + 1);
    }
    return sum;
  }

  int size_;
  std::array<double, most> diagonal_{}, first_{}, second_{};
  Rows pivot_, inverse_, lower1_, lower2_;
};

/// Some modes on their way: shifts, vectors and what has settled, a lane each.
struct Group {
  Lanes mu;
  Rows u;
};

/// Rayleigh quotient iteration from the vectors and shifts of a group, kept inside (low, high). Returns the lanes that
/// settle there.
Eigen::Array<bool, lane_count, 1> refine(Pencil& pencil, const Lanes& low, const Lanes& high, Group& group) {
  using Flags = Eigen::Array<bool, lane_count, 1>;
  Flags settled = Flags::Constant(false);
  Flags done = Flags::Constant(false);
  for (int iteration = 0; iteration < 20 && !done.all(); ++iteration) {
    pencil.factor(group.mu);
    pencil.weigh(group.u);
    pencil.solve(group.u);
    const Lanes weight = pencil.weight(group.u);
    const Lanes quotient = pencil.quadratic(group.u) / weight;
    const Lanes scale = 1.0 / weight.sqrt();
    for (int i = 0; i < pencil.size(); ++i) {
      at(group.u, i) *= scale;
    }
    // Rayleigh's quotient may leave the bracket in the first steps; until it settles the shift stays inside. The step
    // after one below a millionth is at rounding; what has settled stays there while others go on.
    const Flags inside = quotient > low && quotient < high;
    done = done || (inside && settled);
    settled = inside && (quotient - group.mu).abs() <= 1e-6 * quotient;
    group.mu = inside.select(quotient, group.mu);
  }
  return done;
}

/// Modes `first` and on, each from the sine with as many half waves as its moments nearly are; returns the lanes whose
/// iteration ends where it should.
Eigen::Array<bool, lane_count, 1> from_sines(Pencil& pencil, int first, Group& group) {
  const Lanes number = Lanes::LinSpaced(lane_count, first, first + lane_count - 1);
  const Lanes turn = (number + 1.0) * (std::numbers::pi / (pencil.size() + 1));
  const Lanes twice = 2.0 * turn.cos();
  Lanes before = all(0.0);
  Lanes here = turn.sin();
  for (int i = 0; i < pencil.size(); ++i) {
    at(group.u, i) = here;
    const Lanes next = twice * here - before;
    before = here;
    here = next;
  }
  group.mu = pencil.quadratic(group.u) / pencil.weight(group.u);
  const Eigen::Array<bool, lane_count, 1> settled =
      refine(pencil, all(0.0), all(std::numeric_limits<double>::infinity()), group);
  constexpr double apart = 1e-6;  // modes of a beam are much farther from each other
  return settled && pencil.below((1.0 - apart) * group.mu) == number &&
         pencil.below((1.0 + apart) * group.mu) == number + 1.0;
}

/// Mode `k`, in every lane, by bracketing its eigenvalue: for beams whose modes are no sines.
bool from_bracket(Pencil& pencil, int k, Group& group) {
  const auto below = [&](double shift) { return static_cast<int>(pencil.below(all(shift))[0]); };
  double low = 0.0;
  double high = 1e-6 * pencil.bound();
  int found_below = below(high);
  while (found_below <= k) {
    low = high;
    high *= 2.0;
    found_below = below(high);
  }
  for (int i = 0; i < 400 && (high > 1.01 * low || found_below != k + 1 || below(low) != k); ++i) {
    const double middle = low > 0.0 ? std::sqrt(low * high) : 0.25 * high;
    const int found = below(middle);
    if (found > k) {
      high = middle;
      found_below = found;
    } else {
      low = middle;
    }
  }
  group.mu = all(0.5 * (low + high));
  for (int i = 0; i < pencil.size(); ++i) {
    at(group.u, i) = all(1.0 + 0.37 * (i % 3) - 0.11 * (i % 5));  // leans towards no mode
  }
  return refine(pencil, all(low), all(high), group)[0];
}

/// Shape and frequency number `k` from a lane of a group.
void take_mode(const Group& group, int lane, const Eigen::VectorXd& mass, double alpha, int k, BendingModes& modes) {
  const auto nodes = static_cast<int>(mass.size());
  modes.frequency[k] = std::sqrt(alpha * group.mu[lane]);
  const auto part = [&](int i) { return i >= 0 && i < nodes - 2 ? at(group.u, i)[lane] : 0.0; };
  double weight = 0.0;
  for (int i = 0; i < nodes; ++i) {
    const double moment = part(i) - 2.0 * part(i - 1) + part(i - 2);
    modes.shapes(i, k) = moment / mass[i];
    weight += moment * modes.shapes(i, k);
  }
  modes.shapes.col(k) *= (modes.shapes(0, k) < 0.0 ? -1.0 : 1.0) / std::sqrt(weight);
}

}  // namespace

BendingModes bending_modes(const Eigen::VectorXd& mass, double spacing, double bending_stiffness, int count) {
  const auto nodes = static_cast<int>(mass.size());
  Pencil pencil(mass, nodes - 2);
  BendingModes modes{Eigen::VectorXd(count), Eigen::MatrixXd(nodes, count)};
  const double alpha = 6.0 * bending_stiffness / (spacing * spacing * spacing);
  Group group;
  for (int first = 0; first < count; first += lane_count) {
    const auto found = from_sines(pencil, first, group);
    for (int k = first; k < std::min(first + lane_count, count); ++k) {
      if (found[k - first]) {
        take_mode(group, k - first, mass, alpha, k, modes);
        continue;
      }
      Group alone;
      if (!from_bracket(pencil, k, alone)) {
        throw SolverError("arrow.modes", "the bending mode number " + std::to_string(k + 1) + " was not found");
      }
      take_mode(alone, 0, mass, alpha, k, modes);
    }
  }
  return modes;
}

}  // namespace nockwise::detail
