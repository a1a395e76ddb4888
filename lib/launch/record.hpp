// What a launch leaves behind, alone or in a lane: plain numbers. Private.
#pragma once

#include "launch/extremes.hpp"
#include "nockwise/launch.hpp"

#include <cstddef>

namespace nockwise::detail {

/// What a lane needs of a sample at full draw; everything pointed at must last until the lane's result is there.
template <int Links>
struct LaneStart {
  const kernel::Constants<double, Links>* constants = nullptr;
  const double* q = nullptr;  // at full draw, those of the chain last
  const double* v = nullptr;  // as the release lets them go
  const kernel::RunDirections<double>* run_directions = nullptr;
  double step = 0.0;                           // [s]
  const kernel::StringChain* chain = nullptr;  // of a launch alone with its string in pieces
};

/// The whole state at one time.
template <int Links>
struct Snapshot {
  double time = 0.0;
  double q[kernel::max_coordinates + kernel::max_chain_coordinates] = {};
  double v[kernel::max_coordinates + kernel::max_chain_coordinates] = {};
  kernel::RunDirections<double> run_directions{};
};

/// An event function changed its sign (launch/events.hpp).
struct EventRecord {
  int function = 0;
  bool positive = false;  // from here on
  double time = 0.0;
};

template <int Links>
struct LaunchRecord {
  LaunchEnd ended_by = LaunchEnd::arrow_clear;
  bool separated = false;
  std::size_t steps = 0, evaluations = 0;
  double roughness = 0.0;  // of all steps (launch/lane_steps.hpp) [m]
  kernel::RunDirections<double> start_run_directions{};
  Snapshot<Links> exit, end;  // as the nock leaves the string; as it ended
  Extremes<double> extremes;
};

}  // namespace nockwise::detail
