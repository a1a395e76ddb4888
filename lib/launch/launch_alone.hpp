// One launch by the library's own methods. Private.
#pragma once

#include "launch/settle.hpp"

namespace nockwise::detail {

/// The string as its release has it, in one piece or several. Compiled in lib/launch/links_*.cpp.
/// \throws StepTooLong, and SolverError where an adaptive step shrinks to nothing
template <int Links>
FlownLaunch fly_alone(const Release<Links>& release, const LaunchOptions& options);

/// The same where only the launch is wanted, by the step that is told.
template <int Links>
Launch launch_alone(const Release<Links>& release, const LaunchOptions& options) {
  return fly_alone(release, options).launch;
}

}  // namespace nockwise::detail
