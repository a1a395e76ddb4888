/// @file
/// What it costs a launch that a limb is one hinge: the same bow with limbs of 2 to 5 segments.
///
/// A bow is known by what it measures, not by its limbs' constants, so each chain is fitted to the same measurements
/// first: axle-to-axle length and brace height, peak force, and draw length at the stops.
#include "check_table.hpp"
#include "trade_shot.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace nockwise::trade {
namespace {

const Source chain{"chain of segments against one hinge", "C"};

using Four = Eigen::Vector4d;

/// Axle-to-axle length [m], brace height [m], peak force [100 N], draw length [m].
Four measured(const nockwise::Setup& setup) {
  const DrawCycle cycle = draw_cycle(Model(setup), {.positions = 60});
  return {cycle.brace_axle_to_axle, cycle.brace_height, 0.01 * cycle.peak_force, cycle.draw_length};
}

/// Limb stiffness and free angle, lengths of string and cables.
void move(nockwise::Setup& setup, const Four& by) {
  for (Limb* limb : {&setup.limbs.upper, &setup.limbs.lower}) {
    limb->torsion_stiffness *= 1.0 + by[0];
    limb->free_angle += by[1];
  }
  setup.string.length += by[2];
  for (Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->length += by[3];
  }
}

nockwise::Setup fitted(const nockwise::Setup& bow, int segments) {
  const Four wanted = measured(bow);
  nockwise::Setup setup = bow;
  setup.limbs.upper.segments = setup.limbs.lower.segments = segments;
  for (int i = 0; i < 40; ++i) {
    const Four off = measured(setup) - wanted;
    if (off.cwiseAbs().maxCoeff() < 1e-6) {
      break;
    }
    Eigen::Matrix4d slope;
    for (int k = 0; k < 4; ++k) {
      const Four by = (k < 2 ? 1e-3 : 1e-4) * Four::Unit(k);
      nockwise::Setup moved = setup;
      move(moved, by);
      slope.col(k) = (measured(moved) - wanted - off) / by[k];
    }
    Four step = -slope.partialPivLu().solve(off);
    step *= std::min(1.0, 0.05 / step.cwiseAbs().maxCoeff());
    move(setup, step);
  }
  EXPECT_LT((measured(setup) - wanted).cwiseAbs().maxCoeff(), 1e-5) << segments;
  return setup;
}

/// The chain converges: from four to five segments the tear moves by a hundredth of an inch. But one hinge is another
/// bow: fitted to the same four measurements, its limb tip goes another way under the same cams, which were drawn for
/// one hinge; the chain stores less energy between the same peak and wall, and a late cam tears otherwise. What is
/// measured (the draw-force curve, the answer to half a twist) has to be fitted to; what is not can be wrong by this.
TEST(SegmentedLimb, ChangesALaunchByThis) {
  for (const std::string bow : {"larkspur", "wheelwright"}) {
    const nockwise::Setup one = nockwise::testing::demo_bow(bow);
    const nockwise::Setup four = fitted(one, 4);
    const nockwise::Setup five = fitted(one, 5);
    const Launch hinge = launch(Model(one));
    const Launch chained = launch(Model(five));
    const auto late = [](const nockwise::Setup& setup) { return response(setup, half_twist("upper")).up; };
    const std::string of = " with limbs of 5 segments over that with one hinge, " + one.name;
    check_range("stored energy" + of, chain, 0.84, 1.05, chained.stored_energy / hinge.stored_energy);
    check_range("efficiency" + of, chain, 0.9, 1.1, chained.efficiency / hinge.efficiency);
    check_range("exit speed" + of, chain, 0.9, 1.05, chained.exit_speed / hinge.exit_speed);
    const double with_five = late(five);
    check_range("tear by half a twist in the upper cable, one hinge, " + one.name, chain, -1.0, 1.0, late(one), "in");
    check_range("tear by half a twist in the upper cable, limbs of 5 segments, " + one.name, chain, -1.0, 1.0,
                with_five, "in");
    check_absolute("tear by half a twist in the upper cable, limbs of 4 segments, " + one.name,
                   {"the same with 5 segments", "C"}, with_five, late(four), 0.02, "in");
  }
}

}  // namespace
}  // namespace nockwise::trade
