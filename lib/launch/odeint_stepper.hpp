// Boost.Odeint's steppers, which launches are checked against (`Launch.IntegratorsAgree`). Private; Boost is known to
// their source alone.
#pragma once

#include "launch/step_size.hpp"
#include "nockwise/launch.hpp"

#include <Eigen/Core>

#include <memory>

namespace nockwise::detail {

using State = Eigen::ArrayXd;

/// A system of differential equations, wherever it is.
class SystemReference {
 public:
  template <class System>
  explicit SystemReference(System& system)
      : system_(&system), evaluate_([](void* of, const State& x, State& rate, double time) {
          (*static_cast<System*>(of))(x, rate, time);
        }) {}
  void operator()(const State& x, State& rate, double time) const { evaluate_(system_, x, rate, time); }

 private:
  void* system_;
  void (*evaluate_)(void*, const State&, State&, double);
};

/// The classical Runge–Kutta rule, or Dormand and Prince's pair with its step by tolerance.
class OdeintStepper {
 public:
  explicit OdeintStepper(const LaunchOptions& options);
  ~OdeintStepper();
  OdeintStepper(OdeintStepper&& other) noexcept;
  OdeintStepper& operator=(OdeintStepper&& other) noexcept;
  OdeintStepper(const OdeintStepper& other);
  OdeintStepper& operator=(const OdeintStepper& other) = delete;

  /// One step of the method's own choosing, and exactly the one that is told, as launch/methods.hpp wants them: from
  /// x = [q, q̇] at `time` [s], where its rate is `rate`, to `x_new`; `advance` returns the step [s]. The pair gives
  /// `rate_new` too; the classical rule leaves it to the engine (`system.arrive`).
  /// \throws SolverError when an adaptive step shrinks to nothing
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    if (has_fixed_step(options_.integrator)) {
      land(system, x, rate, time, options_.step, x_new, rate_new);
      return options_.step;
    }
    return adaptive_step(SystemReference(system), x, rate, time, x_new, rate_new);
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    if (has_fixed_step(options_.integrator)) {
      classical_step(SystemReference(system), x, rate, time, x_new, step);
      system.arrive(x_new, rate_new, time + step);
    } else {
      pair_step(SystemReference(system), x, rate, time, x_new, rate_new, step);
    }
  }

 private:
  struct Implementation;

  double adaptive_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                       State& rate_new);
  void classical_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                      double step);
  void pair_step(SystemReference system, const State& x, const State& rate, double time, State& x_new, State& rate_new,
                 double step);

  LaunchOptions options_;
  std::unique_ptr<Implementation> implementation_;
};

}  // namespace nockwise::detail
