// Methods of integration to be compared, as lib/launch/methods.hpp wants them: `advance` takes one step of its own
// choosing and reports it, `land` takes exactly what it is told. Benchmarks only.
#pragma once

#include "launch/methods.hpp"
#include "nockwise/error.hpp"

#include <boost/numeric/odeint.hpp>
#include <boost/numeric/odeint/external/eigen/eigen.hpp>

#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

// Odeint knows the largest element of Eigen's matrices, not of its arrays.
template <>
struct boost::numeric::odeint::vector_space_norm_inf<Eigen::ArrayXd> {
  using result_type = double;
  double operator()(const Eigen::ArrayXd& x) const { return x.abs().maxCoeff(); }
};

namespace nockwise::bench {

namespace odeint = boost::numeric::odeint;
using detail::State;
using Algebra = odeint::vector_space_algebra;

inline constexpr double longest_step = 5e-4;  // [s], as in the library: a longer one could pass a contact unseen

[[noreturn]] inline void give_up(double time) {
  throw SolverError("launch at " + std::to_string(1e3 * time) + " ms", "the step size fell below 1 ps");
}

/// One of Odeint's explicit methods at a fixed step.
template <class Explicit>
class FixedStep {
 public:
  FixedStep(double step, Explicit method) : step_(step), method_(std::move(method)) {}
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    land(system, x, rate, time, step_, x_new, rate_new);
    return step_;
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    method_.do_step(std::ref(system), x, rate, time, x_new, step);
    system(x_new, rate_new, time + step);
  }

 private:
  double step_;
  Explicit method_;
};

using ModifiedMidpoint = FixedStep<odeint::modified_midpoint<State, double, State, double, Algebra>>;
using FixedFehlberg78 = FixedStep<odeint::runge_kutta_fehlberg78<State, double, State, double, Algebra>>;

/// One of Odeint's embedded pairs, its step by tolerance.
template <class Pair>
class ControlledStep {
 public:
  explicit ControlledStep(double tolerance)
      : controlled_(typename Controlled::error_checker_type(tolerance, tolerance)) {}
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    double step = next_;
    while (step > 1e-12) {
      const double tried = step;
      double at = time;
      if (controlled_.try_step(std::ref(system), x, rate, at, x_new, step) == odeint::success) {
        next_ = std::fmin(step, longest_step);
        system(x_new, rate_new, time + tried);
        return tried;
      }
    }
    give_up(time);
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    pair_.do_step(std::ref(system), x, rate, time, x_new, step);
    system(x_new, rate_new, time + step);
  }

 private:
  using Controlled = odeint::controlled_runge_kutta<Pair>;
  double next_ = 1e-4;
  Pair pair_;
  Controlled controlled_;
};

using CashKarp54 = ControlledStep<odeint::runge_kutta_cash_karp54<State, double, State, double, Algebra>>;
using Fehlberg78 = ControlledStep<odeint::runge_kutta_fehlberg78<State, double, State, double, Algebra>>;

/// Odeint's extrapolation method, order and step by tolerance.
class BulirschStoer {
 public:
  explicit BulirschStoer(double tolerance) : method_(tolerance, tolerance, 1.0, 1.0) {}
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    double step = next_;
    const double taken = attempt(system, x, rate, time, step, x_new);
    next_ = std::fmin(step, longest_step);
    system(x_new, rate_new, time + taken);
    return taken;
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    method_.reset();
    State here = x;
    State slope = rate;
    double left = step;
    while (left > 0.0) {
      double tried = left;
      const double taken = attempt(system, here, slope, time + step - left, tried, x_new);
      left = taken >= left ? 0.0 : left - taken;
      system(x_new, rate_new, time + step - left);
      here = x_new;
      slope = rate_new;
    }
    method_.reset();
  }

 private:
  /// Shorten `step` until it is accepted; leaves the next one in it and returns the one taken.
  template <class System>
  double attempt(System& system, const State& x, const State& rate, double time, double& step, State& x_new) {
    while (step > 1e-12) {
      const double tried = step;
      double at = time;
      if (method_.try_step(std::ref(system), x, rate, at, x_new, step) == odeint::success) {
        return tried;
      }
    }
    give_up(time);
  }

  odeint::bulirsch_stoer<State, double, State, double, Algebra> method_;
  double next_ = 1e-4;
};

/// Odeint's Adams–Bashforth–Moulton predictor and corrector, two evaluations per step. Its past is worth nothing beyond
/// a kink: it starts anew, with Runge–Kutta steps, after every event.
template <std::size_t Steps>
class AdamsBashforthMoulton {
 public:
  explicit AdamsBashforthMoulton(double step) : step_(step) {}
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    bool known = true;  // the first evaluation of a step is that of its start
    const auto remember = [&](const State& at, State& slope, double when) {
      if (known) {
        slope = rate;
        known = false;
      } else {
        system(at, slope, when);
      }
    };
    adams_.do_step(remember, x, time, x_new, step_);
    system(x_new, rate_new, time + step_);
    return step_;
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    classical_.do_step(std::ref(system), x, rate, time, x_new, step);
    system(x_new, rate_new, time + step);
    adams_ = Adams();
  }

 private:
  using Classical = odeint::runge_kutta4<State, double, State, double, Algebra>;
  using Adams = odeint::adams_bashforth_moulton<Steps, State, double, State, double, Algebra,
                                                odeint::default_operations, odeint::initially_resizer, Classical>;
  double step_;
  Classical classical_;
  Adams adams_;
};

/// Kick–drift–kick (velocity Verlet), and compositions of it: symplectic but for the forces that depend on velocity,
/// which see it predicted over the step. One evaluation per substep.
class Verlet {
 public:
  /// Shares of the step, one per substep: {1} is second order, triple jump and Suzuki's five are fourth order.
  Verlet(double step, std::vector<double> shares) : step_(step), shares_(std::move(shares)) {}
  static std::vector<double> triple_jump() {
    const double outer = 1.0 / (2.0 - std::cbrt(2.0));
    return {outer, 1.0 - 2.0 * outer, outer};
  }
  static std::vector<double> suzuki() {
    const double outer = 1.0 / (4.0 - std::cbrt(4.0));
    return {outer, outer, 1.0 - 4.0 * outer, outer, outer};
  }
  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    land(system, x, rate, time, step_, x_new, rate_new);
    return step_;
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    const Eigen::Index n = x.size() / 2;
    x_new = x;
    rate_new = rate;
    for (const double share : shares_) {
      const double h = share * step;
      acceleration_ = rate_new.tail(n);
      half_ = x_new.tail(n) + 0.5 * h * acceleration_;
      x_new.head(n) += h * half_;
      x_new.tail(n) = half_ + 0.5 * h * acceleration_;
      system(x_new, rate_new, time);
      x_new.tail(n) = half_ + 0.5 * h * rate_new.tail(n);
      rate_new.head(n) = x_new.tail(n);
    }
  }

 private:
  double step_;
  std::vector<double> shares_;
  State half_, acceleration_;
};

}  // namespace nockwise::bench
