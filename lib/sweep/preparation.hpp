// Samples of a sweep up to full draw. Private; for sweep/sweep.cpp.
//
// Samples of one bow that follow each other share its brace and its draw to the first stop, and those of one hand its
// full draw too. New bows and hands are collected, as many as keep the lanes busy, and solved together
// (sweep/statics_scheduler.hpp). What is shared is what would have been computed,
// to the bit, so that no result depends on the order of samples, on which of them share a thread or on the number of
// threads.
#pragma once

#include "launch/step_size.hpp"
#include "statics/model_access.hpp"
#include "sweep/run.hpp"
#include "sweep/sample.hpp"
#include "sweep/statics_scheduler.hpp"

#include <algorithm>
#include <memory>
#include <tuple>
#include <utility>
#include <vector>

namespace nockwise::detail {

class SweepPreparation {
 public:
  explicit SweepPreparation(SweepRun& run) : run_(run) {}

  /// Samples that are ready for a lane.
  template <int Links>
  SampleQueue<Links>& ready() {
    return of<Links>().ready;
  }
  [[nodiscard]] std::size_t ready_count() const { return of<1>().ready.size() + of<2>().ready.size(); }

  /// Prepare samples until some are ready, have been shot alone or have failed; false when there are none left.
  bool prepare() {
    bool any = false;
    while (unsolved_bows() < bows_at_once() && unsolved_samples() < most_samples) {
      if (run_.stopped()) {
        break;
      }
      const std::size_t index = run_.next++;
      if (index >= run_.count) {
        break;
      }
      any = true;
      run_.attempt(index, nullptr, [&] { start(index); });
      if (unsolved_bows() == 0) {
        break;
      }
    }
    if (unsolved_bows() > 0) {
      solve_bows();
    }
    return any;
  }

  /// A sample that is not for lanes.
  void shoot_alone(std::size_t index, const Model& model) {
    run_.attempt(index, &model, [&] {
      LaunchOptions options = run_.options.launch;
      options.trace = false;
      const Launch launch = nockwise::launch(model, options);
      run_.deliver({index, &model, &launch, ""});
    });
  }

 private:
  static constexpr std::size_t most_samples = 24;

  /// Bows of so many links, and their samples.
  template <int Links>
  struct Stages {
    std::shared_ptr<HeldBow<Links>> last_held;              // of `last_`, if that is of so many links
    std::vector<std::shared_ptr<HeldBow<Links>>> unsolved;  // bows to be drawn and held
    SampleQueue<Links> compiled;                            // samples whose bows are among these, or not yet ready
    SampleQueue<Links> ready;
    StaticsScheduler<Links> scheduler;
  };
  template <int Links>
  Stages<Links>& of() {
    return std::get<Links - 1>(stages_);
  }
  template <int Links>
  [[nodiscard]] const Stages<Links>& of() const {
    return std::get<Links - 1>(stages_);
  }
  [[nodiscard]] std::size_t unsolved_bows() const { return of<1>().unsolved.size() + of<2>().unsolved.size(); }
  [[nodiscard]] std::size_t unsolved_samples() const { return of<1>().compiled.size() + of<2>().compiled.size(); }

  /// New bows to collect: what keeps the lanes busy, but no more than this thread's share of what is left.
  [[nodiscard]] std::size_t bows_at_once() const {
    const std::size_t lanes = 2 * run_.machine.lanes;
    const std::size_t next = std::min(run_.next.load(std::memory_order_relaxed), run_.count);
    return std::clamp((run_.count - next) / run_.threads, std::size_t{1}, lanes);
  }

  /// Compile the setup, and put the sample where it waits.
  void start(std::size_t index) {
    std::shared_ptr<ModelData> data = compile(run_.setup_of(index), last_.get());
    const Setup& setup = data->setup;
    std::visit(
        [&]<int Links>(const kernel::Constants<double, Links>&) {
          if constexpr (Links <= 2) {
            // Lanes know no string in pieces and no other integrator.
            if (setup.string.pieces == 1 && run_.options.launch.integrator == Integrator::nystrom) {
              start_for_lanes<Links>(index, std::move(data));
              return;
            }
          }
          shoot_alone(index, Model(setup));
        },
        data->constants);
  }
  template <int Links>
  void start_for_lanes(std::size_t index, std::shared_ptr<ModelData> data) {
    Stages<Links>& stages = of<Links>();
    const bool same = last_ != nullptr && data->tracks == last_->tracks;
    if (!same || !same_hand(data->setup, last_->setup)) {
      auto held = std::make_shared<HeldBow<Links>>();
      held->data = data;
      if (same) {
        held->bow = stages.last_held->bow;
      } else {
        held->bow = std::make_shared<SharedBow<Links>>();
        held->bow->data = data;
      }
      stages.last_held = held;
      stages.unsolved.push_back(std::move(held));
    }
    last_ = data;
    auto sample = std::make_unique<Sample<Links>>();
    sample->index = index;
    sample->data = std::move(data);
    sample->held = stages.last_held;
    if (unsolved_bows() == 0) {
      make_ready(std::move(sample));
    } else {
      stages.compiled.push_back(std::move(sample));
    }
  }

