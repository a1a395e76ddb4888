// The bows that may be behind what was seen: what an explanation hands to the plan. Private.
#pragma once

#include "causes/fit.hpp"

namespace nockwise::detail {

/// A bow that would show what was seen.
struct PlausibleBow {
  Setup bow;
  double weight = 1.0;  // how probable it is; what is missing to one in the sum counts as failure
  TearSpread spread;    // of its tear
};

}  // namespace nockwise::detail
