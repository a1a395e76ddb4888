// Equilibrium of the bow with the riser clamped: brace and draw (lib/README.md, "Statics"). Private.
//
// Unknowns are the joint and cam angles, the leans, and the nock's height and place aside (at brace also its x). The
// let-off valley is soft, so
// every solution starts from the last one and the caller keeps the steps short; a step that does not converge is
// reported, never accepted.
//
// Solutions are tasks (base/task.hpp) that wait for each evaluation of the loads. Alone, these are made at once;
// with a slot to post them to, those of several bows are made together in the lanes of a pack
// (lanes/statics_engine.hpp), to the same bits.
#pragma once

#include "base/task.hpp"
#include "compile/model_data.hpp"
#include "kernel/rest.hpp"
#include "kernel/static_loads.hpp"
#include "statics/evaluation_slot.hpp"
#include "statics/unknowns.hpp"

#include <cmath>
#include <optional>

namespace nockwise::detail {

/// One equilibrium, with what reports need of it.
struct StaticPoint {
  Coordinates q{};
  kernel::Vector2<double> nock_force{};  // of the string on the nock [N]
  double string_tension[2]{}, cable_tension[2]{}, stop_gap[2]{};
  double stored_energy = 0.0;              // strain of limbs, lines and stops, and the limbs' weight [J]
  double excursion = 0.0;                  // beyond a track's range [rad]
  kernel::LateralLoads<double> lateral{};  // of the lines
  double riser_force[3]{};                 // of halves and cord on the riser: x, y, moment about the grip [N, N·m]
};

template <int Links>
class Statics {
 public:
  using L = kernel::Layout<Links>;
  using Constants = kernel::Constants<double, Links>;
  using Vector = UnknownVector;
  using Matrix = UnknownMatrix;
  static_assert(alignof(Matrix) <= __STDCPP_DEFAULT_NEW_ALIGNMENT__ &&
                alignof(Constants) <= __STDCPP_DEFAULT_NEW_ALIGNMENT__);

  static constexpr double exact = 1e-11;

  /// `slot`: where evaluations are posted; null: they are made at once.
  Statics(const Constants& constants, const kernel::Topology& topology, EvaluationSlot<Links>* slot = nullptr)
      : c_(constants), topology_(topology), slot_(slot) {
    for (int h = 0; h < 2; ++h) {
      for (int j = topology.first_link_locked[h] ? 1 : 0; j < Links; ++j) {
        unknowns_[angles_++] = L::joint(h, j);
      }
      unknowns_[angles_++] = L::cam(h);
    }
    first_lateral_ = angles_;
    for (const int lateral : {L::lean(0), L::lean(1), L::string_z}) {
      unknowns_[angles_++] = lateral;
    }
  }

  /// Solve every run's direction anew, from the line between its ends. False when a run has no tangent.
  bool settle(const Coordinates& q);

  /// Brace: the minimum of the strain energy over all unknowns, by a Levenberg-damped Newton iteration.
  /// \throws SolverError when no line-taut equilibrium is found from the starting point.
  Task<StaticPoint> solve_brace(Coordinates q);

  /// Equilibrium with the nock held at `nock_x`, the line of the draw force passing through `pressure_point`. Starts
  /// from `q` (adjusted in place); false when Newton does not converge.
  /// `tolerance`: the last step of the iteration [rad, m].
  Task<bool> solve_draw(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point, StaticPoint& result,
                        double tolerance = exact);

  /// The rest's arm, under the moment `load` of the arrow's weight, joins the unknowns; to start a launch from
  /// equilibrium.
  bool balance_arm(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point, double load,
                   StaticPoint& result);

  /// From here on the nock is not balanced sideways but stands so that the strings turn the riser about +y with
  /// `moment` (Eq. 46).
  void hold_yaw(double moment) {
    yaw_ = moment;
    inverse_.resize(0, 0);
  }

