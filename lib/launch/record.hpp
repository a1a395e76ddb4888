// What a launch leaves behind, alone or in a lane: plain numbers. Private.
#pragma once

#include "launch/extremes.hpp"
#include "nockwise/launch.hpp"

#include <cstddef>

namespace nockwise::detail {

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
  int watch = 0;
  bool positive = false;  // from here on
  double time = 0.0;
};

template <int Links>
struct LaunchRecord {
  LaunchEnd ended_by = LaunchEnd::arrow_clear;
  bool separated = false;
  std::size_t steps = 0, evaluations = 0;
  kernel::RunDirections<double> start_run_directions{};
  Snapshot<Links> exit, end;  // as the nock leaves the string; as it ended
  Extremes<double> extremes;
};

}  // namespace nockwise::detail
