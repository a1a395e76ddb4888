// Before the first wrench: whether the setup is of this bow.
#include "explain/same_bow.hpp"

#include "lib/explain/bench_messages.hpp"
#include "nockwise/units.hpp"

#include <gtest/gtest.h>

namespace nockwise {
namespace {

/// A case that is ready for its first step.
Case ready() {
  Case observed = message("alder", 0.5, 0.0);
  observed.checks = {stops_touch, nock_as_set, rest_as_set(observed)};
  observed.checks.push_back({"rest.height", observed.setup.rest.height - 0.15 * inch, inch / 32.0});
  return observed;
}

TEST(SameBow, IsAskedBeforeTheFirstWrenchWithTheLengthsOfTheSetup) {
  const Case observed = ready();
  const Explanation e = explain(observed);
  ASSERT_EQ(e.next.kind, NextKind::check) << e.next.instruction;
  ASSERT_EQ(e.next.checks.size(), 2U);
  EXPECT_EQ(e.next.checks[0].what, "axle_to_axle");
  EXPECT_EQ(e.next.checks[1].what, "brace_height");
  const double axles = Model(observed.setup).brace().axle_to_axle;
  EXPECT_NE(e.next.instruction.find(display(axles, Quantity::length, "in", 2)), std::string::npos)
      << e.next.instruction;
  EXPECT_TRUE(says(e.plan.first, "See that the setup is of this bow")) << ::testing::PrintToString(e.plan.first);
  EXPECT_FALSE(e.next.outcomes.empty());
  // Whoever takes the setup for the bow is not asked.
  const Explanation known = explain(observed, {.ignorance = 0.0});
  EXPECT_EQ(known.next.kind, NextKind::adjustment) << known.next.instruction;
  EXPECT_FALSE(says(known.plan.first, "See that the setup is of this bow"));
}

TEST(SameBow, AnotherBowsLengthsTellItBeforeAnythingIsTurned) {
  Case observed = ready();
  add_lengths(observed, testing::demo_bow("wheelwright"));
  const Explanation e = explain(observed);
  EXPECT_EQ(e.verdict, Verdict::not_this_bow) << e.summary;
  EXPECT_EQ(e.next.kind, NextKind::look_at_setup) << e.next.instruction;
  EXPECT_TRUE(e.next.work.empty());
}

TEST(SameBow, IsNotAskedTwiceNorOfABowThatWasMeasuredOrWorkedOn) {
  Case observed = ready();
  EXPECT_TRUE(detail::same_bow_check(observed));
  Case measured = observed;
  add_lengths(measured, observed.setup);
  EXPECT_FALSE(detail::same_bow_check(measured));
  Case told = observed;
  told.setup.known = {{"brace_height", KnownBy::measured, {}}};
  EXPECT_FALSE(detail::same_bow_check(told));
  Case worked = observed;
  worked.work = {{"rest.height", 1.0}};
  EXPECT_FALSE(detail::same_bow_check(worked));
}

}  // namespace
}  // namespace nockwise
