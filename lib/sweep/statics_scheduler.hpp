// Brace and full draw of several bows at once, or full draw of one bow in several hands. Private; for
// sweep/preparation.hpp.
//
// Each bow's solution is a task of its own (statics/statics.hpp) and takes its own way; what they have in common is
// that they wait for evaluations of the loads, and these are made together, one bow to a lane.
#pragma once

#include "lanes/dispatch.hpp"
#include "statics/brace.hpp"
#include "sweep/sample.hpp"

#include <exception>
#include <optional>
#include <vector>

namespace nockwise::detail {

/// Hold a bow that is drawn.
template <int Links>
Task<Done> solve_hand(HeldBow<Links>& held, EvaluationSlot<Links>* slot) {
  held.draw = co_await take_in_hand(*held.data, held.constants(), held.bow->draw, slot);
  co_return Done{};
}

/// Brace and draw a bow, and hold it by its first hand.
template <int Links>
Task<Done> solve_bow(HeldBow<Links>& held, EvaluationSlot<Links>* slot) {
  SharedBow<Links>& bow = *held.bow;
  try {
    co_await brace(*held.data, held.constants(), slot);
    bow.braced = true;
    bow.draw = co_await draw_to_the_stop(*held.data, held.constants(), slot);
  } catch (...) {
    bow.failure = std::current_exception();
    throw;
  }
  co_return co_await solve_hand(held, slot);
}

template <int Links>
class StaticsScheduler {
 public:
  /// Solve them all; those that fail keep their `failure`. All of one topology. A bow that is not drawn yet is drawn
  /// for the hand that it has its data from.
  void solve(const LaneBackend& machine, const std::vector<HeldBow<Links>*>& bows) {
    bows_ = &bows;
    next_ = 0;
    lanes_.resize(machine.lanes);
    const kernel::Topology& topology = bows.front()->data->topology;
    if constexpr (Links == 1) {
      machine.statics1(topology, {this, next_request});
    } else {
      machine.statics2(topology, {this, next_request});
    }
  }

 private:
  /// A lane, and the bow that is being solved in it.
  struct Lane {
    HeldBow<Links>* bow = nullptr;
    EvaluationSlot<Links> slot;
    std::optional<Task<Done>> solution;
  };

  static bool next_request(void* context, int lane, EvaluationRequest<Links>& request) {
    auto& scheduler = *static_cast<StaticsScheduler*>(context);
    return scheduler.next(scheduler.lanes_[lane], request);
  }
  /// The lane's last request is answered: its bow's next one, or, if that bow is solved, the first of the next bow.
  bool next(Lane& lane, EvaluationRequest<Links>& request) {
    if (lane.solution) {
      lane.slot.resume();
    }
    while (true) {
      if (lane.solution && lane.slot.occupied()) {
        request = lane.slot.request();
        return true;
      }
      if (lane.solution) {
        end_solution(lane);
      }
      if (next_ == bows_->size()) {
        return false;
      }
      lane.bow = (*bows_)[next_++];
      lane.solution.emplace(lane.bow->data == lane.bow->bow->data ? solve_bow(*lane.bow, &lane.slot)
                                                                  : solve_hand(*lane.bow, &lane.slot));
      lane.solution->start();
    }
  }
  static void end_solution(Lane& lane) {
    try {
      lane.solution->take();
    } catch (...) {
      lane.bow->failure = std::current_exception();
    }
    lane.solution.reset();
  }

  const std::vector<HeldBow<Links>*>* bows_ = nullptr;
  std::size_t next_ = 0;  // bow that no lane has taken yet
  std::vector<Lane> lanes_;
};

}  // namespace nockwise::detail
