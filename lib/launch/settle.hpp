// Which launches are flown again with a shorter step, until that moves the hole no more (lib/README.md, "Step").
// Private.
//
// The usual step was tried on bows that can be shot. What is far from these (an arrow that is thrown about, steps that
// are rough in sum, a shaft that rings, a part so quick that the step had to be much shorter) is flown again with a
// quarter of the step, and again, until two in a row agree; one that never does is refused. The same for a launch alone
// and in a lane.
#pragma once

#include "launch/result.hpp"
#include "launch/step_size.hpp"

namespace nockwise::detail {

/// The arrow as its tail passes the rest, in its modes: what decides the hole.
struct LeavingArrow {
  double place[2][kernel::max_modes] = {};  // vertical, lateral [√kg·m]
  double rate[2][kernel::max_modes] = {};   // [√kg·m/s]
};

/// A launch with what decides whether it is to be flown again.
struct FlownLaunch {
  Launch launch;
  LeavingArrow leaving;
  double roughness = 0.0;  // of all steps [m]
};

/// \throws StepTooLong when there is more energy than at the start
template <int Links>
FlownLaunch flown(const Release<Links>& release, const LaunchRecord<Links>& record, std::vector<Event> events) {
  using L = kernel::Layout<Links>;
  FlownLaunch all{make_launch(release, record, std::move(events)), {}, record.roughness};
  const int modes = release.topology.modes;
  const int first[2] = {L::arrow_y, L{modes}.arrow_z()};
  for (int plane = 0; plane < 2; ++plane) {
    std::copy_n(record.end.q + first[plane], modes, all.leaving.place[plane]);
    std::copy_n(record.end.v + first[plane], modes, all.leaving.rate[plane]);
  }
  return all;
}

/// By how much the holes of two launches of one arrow can differ, at most, wherever the paper stands near [m].
double hole_difference(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology,
                       const LeavingArrow& a, const LeavingArrow& b);

/// Whether a launch is like those on which the usual step was tried.
bool is_smooth(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology, const FlownLaunch& flown);

/// The step of one launch, from the first that is tried to the one that holds.
class StepSearch {
 public:
  StepSearch() = default;
  explicit StepSearch(const StableStep& stable) : step_(stable.step), usual_(stable.usual) {}

  [[nodiscard]] double step() const { return step_; }
  /// The step was too long (StepTooLong): a quarter of it is next. False: that has been tried often enough.
  bool shorten();
  /// Whether this launch, by the present step, is the result; else the next step is a quarter of this.
  /// \throws SolverError for a launch of which no step within reach makes the last digit sure, or that hardly leaves
  bool settled(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology, const FlownLaunch& flown);

 private:
  double step_ = 0.0;  // [s]
  bool usual_ = true;
  int too_long_ = 0,
      not_sure_ = 0;        // how often a quarter was taken since the step did not hold, or left the hole unsure
  LeavingArrow coarser_{};  // by four times the step, where that has been flown
};

}  // namespace nockwise::detail
