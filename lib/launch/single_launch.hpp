// One launch from a prepared full draw: the engine (launch/launch_engine.hpp) with a lane of one double. Private.
#pragma once

#include "launch/launch_alone.hpp"
#include "launch/launch_engine.hpp"
#include "launch/methods.hpp"

namespace nockwise::detail {

/// `Method` as in launch/methods.hpp; benchmarks try others. Is itself its engine's `Queue`
/// (launch/launch_engine.hpp): of one launch, whose record, events and trace it keeps.
template <int Links, class Method = ChosenMethod>
class SingleLaunch {
 public:
  SingleLaunch(const Release<Links>& release, const LaunchOptions& options)
      : SingleLaunch(release, options, Method(options)) {}
  SingleLaunch(const Release<Links>& release, const LaunchOptions& options, Method method)
      : release_(release),
        options_(options),
        method_(std::move(method)),
        start_(at_full_draw(release)),
        tracer_(release, options) {}

  Launch run() { return fly().launch; }
  /// \throws StepTooLong when a number is not finite or energy came out of nothing
  FlownLaunch fly() {
    LaunchLimits limits;
    limits.time = options_.time_limit;
    if (!has_fixed_step(options_.integrator)) {
      limits.event_tolerance = 1e-9;
    }
    const int coordinates = kernel::Layout<Links>{release_.topology.modes}.size() + release_.chain.coordinates();
    LaunchEngine<double, Links, Method, SingleLaunch>(release_.topology, coordinates, limits, std::move(method_), *this)
        .run();
    if (diverged_) {
      throw StepTooLong(record_.end.time, "the integration diverged");
    }
    FlownLaunch result = flown(release_, record_, std::move(events_));
    result.launch.trace = tracer_.take();
    return result;
  }

 private:
  friend LaunchEngine<double, Links, Method, SingleLaunch>;

  bool next(int /*lane*/, LaneStart<Links>& start) {
    if (started_) {
      return false;
    }
    started_ = true;
    start.constants = &release_.constants;
    start.chain = release_.chain.pieces > 1 ? &release_.chain : nullptr;
    start.q = start_.q;
    start.v = start_.v;
    start.run_directions = &release_.run_directions;
    start.step = options_.step;
    return true;
  }
  LaunchRecord<Links>& record(int /*lane*/) { return record_; }
  void met(int /*lane*/, const EventRecord& event) {
    EventKind kind{};
    if (event_of(event.function, event.positive, kind)) {
      events_.push_back({kind, event.time});
    }
  }
  void trace(double time, const double* q, const double* v, const kernel::Diagnostics<double>& diagnostics,
             bool attached, bool always) {
    tracer_.observe(time, q, v, diagnostics, attached, always);
  }
  void done(int /*lane*/, bool diverged) { diverged_ = diverged; }

  const Release<Links>& release_;
  const LaunchOptions& options_;
  Method method_;
  Snapshot<Links> start_;
  Tracer<Links> tracer_;
  bool started_ = false, diverged_ = false;
  std::vector<Event> events_;
  LaunchRecord<Links> record_;
};

template <int Links>
FlownLaunch fly_alone(const Release<Links>& release, const LaunchOptions& options) {
  return SingleLaunch<Links>(release, options).fly();
}

// For the sources lib/launch/links_*.cpp.
#define NOCKWISE_FLY_ALONE(links) template FlownLaunch fly_alone(const Release<links>&, const LaunchOptions&);

}  // namespace nockwise::detail
