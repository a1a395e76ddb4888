#include "launch/odeint_stepper.hpp"

#include "nockwise/error.hpp"

#include <boost/numeric/odeint/algebra/vector_space_algebra.hpp>
#include <boost/numeric/odeint/external/eigen/eigen_algebra.hpp>
#include <boost/numeric/odeint/external/eigen/eigen_resize.hpp>
#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>

#include <cmath>

// Odeint knows the largest element of Eigen's matrices, not of its arrays.
template <>
struct boost::numeric::odeint::vector_space_norm_inf<Eigen::ArrayXd> {
  using result_type = double;
  double operator()(const Eigen::ArrayXd& x) const { return x.abs().maxCoeff(); }
};

namespace nockwise::detail {

namespace odeint = boost::numeric::odeint;

struct OdeintStepper::Implementation {
  using Algebra = odeint::vector_space_algebra;
  using Classical = odeint::runge_kutta4<State, double, State, double, Algebra>;
  using DormandPrince = odeint::runge_kutta_dopri5<State, double, State, double, Algebra>;
  using Controlled = odeint::controlled_runge_kutta<DormandPrince>;

  double next_step;
  Classical classical;
  DormandPrince dormand_prince;
  Controlled controlled;

  explicit Implementation(const LaunchOptions& options)
      : next_step(options.step), controlled(Controlled::error_checker_type(options.tolerance, options.tolerance)) {}
};

OdeintStepper::OdeintStepper(const LaunchOptions& options)
    : options_(options), implementation_(std::make_unique<Implementation>(options)) {}
OdeintStepper::~OdeintStepper() = default;
OdeintStepper::OdeintStepper(OdeintStepper&& other) noexcept = default;
OdeintStepper& OdeintStepper::operator=(OdeintStepper&& other) noexcept = default;
OdeintStepper::OdeintStepper(const OdeintStepper& other) : OdeintStepper(other.options_) {}

double OdeintStepper::adaptive_step(SystemReference system, const State& x, const State& rate, double time,
                                    State& x_new, State& rate_new) {
  constexpr double longest = 5e-4;  // [s]: a longer one could pass a contact unseen
  double step = implementation_->next_step;
  for (int attempt = 0; attempt < 60; ++attempt) {
    const double tried = step;
    double at = time;
    if (implementation_->controlled.try_step(system, x, rate, at, x_new, rate_new, step) == odeint::success) {
      implementation_->next_step = std::fmin(step, longest);
      return tried;
    }
    if (!(step > 1e-12)) {
      break;
    }
  }
  throw SolverError("launch at " + std::to_string(1e3 * time) + " ms",
                    "the step size fell below 1 ps; the setup is too stiff for the integrator");
}

void OdeintStepper::classical_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                                   double step) {
  implementation_->classical.do_step(system, x, rate, time, x_new, step);
}

void OdeintStepper::pair_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                              State& rate_new, double step) {
  implementation_->dormand_prince.do_step(system, x, rate, time, x_new, rate_new, step);
}

}  // namespace nockwise::detail
