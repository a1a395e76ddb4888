// The integrators behind one face: attempt a step, repeat it shorter to land on an event. Private; the only room that
// knows Boost.
#pragma once

#include "launch/step_size.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "numerics/nystrom.hpp"

#include <Eigen/Dense>
#include <boost/numeric/odeint.hpp>
#include <boost/numeric/odeint/external/eigen/eigen.hpp>

#include <cmath>

// Odeint knows the largest element of Eigen's matrices, not of its arrays.
template <>
struct boost::numeric::odeint::vector_space_norm_inf<Eigen::ArrayXd> {
  using result_type = double;
  double operator()(const Eigen::ArrayXd& x) const { return x.abs().maxCoeff(); }
};

namespace nockwise::detail {

using State = Eigen::ArrayXd;

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
  explicit Stepper(const LaunchOptions& options)
      : options_(options),
        next_step_(options.step),
        controlled_(Controlled::error_checker_type(options.tolerance, options.tolerance)) {}

  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    if (has_fixed_step(options_.integrator)) {
      land(system, x, rate, time, options_.step, x_new, rate_new);
      return options_.step;
    }
    double step = next_step_;
    for (int attempt = 0; attempt < 60; ++attempt) {
      const double tried = step;
      double at = time;
      const auto outcome = controlled_.try_step(std::ref(system), x, rate, at, x_new, rate_new, step);
      if (outcome == boost::numeric::odeint::success) {
        next_step_ = std::fmin(step, 5e-4);
        return tried;
      }
      if (!(step > 1e-12)) {
        break;
      }
    }
    throw SolverError("launch at " + std::to_string(1e3 * time) + " ms",
                      "the step size fell below 1 ps; the setup is too stiff for the integrator");
  }

  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    if (options_.integrator == Integrator::nystrom) {
      nystrom_.do_step(system, x, rate, time, x_new, step);
      system.arrive(x_new, rate_new, time + step);
    } else if (options_.integrator == Integrator::runge_kutta_4) {
      classical_.do_step(std::ref(system), x, rate, time, x_new, step);
      system.arrive(x_new, rate_new, time + step);
    } else {
      dormand_prince_.do_step(std::ref(system), x, rate, time, x_new, rate_new, step);
    }
  }

 private:
  using Algebra = boost::numeric::odeint::vector_space_algebra;
  using Classical = boost::numeric::odeint::runge_kutta4<State, double, State, double, Algebra>;
  using DormandPrince = boost::numeric::odeint::runge_kutta_dopri5<State, double, State, double, Algebra>;
  using Controlled = boost::numeric::odeint::controlled_runge_kutta<DormandPrince>;

  LaunchOptions options_;
  double next_step_;
  Nystrom nystrom_;
  Classical classical_;
  DormandPrince dormand_prince_;
  Controlled controlled_;
};

}  // namespace nockwise::detail
