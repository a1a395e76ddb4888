// Brace and full draw of several bows at once. Private; for sweep/sweep.cpp.
//
// Each bow's solution is a task of its own (statics/statics.hpp) and takes its own way; what they have in common is
// that they wait for evaluations of the loads, and these are made together, one bow to a lane.
#pragma once

#include "lanes/dispatch.hpp"
#include "launch/initial_state.hpp"
#include "statics/brace.hpp"

#include <exception>
#include <memory>
#include <optional>
#include <vector>

namespace nockwise::detail {

/// A bow that samples of a sweep share.
template <int Links>
struct SweptBow {
  std::shared_ptr<ModelData> data;  // of the first of them
  bool braced = false;
  FullDraw<Links> draw;
  std::exception_ptr failure;  // of brace or draw

  [[nodiscard]] kernel::Constants<double, Links>& constants() const {
    return std::get<kernel::Constants<double, Links>>(data->constants);
  }
};

/// Brace and draw a bow.
template <int Links>
Task<Done> solve_bow(SweptBow<Links>& bow, EvaluationSlot<Links>* slot) {
  co_await brace(*bow.data, bow.constants(), slot);
  bow.braced = true;
  bow.draw = co_await draw_to_the_wall(*bow.data, bow.constants(), slot);
  co_return Done{};
}

template <int Links>
class StaticsScheduler {
 public:
  /// Solve them all; those that fail keep their `failure`. All of one topology.
  void solve(const LaneBackend& machine, const std::vector<SweptBow<Links>*>& bows) {
    bows_ = &bows;
    next_ = 0;
    seats_.resize(static_cast<std::size_t>(machine.lanes));
    const kernel::Topology& topology = bows.front()->data->topology;
    if constexpr (Links == 1) {
      machine.statics1(topology, {this, next_job});
    } else {
      machine.statics2(topology, {this, next_job});
    }
  }

 private:
  /// A lane's bow.
  struct LaneSolution {
    SweptBow<Links>* bow = nullptr;
    EvaluationSlot<Links> slot;
    std::optional<Task<Done>> task;
  };

  static bool next_job(void* context, int lane, StaticJob<Links>& job) {
    return static_cast<StaticsScheduler*>(context)->next(static_cast<std::size_t>(lane), job);
  }
  bool next(std::size_t lane, StaticJob<Links>& job) {
    LaneSolution& lane_solution = seats_[lane];
    if (lane_solution.task) {
      lane_solution.slot.go_on();
    }
    while (true) {
      if (lane_solution.task && lane_solution.slot.posted()) {
        job = lane_solution.slot.job();
        return true;
      }
      if (lane_solution.task) {
        leave(lane_solution);
      }
      if (next_ == bows_->size()) {
        return false;
      }
      lane_solution.bow = (*bows_)[next_++];
      lane_solution.task.emplace(solve_bow(*lane_solution.bow, &lane_solution.slot));
      lane_solution.task->start();
    }
  }
  static void leave(LaneSolution& lane_solution) {
    try {
      lane_solution.task->take();
    } catch (...) {
      lane_solution.bow->failure = std::current_exception();
    }
    lane_solution.task.reset();
  }

  const std::vector<SweptBow<Links>*>* bows_ = nullptr;
  std::size_t next_ = 0;
  std::vector<LaneSolution> seats_;
};

}  // namespace nockwise::detail
