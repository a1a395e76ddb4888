// Boost.Odeint's steppers, which launches are checked against (`Launch.IntegratorsAgree`). Private; Boost is known to
// their source alone.
#pragma once

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

  /// One accepted step of the pair; returns what it took.
  /// \throws SolverError when the step shrinks to nothing
  double adaptive_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                       State& rate_new);
  /// The classical rule; the rate at its end is not evaluated.
  void classical_step(SystemReference system, const State& x, const State& rate, double time, State& x_new,
                      double step);
  /// The pair at a given step.
  void pair_step(SystemReference system, const State& x, const State& rate, double time, State& x_new, State& rate_new,
                 double step);

 private:
  struct Implementation;
  LaunchOptions options_;
  std::unique_ptr<Implementation> implementation_;
};

}  // namespace nockwise::detail
