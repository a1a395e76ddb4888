// How one launch at a time steps, by the library's own method or another. Private; for launch/launch_engine.hpp, which
// tells what it wants of a method in launch/nystrom_method.hpp.
#pragma once

#include "launch/nystrom_method.hpp"
#include "launch/odeint_stepper.hpp"

#include <algorithm>
#include <optional>
#include <utility>

namespace nockwise::detail {

/// Any other method, for one launch at a time. `Method` steps states x = [q, q̇] with rates [q̇, q̈]:
/// `advance(system, x, rate, time, x_new, rate_new)` takes one step of its own choosing and returns it,
/// `land(system, x, rate, time, step, x_new, rate_new)` exactly the one it is told. `system(x, rate, time)` evaluates;
/// a method that leaves it to the engine to evaluate where it ends calls `system.arrive(x, rate, time)` there.
/// `first_part` is the single evaluation of a launch that does not step. `second_part` steps from `states.now`, at
/// `time` [s], to `states.at`: `to_event` by exactly `states.step`, as the event locator set it, otherwise by a step of
/// the method's own choosing, which it leaves in `states.step`.
template <class Method>
class OtherMethod {
 public:
  explicit OtherMethod(Method method) : method_(std::move(method)) {}

  template <class Evaluate>
  void first_part(LaneStates<double>& states, bool steps, const Evaluate& evaluate) {
    if (!steps) {
      go_to(states, states.now.q, states.now.v);
      evaluate(states.second);
    }
  }
  template <class Evaluate>
  void second_part(LaneStates<double>& states, double time, bool to_event, const Evaluate& evaluate) {
    const Eigen::Index n = states.size();
    x_.resize(2 * n);
    rate_.resize(2 * n);
    x_ << Eigen::Map<const State>(states.now.q, n), Eigen::Map<const State>(states.now.v, n);
    rate_ << Eigen::Map<const State>(states.now.v, n), Eigen::Map<const State>(states.now.a, n);
    x_new_ = x_;
    rate_new_ = rate_;
    System<Evaluate> system{states, evaluate, evaluate.contact_modes()};
    if (to_event) {
      method_.land(system, x_, rate_, time, states.step, x_new_, rate_new_);
    } else {
      states.step = method_.advance(system, x_, rate_, time, x_new_, rate_new_);
    }
    knows_end_ = system.knows_end;
    go_to(states, x_new_.data(), x_new_.data() + n);
    std::copy_n(rate_new_.data() + n, n, states.at.a);
  }
  [[nodiscard]] bool knows_end() const { return knows_end_; }
  /// Unknown.
  [[nodiscard]] double roughness(const LaneStates<double>& /*states*/, const double* /*hole_rate*/, int /*first*/,
                                 int /*modes*/) const {
    return 0.0;
  }

 private:
  static void go_to(LaneStates<double>& states, const double* q, const double* v) {
    std::copy_n(q, states.size(), states.at.q);
    std::copy_n(v, states.size(), states.at.v);
  }

  template <class Evaluate>
  struct System {
    LaneStates<double>& states;
    const Evaluate& evaluate;
    const kernel::ContactModes<double>& contact_modes;
    bool knows_end = true;  // whether the method has evaluated where its step ends

    void operator()(const State& x, State& rate, double /*time*/) {
      const Eigen::Index n = states.size();
      go_to(states, x.data(), x.data() + n);
      rate.resize(2 * n);
      evaluate(rate.data() + n);
      rate.head(n) = x.tail(n);
    }
    void arrive(const State& /*x*/, State& /*rate*/, double /*time*/) { knows_end = false; }
  };

  Method method_;
  State x_, rate_, x_new_, rate_new_;
  bool knows_end_ = false;
};

/// The method that the options ask for, one launch at a time.
class ChosenMethod {
 public:
  explicit ChosenMethod(const LaunchOptions& options) {
    if (options.integrator != Integrator::nystrom) {
      other_.emplace(OdeintStepper(options));
    }
  }
  template <class Evaluate>
  void first_part(LaneStates<double>& states, bool steps, const Evaluate& evaluate) {
    if (other_) {
      other_->first_part(states, steps, evaluate);
    } else {
      nystrom_.first_part(states, steps, evaluate);
    }
  }
  template <class Evaluate>
  void second_part(LaneStates<double>& states, double time, bool to_event, const Evaluate& evaluate) {
    if (other_) {
      other_->second_part(states, time, to_event, evaluate);
    } else {
      nystrom_.second_part(states, time, to_event, evaluate);
    }
  }
  [[nodiscard]] bool knows_end() const { return other_ && other_->knows_end(); }
  [[nodiscard]] double roughness(const LaneStates<double>& states, const double* hole_rate, int first,
                                 int modes) const {
    return other_ ? 0.0 : nystrom_.roughness(states, hole_rate, first, modes);
  }

 private:
  Nystrom<double> nystrom_;
  std::optional<OtherMethod<OdeintStepper>> other_;
};

}  // namespace nockwise::detail