  /// Fill `result` at `q` (run directions settled from the last solution).
  void report(const Coordinates& q, StaticPoint& result) {
    compute(q, run_directions_, true);
    describe(q, result);
  }
  /// The constants have been changed, and the Jacobian with them.
  void constants_changed() {
    constants_posted_ = false;
    inverse_.resize(0, 0);
  }
  [[nodiscard]] const kernel::RunDirections<double>& run_directions() const { return run_directions_; }
  void set_run_directions(const kernel::RunDirections<double>& run_directions) { run_directions_ = run_directions; }
  /// Of the last solution's Jacobian; the next solution starts with it.
  [[nodiscard]] const Matrix& inverse() const { return inverse_; }
  void set_inverse(const Matrix& inverse) { inverse_ = inverse; }
  /// Loads of all lines at `q`; `motion` receives the halves' positions.
  kernel::LineLoads<double, Links> loads(const Coordinates& q, kernel::HalfMotion<double, Links> (&motion)[2]);

 private:
  void motions(const Coordinates& q, kernel::HalfMotion<double, Links> (&m)[2]) const {
    static constexpr Coordinates still{};
    kernel::static_motions(c_, q.data(), still.data(), m);  // NOLINT(clang-analyzer-core.CallAndMessage): as above
  }
  kernel::LineLoads<double, Links> line_loads(const Coordinates& q, const kernel::HalfMotion<double, Links> (&m)[2],
                                              kernel::RunDirections<double>& run_directions) const;
  /// Loads at `q` into `loads_`, and the moment on the arm where that is among the unknowns.
  void compute(const Coordinates& q, kernel::RunDirections<double>& run_directions, bool with_energy);
  /// To be awaited: the same, made here or by whoever serves the slot.
  auto evaluation(const Coordinates& q, kernel::RunDirections<double>& run_directions, bool with_energy) {
    struct Evaluation {
      Statics& statics;
      const Coordinates& q;
      kernel::RunDirections<double>& run_directions;
      bool with_energy;

      bool await_ready() {
        const bool here = statics.slot_ == nullptr || statics.with_arm_;
        if (here) {
          statics.compute(q, run_directions, with_energy);
        }
        return here;
      }
      void await_suspend(std::coroutine_handle<> waiting) {
        statics.slot_->post(
            {&statics.c_, !statics.constants_posted_, q.data(), &run_directions, with_energy, &statics.loads_},
            waiting);
        statics.constants_posted_ = true;
      }
      void await_resume() {}
    };
    return Evaluation{*this, q, run_directions, with_energy};
  }
  /// Generalised forces on the angles (and the arm), in the order of the unknowns.
  void collect(Vector& residual) const {
    int k = 0;
    for (int h = 0; h < 2; ++h) {
      for (int j = topology_.first_link_locked[h] ? 1 : 0; j <= Links; ++j) {
        residual[k++] = loads_.own[h][j];
      }
    }
    residual[k++] = loads_.lateral.lean[0];
    residual[k++] = loads_.lateral.lean[1];
    residual[k++] = yaw_ ? loads_.lateral.yaw - *yaw_ : loads_.lateral.nock;
    if (with_arm_) {
      residual[k] = arm_moment_ + arm_load_;
    }
  }
  void describe(const Coordinates& q, StaticPoint& result) const {
    result.q = q;
    result.nock_force = loads_.nock_force;
    std::copy_n(loads_.string_tension, 2, result.string_tension);
    std::copy_n(loads_.cable_tension, 2, result.cable_tension);
    std::copy_n(loads_.stop_gap, 2, result.stop_gap);
    std::copy_n(loads_.riser, 3, result.riser_force);
    result.lateral = loads_.lateral;
    result.stored_energy = loads_.energy;
    result.excursion = loads_.excursion;
  }
  /// By differences, into `slope_`. `residual(q, r)` makes the residual of what has just been computed.
  template <class Residual>
  [[nodiscard]] Task<Done> jacobian(const Coordinates& q, int count, const Vector& base, const Residual& residual);

  void update_inverse(const Vector& step, const Vector& change);
  /// By which two points of a solution are compared. With the nock held aside, the step that is left (Deuflhard's
  /// natural norm): the strings get longer by the square of the nock's way, and what that little pulls hides how much
  /// nearer it has come.
  [[nodiscard]] double distance(const Vector& residual) const {
    return yaw_ ? (inverse_ * residual).norm() : residual.norm();
  }

