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

#include <algorithm>
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

// Its members are in statics/solvers.hpp, compiled in lib/statics/links_*.cpp.
#define NOCKWISE_EXTERN(links) extern template class Statics<links>;
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

}  // namespace nockwise::detail
