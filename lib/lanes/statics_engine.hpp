// Static loads of several bows in the lanes of a pack. Private; included by the sources of the instruction sets alone.
//
// Every lane belongs to one bow at a time and evaluates what that bow's solution asks for next (statics/statics.hpp); a
// bow that is done makes room for another. Each operation is rounded as for one double, so that a solution takes the
// same way and ends with the same bits as alone.
#pragma once

#include "lanes/constants.hpp"
#include "lanes/dispatch.hpp"
#include "launch/lane_run_directions.hpp"

#include <algorithm>
#include <memory>

namespace nockwise::detail {

template <class S, int Links>
class LaneStatics;

template <int N, class Isa, int Links>
class LaneStatics<kernel::Pack<N, Isa>, Links> {
 public:
  using S = kernel::Pack<N, Isa>;
  using L = kernel::Layout<Links>;

  LaneStatics(const kernel::Topology& topology, const StaticSupply<Links>& supply)
      : topology_(topology), supply_(supply), constants_(topology.modes) {}

  void run() {
    for (int l = 0; l < N; ++l) {
      take_request(l);
    }
    while (keep_busy()) {
      bool with_energy = false;
      for (int l = 0; l < N; ++l) {
        with_energy = with_energy || (busy_[l] && request_[l].with_energy);
      }
      const auto nothing_else = [](const kernel::HalfMotion<S, Links>(&)[2], kernel::LineLoads<S, Links>&) {};
      const auto loads = kernel::static_loads(constants_.all(), topology_, q_, still_, run_directions_.now(),
                                              with_energy, nothing_else);
      for (int l = 0; l < N; ++l) {
        if (busy_[l]) {
          answer(l, loads);
          take_request(l);
        }
      }
    }
  }

 private:
  void take_request(int l) {
    EvaluationRequest<Links>& request = request_[l];
    busy_[l] = supply_.next(supply_.context, l, request);
    if (!busy_[l] || request.new_constants) {
      // The lane's last bow may be gone now, and with it what idle lanes were made to repeat.
      std::fill_n(idles_, N, false);
    }
    if (!busy_[l]) {
      return;
    }
    if (request.new_constants) {
      constants_.load(l, *request.constants);
      run_directions_.load(l, *request.run_directions);
    } else {
      run_directions_.turn(l, *request.run_directions);
    }
    for (int i = 0; i <= L::lean(1); ++i) {
      q_[i].set(l, request.q[i]);
    }
  }
  /// Lanes without a request repeat another lane's; false when there is none left.
  bool keep_busy() {
    int busy = 0;
    while (busy < N && !busy_[busy]) {
      ++busy;
    }
    if (busy == N) {
      return false;
    }
    for (int l = 0; l < N; ++l) {
      if (!busy_[l] && !idles_[l]) {
        constants_.copy(busy, l);
        idles_[l] = true;
      }
      if (!busy_[l]) {
        run_directions_.copy(busy, l);
        for (int i = 0; i <= L::lean(1); ++i) {
          q_[i].set(l, q_[i][busy]);
        }
      }
    }
    return true;
  }

  void answer(int l, const kernel::StaticLoads<S, Links>& loads) {
    run_directions_.read(l, *request_[l].run_directions);
    kernel::StaticLoads<double, Links>& to = *request_[l].loads;
    for (int h = 0; h < 2; ++h) {
      for (int j = 0; j <= Links; ++j) {
        to.own[h][j] = loads.own[h][j][l];
      }
      to.string_tension[h] = loads.string_tension[h][l];
      to.cable_tension[h] = loads.cable_tension[h][l];
      to.stop_gap[h] = loads.stop_gap[h][l];
    }
    for (int k = 0; k < 3; ++k) {
      to.riser[k] = loads.riser[k][l];
    }
    for (int h = 0; h < 2; ++h) {
      to.lateral.lean[h] = loads.lateral.lean[h][l];
    }
    to.lateral.force = loads.lateral.force[l];
    to.lateral.yaw = loads.lateral.yaw[l];
    to.lateral.roll = loads.lateral.roll[l];
    to.lateral.nock = loads.lateral.nock[l];
    to.nock_force.x = loads.nock_force.x[l];
    to.nock_force.y = loads.nock_force.y[l];
    to.excursion = loads.excursion[l];
    to.energy = loads.energy[l];
  }

  kernel::Topology topology_;
  StaticSupply<Links> supply_;
  LaneConstants<S, Links> constants_;
  LaneRunDirections<S> run_directions_;
  S q_[kernel::max_coordinates] = {}, still_[kernel::max_coordinates] = {};
  EvaluationRequest<Links> request_[N];
  bool busy_[N] = {}, idles_[N] = {};
};

template <class S, int Links>
void run_lane_statics(const kernel::Topology& topology, const StaticSupply<Links>& supply) {
  std::make_unique<LaneStatics<S, Links>>(topology, supply)->run();
}

}  // namespace nockwise::detail