  /// A mirrored bow takes the mirrored steps: by what pulls sideways.
  [[nodiscard]] double lateral_sign(const Vector& residual) const {
    for (int i = first_lateral_; i < angles_; ++i) {
      if (residual[i] != 0.0) {
        return residual[i] < 0.0 ? -1.0 : 1.0;
      }
    }
    return 1.0;
  }

  /// Where nothing pulls sideways, nothing moves sideways, to the last bit.
  void keep_in_plane(const Vector& residual, Vector& step) const {
    if (residual.segment(first_lateral_, angles_ - first_lateral_).isZero(0.0)) {
      step.segment(first_lateral_, angles_ - first_lateral_).setZero();
    }
  }

  const Constants& c_;
  const kernel::Topology& topology_;
  EvaluationSlot<Links>* slot_;
  bool constants_posted_ = false;               // to the slot
  kernel::StaticLoads<double, Links> loads_{};  // of the last evaluation
  double arm_moment_ = 0.0;                     // likewise [N·m]
  kernel::RunDirections<double> run_directions_{};
  std::array<int, max_unknowns> unknowns_{};
  int angles_ = 0;             // of the bow, and its nock's place aside
  int first_lateral_ = 0;      // where the lateral ones begin
  std::optional<double> yaw_;  // moment that the strings' is held to in place of a balanced nock [N·m]
  bool with_arm_ = false;
  double arm_load_ = 0.0;
  Matrix slope_{0, 0};
  Matrix inverse_{0, 0};  // of the last solution's Jacobian, to start the next one with
};

template <int Links>
bool Statics<Links>::settle(const Coordinates& q) {
  kernel::HalfMotion<double, Links> m[2]{};
  motions(q, m);
  for (int h = 0; h < 2; ++h) {
    const kernel::Vector2<double> nock{q[L::string_x], kernel::half_sign[h] * q[L::string_y]};
    const auto to_nock = nock - m[h].axle();
    run_directions_.string[h] = kernel::aim(to_nock);
    // NOLINTNEXTLINE(clang-analyzer-core.CallAndMessage): the analyser loses constants copied whole
    if (!kernel::settle_run_direction<kernel::TrackRole::let_out>(run_directions_.string[h], c_.half[h].string_track,
                                                                  m[h].cam, {}, to_nock)) {
      return false;
    }
    const auto across = kernel::mirror(m[1 - h].axle()) - m[h].axle();
    run_directions_.cable[h] = kernel::aim(across);
    const bool let_out = topology_.cable_end[h] == CableEnd::let_out;
    const kernel::FarEnd<double> far{let_out ? &c_.half[1 - h].let_out_track : nullptr, m[1 - h].cam};
    if (!kernel::settle_run_direction<kernel::TrackRole::take_up>(run_directions_.cable[h], c_.half[h].take_up_track,
                                                                  m[h].cam, far, across)) {
      return false;
    }
  }
  return true;
}

template <int Links>
bool Statics<Links>::balance_arm(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point, double load,
                                 StaticPoint& result) {
  with_arm_ = true;
  arm_load_ = load;
  const bool done = run_to_end(solve_draw(q, nock_x, pressure_point, result));
  with_arm_ = false;
  return done;
}

template <int Links>
kernel::LineLoads<double, Links> Statics<Links>::loads(const Coordinates& q,
                                                       kernel::HalfMotion<double, Links> (&motion)[2]) {
  motions(q, motion);
  return line_loads(q, motion, run_directions_);
}

template <int Links>
kernel::LineLoads<double, Links> Statics<Links>::line_loads(const Coordinates& q,
                                                            const kernel::HalfMotion<double, Links> (&m)[2],
                                                            kernel::RunDirections<double>& run_directions) const {
  static constexpr Coordinates still{};
  kernel::LineLoads<double, Links> loads;
  const auto riser = kernel::riser_motion<double, Links>(q.data(), still.data());
  kernel::add_line_loads(c_, topology_, m, riser, kernel::still_ends<double, Links>(q.data()),
                         kernel::still_lateral<double, Links>(q.data()), q.data(), still.data(), run_directions, loads);
  return loads;
}

template <int Links>
void Statics<Links>::compute(const Coordinates& q, kernel::RunDirections<double>& run_directions, bool with_energy) {
  static constexpr Coordinates still{};
  const auto add_arm = [&](const kernel::HalfMotion<double, Links>(&m)[2], kernel::LineLoads<double, Links>& loads) {
    if (!with_arm_) {
      return;
    }
    const auto riser =
        kernel::in_side_frame(kernel::riser_motion<double, Links>(q.data(), still.data()), topology_.cord_half);
    const kernel::ArmMotion<double> arm{q[L::rest_arm], 0.0};
    kernel::RestState<double> rest;
    if (topology_.rest == RestKind::limb_driven) {
      kernel::add_limb_cord(c_.rest, topology_, riser, m, c_.half, arm, loads, rest);
    } else {
      kernel::add_cable_cord(c_.rest, topology_, riser, m, arm, loads, rest);
    }
    kernel::add_arm_loads(c_.rest, topology_.rest, arm, rest);
    arm_moment_ = rest.arm_moment;
  };
  loads_ = kernel::static_loads(c_, topology_, q.data(), still.data(), run_directions, with_energy, add_arm);
}

template <int Links>
template <class Residual>
auto Statics<Links>::jacobian(const Coordinates& q, int count, const Vector& base, const Residual& residual)
    -> Task<Done> {
  constexpr double step = 1e-7;
  slope_.resize(count, count);
  Vector r(count);
  for (int i = 0; i < count; ++i) {
    Coordinates moved = q;
    const double taken = i >= first_lateral_ && i < angles_ ? step * lateral_sign(base) : step;
    moved[unknowns_[i]] += taken;
    kernel::RunDirections<double> run_directions = run_directions_;
    co_await evaluation(moved, run_directions, false);
    residual(moved, r);
    slope_.col(i) = (r - base) / taken;
  }
  co_return Done{};
}

template <int Links>
Task<bool> Statics<Links>::solve_draw(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point,
                                      StaticPoint& result, double tolerance) {
  q[L::string_x] = nock_x;
  int count = angles_;
  if (with_arm_) {
    unknowns_[count++] = L::rest_arm;
  }
  const int height_row = count;
  unknowns_[count++] = L::string_y;
  const auto residual = [this, height_row, pressure_point](const Coordinates& at, Vector& r) {
    collect(r);
    const kernel::Vector2<double> arm{at[L::string_x] - pressure_point.x, at[L::string_y] - pressure_point.y};
    r[height_row] = kernel::cross(arm, loads_.nock_force);
  };
  Vector r(count);
  co_await evaluation(q, run_directions_, false);
  residual(q, r);
  bool renew = inverse_.rows() != count;
  for (int iteration = 0; iteration < 40; ++iteration) {
    if (!std::isfinite(r.norm())) {
      break;
    }
    if (renew) {
      co_await jacobian(q, count, r, residual);
      inverse_ = inverse_of(slope_);
    }
    Vector step = -(inverse_ * r);
    const double norm = distance(r);
    keep_in_plane(r, step);
    const double largest = step.cwiseAbs().maxCoeff();
    if (!std::isfinite(largest)) {
      break;
    }
    if (largest > 0.1) {
      step *= 0.1 / largest;
    }
    const Vector before = r;
    double next = norm;
    Coordinates moved = q;
    double scale = 1.0;
    for (int halving = 0; halving < 6; ++halving, scale *= 0.5) {
      for (int i = 0; i < count; ++i) {
        const auto at = unknowns_[i];
        moved[at] = q[at] + scale * step[i];
      }
      co_await evaluation(moved, run_directions_, false);
      residual(moved, r);
      next = distance(r);
      if (next < norm || before.norm() < 1e-8) {
        break;
      }
    }
    // The Jacobian is computed anew where the residual has hardly fallen, else corrected by the step.
    renew = next > 0.4 * norm && r.norm() > 1e-9;
    if (!renew) {
      update_inverse(scale * step, r - before);
    }
    q = moved;
    if (scale * largest < tolerance && r.norm() < 1e4 * tolerance) {
      co_await evaluation(q, run_directions_, true);
      describe(q, result);
      co_return true;
    }
  }
  inverse_.resize(0, 0);
  co_return false;
}

/// Broyden's good update of the inverse Jacobian (Math. Comp. 19, 1965), by the residual's change over a step.
template <int Links>
void Statics<Links>::update_inverse(const Vector& step, const Vector& change) {
  const Vector image = inverse_ * change;
  const double along = step.dot(image);
  if (std::fabs(along) > 0.1 * step.squaredNorm()) {
    const Vector row = inverse_.transpose() * step;
    inverse_ += ((step - image) / along) * row.transpose();
  }
}

template <int Links>
Task<StaticPoint> Statics<Links>::solve_brace(Coordinates q) {
  StaticPoint result;
  const auto fail = [](const std::string& why) { return SolverError("brace", why); };
  if (!settle(q)) {
    throw fail("a string or cable cannot lie taut between its ends; check the tracks and the axle-to-axle length");
  }
  int count = angles_;
  unknowns_[count++] = L::string_x;
  unknowns_[count++] = L::string_y;
  const auto residual = [this, count](const Coordinates& /*at*/, Vector& r) {
    collect(r);
    r[count - 2] = loads_.nock_force.x;
    r[count - 1] = loads_.nock_force.y;
  };
  Vector r(count);
  co_await evaluation(q, run_directions_, true);
  residual(q, r);
  double energy = loads_.energy;
  double damping = 1.0;
  bool converged = false;
  for (int iteration = 0; iteration < 300 && !converged; ++iteration) {
    co_await jacobian(q, count, r, residual);
    Matrix h = -slope_;
    h = (0.5 * (h + h.transpose())).eval();
    bool accepted = false;
    for (int trial = 0; trial < 30 && !accepted; ++trial) {
      Matrix damped = h;
      damped.diagonal().array() += damping;
      Vector step(count);
      if (!solve_positive_definite(damped, r, step) || !step.allFinite() || step.cwiseAbs().maxCoeff() > 0.2) {
        damping = std::max(4.0 * damping, 1e-3);
        continue;
      }
      keep_in_plane(r, step);
      Coordinates moved = q;
      for (int i = 0; i < count; ++i) {
        moved[unknowns_[i]] += step[i];
      }
      const kernel::RunDirections<double> kept = run_directions_;
      Vector next(count);
      if (settle(moved)) {
        co_await evaluation(moved, run_directions_, true);
        residual(moved, next);
        if (loads_.energy <= energy + 1e-12 * std::fabs(energy) || next.norm() < r.norm()) {
          accepted = true;
          converged = step.cwiseAbs().maxCoeff() < 1e-10 && next.norm() < 1e-6;
          q = moved;
          r = next;
          energy = loads_.energy;
          damping *= damping > 1e-12 ? 0.2 : 1.0;
          continue;
        }
      }
      run_directions_ = kept;
      damping = std::max(4.0 * damping, 1e-3);
    }
    if (!accepted) {
      break;
    }
  }
  if (!converged) {
    throw fail("no equilibrium was found; check that string and cable lengths fit the limbs and tracks");
  }
  co_await evaluation(q, run_directions_, true);
  describe(q, result);
  for (int side = 0; side < 2; ++side) {
    if (!(result.string_tension[side] > 0.0)) {
      throw fail("the string is slack: it is too long, or the limbs are too weak, for this brace");
    }
    if (!(result.cable_tension[side] > 0.0)) {
      throw fail(std::string("the ") + half_name(side) + " cable is slack: it is too long for this brace");
    }
  }
  co_return result;
}

// Compiled in lib/statics/links_*.cpp.
#define NOCKWISE_EXTERN(links) extern template class Statics<links>;
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::detail
