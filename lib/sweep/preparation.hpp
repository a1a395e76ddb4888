// Samples of a sweep up to full draw. Private; for sweep/sweep.cpp.
//
// Samples of one bow that follow each other share its brace and its full draw. New bows are collected, as many as keep
// the lanes busy, and solved together (sweep/statics_scheduler.hpp). What is shared is what would have been computed,
// to the bit, so that no result depends on the order of samples, on the company they are in or on the number of
// threads.
#pragma once

#include "launch/step_size.hpp"
#include "sweep/shared_state.hpp"
#include "sweep/statics_scheduler.hpp"

#include <algorithm>
#include <memory>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

namespace nockwise::detail {

/// A launch at full draw, ready for a lane.
template <int Links>
struct Ready {
  std::size_t index = 0;
  std::optional<Model> model;
  Release<Links> release;
  double step = 0.0;  // [s]
  int quarters = 0;   // how often it was too long
};
template <int Links>
using ReadyQueue = std::vector<std::unique_ptr<Ready<Links>>>;

class SweepPreparation {
 public:
  explicit SweepPreparation(SweepRun& run) : run_(run) {}

  template <int Links>
  ReadyQueue<Links>& queue() {
    if constexpr (Links == 1) {
      return one_;
    } else {
      return two_;
    }
  }
  [[nodiscard]] std::size_t waiting() const { return one_.size() + two_.size(); }

  /// Take samples until some are queued or shot, or have failed; false when there are none left.
  bool prepare() {
    bool any = false;
    while (bows_.size() < bows_at_once() && (samples_.size() < most_samples)) {
      if (run_.stopped()) {
        break;
      }
      const std::size_t index = run_.next++;
      if (index >= run_.count) {
        break;
      }
      any = true;
      run_.attempt(index, nullptr, [&] { take_in(index); });
      if (bows_.empty()) {  // nothing to solve
        break;
      }
    }
    solve_and_queue();
    return any;
  }

  /// A sample that is not for lanes.
  void shoot_alone(std::size_t index, const Model& model) {
    run_.attempt(index, &model, [&] {
      LaunchOptions options = run_.options.launch;
      options.trace = false;
      const Launch launch = nockwise::launch(model, options);
      run_.give({index, &model, &launch, ""});
    });
  }

 private:
  static constexpr std::size_t most_samples = 24;

  using AnyBow = std::variant<std::shared_ptr<SweptBow<1>>, std::shared_ptr<SweptBow<2>>>;
  /// A sample whose bow is to be solved first.
  struct Sample {
    std::size_t index;
    std::shared_ptr<ModelData> data;
    AnyBow bow;
  };

  /// New bows to collect: what keeps the lanes busy, but no more than this thread's share of what is left.
  [[nodiscard]] std::size_t bows_at_once() const {
    const std::size_t lanes = 2 * static_cast<std::size_t>(run_.machine.lanes);
    const std::size_t next = std::min(run_.next.load(std::memory_order_relaxed), run_.count);
    return std::clamp((run_.count - next) / run_.threads, std::size_t{1}, lanes);
  }

  void take_in(std::size_t index) {
    const Setup setup = run_.setup_of(index);
    std::shared_ptr<ModelData> data = compile(setup, like_.get());
    std::visit(
        [&]<int Links>(const kernel::Constants<double, Links>&) {
          if constexpr (Links <= 2) {
            // Lanes know no other string and no other step.
            if (setup.string.pieces == 1 && run_.options.launch.integrator == Integrator::nystrom) {
              take_in_for_lanes<Links>(index, std::move(data));
              return;
            }
          }
          shoot_alone(index, Model(setup));
        },
        data->constants);
  }
  template <int Links>
  void take_in_for_lanes(std::size_t index, std::shared_ptr<ModelData> data) {
    const bool known = like_ != nullptr && data->tracks == like_->tracks;
    if (!known) {
      auto bow = std::make_shared<SweptBow<Links>>();
      bow->data = data;
      bow_ = bow;
      bows_.push_back(bow_);
    }
    like_ = data;
    if (bows_.empty()) {
      queue_up<Links>(index, std::move(data), *std::get<std::shared_ptr<SweptBow<Links>>>(bow_));
    } else {
      samples_.push_back({index, std::move(data), bow_});
    }
  }

  void solve_and_queue() {
    if (bows_.empty()) {
      return;
    }
    try {
      solve<1>(scheduler_one_, run_.machine);
      solve<2>(scheduler_two_, run_.machine);
    } catch (...) {  // some are not solved: nothing of this may be shot
      run_.break_off();
      bows_.clear();
      samples_.clear();
      like_ = nullptr;
      return;
    }
    bows_.clear();
    for (Sample& sample : std::exchange(samples_, {})) {
      std::visit(
          [&]<int Links>(const std::shared_ptr<SweptBow<Links>>& bow) {
            run_.attempt(sample.index, nullptr, [&] { queue_up<Links>(sample.index, std::move(sample.data), *bow); });
          },
          sample.bow);
    }
    std::visit(
        [&](const auto& bow) {
          if (bow->failure) {  // what follows had better not be like it
            like_ = nullptr;
          }
        },
        bow_);
  }
  /// Solve the collected bows of so many links, those of one topology together.
  template <int Links>
  void solve(StaticsScheduler<Links>& scheduler, const LaneBackend& machine) {
    std::vector<SweptBow<Links>*> left;
    for (const AnyBow& bow : bows_) {
      if (const auto* mine = std::get_if<std::shared_ptr<SweptBow<Links>>>(&bow)) {
        left.push_back(mine->get());
      }
    }
    while (!left.empty()) {
      const kernel::Topology topology = left.front()->data->topology;
      const auto others = std::stable_partition(
          left.begin(), left.end(), [&](const SweptBow<Links>* bow) { return bow->data->topology == topology; });
      scheduler.solve(machine, {left.begin(), others});
      left.erase(left.begin(), others);
    }
  }

  /// From a solved bow to a launch that is ready. \throws Error when the bow or the sample cannot be shot
  template <int Links>
  void queue_up(std::size_t index, std::shared_ptr<ModelData> data, const SweptBow<Links>& bow) {
    if (bow.failure && !bow.braced) {
      std::rethrow_exception(bow.failure);
    }
    auto& c = std::get<kernel::Constants<double, Links>>(data->constants);
    if (data != bow.data) {
      take_over_brace(*bow.data, *data, c);
    }
    const Model model(std::move(data));
    run_.attempt(index, &model, [&] {
      if (bow.failure) {
        std::rethrow_exception(bow.failure);
      }
      // Made in place: a release is twelve kilobytes.
      std::unique_ptr<Ready<Links>> ready(
          new Ready<Links>{index, model, prepare_release(model.data(), c, bow.draw), 0.0, 0});
      ready->step = stable_step(c.arrow, model.data().topology.modes, Integrator::nystrom, run_.options.launch.step);
      queue<Links>().push_back(std::move(ready));
    });
  }

  SweepRun& run_;
  ReadyQueue<1> one_;
  ReadyQueue<2> two_;
  std::shared_ptr<const ModelData> like_;  // of the last sample for lanes; its bow is `bow_`
  AnyBow bow_;
  std::vector<AnyBow> bows_;  // to be solved
  std::vector<Sample> samples_;
  StaticsScheduler<1> scheduler_one_;
  StaticsScheduler<2> scheduler_two_;
};

}  // namespace nockwise::detail
