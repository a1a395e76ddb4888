// One evaluation of a bow's static loads that somebody else is to make. Private.
//
// Plain data: it crosses the border to the lanes of one instruction set (lanes/dispatch.hpp).
#pragma once

#include "kernel/static_loads.hpp"

namespace nockwise::detail {

template <int Links>
struct EvaluationRequest {
  const kernel::Constants<double, Links>* constants = nullptr;
  bool new_constants = false;  // since the last request from this slot
  const double* q = nullptr;
  kernel::RunDirections<double>* run_directions = nullptr;  // start of their iteration; receives its end
  bool with_energy = false;
  kernel::StaticLoads<double, Links>* loads = nullptr;  // receives the answer
};

}  // namespace nockwise::detail