  void solve_bows() {
    try {
      solve<1>();
      solve<2>();
    } catch (...) {  // some are not solved: no sample of these may be shot
      run_.break_off();
      drop_unsolved<1>();
      drop_unsolved<2>();
      last_ = nullptr;
      return;
    }
    make_all_ready<1>();
    make_all_ready<2>();
  }
  /// Solve the collected bows of so many links, those of one topology together; hands wait for their bow.
  template <int Links>
  void solve() {
    std::vector<HeldBow<Links>*> bows;
    std::vector<HeldBow<Links>*> hands;
    for (const auto& held : of<Links>().unsolved) {
      (held->data == held->bow->data ? bows : hands).push_back(held.get());
    }
    solve(std::move(bows));
    std::erase_if(hands, [](HeldBow<Links>* held) {
      SharedBow<Links>& bow = *held->bow;
      if (bow.braced) {
        take_over_brace(*bow.data, *held->data, held->constants());
      }
      held->failure = bow.failure;
      return bow.failure != nullptr;
    });
    solve(std::move(hands));
  }
  template <int Links>
  void solve(std::vector<HeldBow<Links>*> left) {
    while (!left.empty()) {
      const kernel::Topology topology = left.front()->data->topology;
      const auto others = std::stable_partition(
          left.begin(), left.end(), [&](const HeldBow<Links>* held) { return held->data->topology == topology; });
      of<Links>().scheduler.solve(run_.machine, {left.begin(), others});
      left.erase(left.begin(), others);
    }
  }
  template <int Links>
  void drop_unsolved() {
    of<Links>().unsolved.clear();
    of<Links>().compiled.clear();
  }
  template <int Links>
  void make_all_ready() {
    Stages<Links>& stages = of<Links>();
    for (const auto& held : std::exchange(stages.unsolved, {})) {
      if (held->failure && last_ != nullptr && held->data->tracks == last_->tracks) {
        last_ = nullptr;  // do not reuse a failed bow
      }
    }
    for (std::unique_ptr<Sample<Links>>& sample : std::exchange(stages.compiled, {})) {
      const std::size_t index = sample->index;
      run_.attempt(index, nullptr, [&] { make_ready(std::move(sample)); });
    }
  }

  /// From a solved bow to full draw with the arrow laid on. \throws Error when the bow or the sample cannot be shot
  template <int Links>
  void make_ready(std::unique_ptr<Sample<Links>> sample) {
    const HeldBow<Links>& held = *sample->held;
    if (held.failure && !held.bow->braced) {
      std::rethrow_exception(held.failure);
    }
    auto& c = std::get<kernel::Constants<double, Links>>(sample->data->constants);
    if (sample->data != held.data) {
      take_over_brace(*held.bow->data, *sample->data, c);
    }
    const Model& model = sample->model.emplace(ModelAccess::make(std::move(sample->data)));
    run_.attempt(sample->index, &model, [&] {
      if (held.failure) {
        std::rethrow_exception(held.failure);
      }
      sample->release.reset(new Release<Links>(prepare_release(data_of(model), c, held.draw)));
      const ModelData& data = data_of(model);
      const StableStep stable = stable_step(c.arrow, data.topology.modes, sample->release->rates, Integrator::nystrom,
                                            run_.options.launch.step);
      sample->step = StepSearch({stable.step, stable.usual && data.tried});
      ready<Links>().push_back(std::move(sample));
    });
  }

  SweepRun& run_;
  std::shared_ptr<const ModelData> last_;  // of the last sample for lanes, whose bow the next may share
  std::tuple<Stages<1>, Stages<2>> stages_;
};

}  // namespace nockwise::detail
