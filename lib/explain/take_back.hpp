// Work that made the hole worse, where the bow does not answer as foretold: it is taken back before anything else, so
// that a wrong setup never leaves a bow worse than it came in. Private.
//
// The smallest hole on record says how far back: what was done after it is undone, latest first. Holes of a trial, of
// another archer or at another distance do not count, and a difference within the reading errors of both is none.
#pragma once

#include "nockwise/explanation.hpp"

#include <vector>

namespace nockwise::detail {

struct TakeBack {
  std::vector<WorkStep> work;    // in order; none where no earlier hole was smaller
  std::size_t back_to = 0;       // how many steps of the case's work stay
  double up = 0.0, right = 0.0;  // the hole that the bow had then [m]
};

/// Of a case whose tears begin with one of the bow as it stands. Relaxing a hand is no work and stays.
TakeBack to_take_back(const Case& observed);

}  // namespace nockwise::detail
