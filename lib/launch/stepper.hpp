// The integrators behind one face: attempt a step, repeat it shorter to land on an event. Private.
#pragma once

#include "launch/odeint_stepper.hpp"
#include "launch/step_size.hpp"
#include "numerics/nystrom.hpp"

#include <optional>

namespace nockwise::detail {

/// The library's own step (numerics/nystrom.hpp) of the states [q, q̇].
class Nystrom {
 public:
  template <class System>
  void do_step(System& system, const State& x, const State& rate, double time, State& x_new, double step) {
    const auto n = static_cast<int>(x.size() / 2);
    const NystromStep<double> sums(step);
    x_new.resize(x.size());
    const double* q = x.data();
    const double* v = q + n;
    const double* a1 = rate.data() + n;
    double* q_at = x_new.data();
    double* v_at = q_at + n;
    sums.to_second(n, q, v, a1, q_at, v_at);
    system(x_new, second_, time + 0.25 * step);
    const double* a2 = second_.data() + n;
    sums.to_third(n, q, v, a1, a2, q_at, v_at);
    system(x_new, third_, time + 0.7 * step);
    const double* a3 = third_.data() + n;
    sums.to_fourth(n, q, v, a1, a2, a3, q_at, v_at);
    system(x_new, fourth_, time + step);
    sums.to_end(n, q, v, a1, a2, a3, fourth_.data() + n, q_at, v_at);
  }

 private:
  State second_, third_, fourth_;
};

/// One explicit step of the chosen method. `advance` may shorten the step (adaptive) and reports what it took; `land`
/// takes exactly what it is told.
class Stepper {
 public:
  explicit Stepper(const LaunchOptions& options) : options_(options) {
    if (options.integrator != Integrator::nystrom) {
      odeint_.emplace(options);
    }
  }

  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    if (has_fixed_step(options_.integrator)) {
      land(system, x, rate, time, options_.step, x_new, rate_new);
      return options_.step;
    }
    return odeint_->adaptive_step(SystemReference(system), x, rate, time, x_new, rate_new);
  }

  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    if (options_.integrator == Integrator::nystrom) {
      nystrom_.do_step(system, x, rate, time, x_new, step);
      system.arrive(x_new, rate_new, time + step);
    } else if (options_.integrator == Integrator::runge_kutta_4) {
      odeint_->classical_step(SystemReference(system), x, rate, time, x_new, step);
      system.arrive(x_new, rate_new, time + step);
    } else {
      odeint_->pair_step(SystemReference(system), x, rate, time, x_new, rate_new, step);
    }
  }

 private:
  LaunchOptions options_;
  Nystrom nystrom_;
  std::optional<OdeintStepper> odeint_;
};

}  // namespace nockwise::detail
