#include "launch/event_locator.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace nockwise::detail {
namespace {

using Functions = std::array<std::function<double(double)>, event_function_count>;

/// Event functions that never change sign, but for those that a test sets.
Functions quiet() {
  Functions f;
  f.fill([](double) { return 1.0; });
  return f;
}

EventValues<double> at(const Functions& f, double share) {
  EventValues<double> g{};
  for (std::size_t w = 0; w < g.size(); ++w) {
    g[w] = f[w](share);
  }
  return g;
}

EventLocator<void>::Signs signs_of(const EventValues<double>& g) {
  EventLocator<void>::Signs signs{};
  for (std::size_t w = 0; w < g.size(); ++w) {
    signs[w] = g[w] > 0.0;
  }
  return signs;
}

/// Land on the first event of a step from 0 to 1; returns how often it was taken again.
int land(EventLocator<void>& landing, const Functions& f, double prior_share) {
  landing.begin(at(f, prior_share), prior_share, at(f, 0.0), at(f, 1.0), signs_of(at(f, 0.0)));
  int landings = 1;
  while (!landing.located(at(f, landing.share()))) {
    ++landings;
  }
  return landings;
}

TEST(EventLocator, FirstTryIsGoodWithTheStepBefore) {
  Functions f = quiet();
  f[event_tail] = [](double t) { return std::cos(0.3 + 2.0 * t); };
  EventLocator<void> landing;
  EXPECT_LE(land(landing, f, -1.0), 3);  // a third of a period in a step
  EXPECT_EQ(landing.event(), event_tail);
  EXPECT_NEAR(landing.share(), (std::acos(0.0) - 0.3) / 2.0, 2e-3);
  f[event_tail] = [](double t) { return 0.4 - t - 0.2 * t * t; };
  EXPECT_EQ(land(landing, f, -1.0), 1);
  EXPECT_NEAR(f[event_tail](landing.share()), 0.0, 1e-12);
}

TEST(EventLocator, LandsWithoutTheStepBefore) {
  Functions f = quiet();
  f[event_contact] = [](double t) { return std::exp(3.0 * t) - 2.0; };
  EventLocator<void> landing(1e-9);
  EXPECT_LE(land(landing, f, 0.0), 7);
  EXPECT_EQ(landing.event(), event_contact);
  EXPECT_NEAR(landing.share(), std::log(2.0) / 3.0, 1e-8);
}

TEST(EventLocator, TakesTheFirstOfSeveral) {
  Functions f = quiet();
  f[event_upper_stop] = [](double t) { return 0.8 - t; };
  f[event_lower_stop] = [](double t) { return 0.3 - t * t; };  // passes at 0.548
  f[event_upper_cable] = [](double t) { return 0.6 - t; };
  for (const double prior : {0.0, -0.5}) {
    EventLocator<void> landing;
    land(landing, f, prior);
    EXPECT_EQ(landing.event(), event_lower_stop);
    EXPECT_NEAR(landing.share(), std::sqrt(0.3), 5e-3);
  }
}

TEST(EventLocator, AKinkIsHalvedIntoTheEnd) {
  Functions f = quiet();
  // Nearly flat, then steep: a parabola creeps.
  f[event_separation] = [](double t) { return t < 0.9 ? 0.1 - 0.001 * t : 0.0991 - 100.0 * (t - 0.9); };
  EventLocator<void> landing(1e-9);
  EXPECT_LE(land(landing, f, 0.0), 30);
  EXPECT_NEAR(landing.share(), 0.9 + 0.000991, 1e-3);
}

TEST(EventLocator, WhatHasJustHappenedMayHappenAgainAtOnce) {
  Functions f = quiet();
  f[event_contact] = [](double) { return -1e-9; };
  EventLocator<void> landing;
  auto signs = signs_of(at(f, 0.0));
  signs[event_contact] = true;  // rounding left the value on the other side
  landing.begin(at(f, -1.0), -1.0, at(f, 0.0), at(f, 1.0), signs);
  EXPECT_EQ(landing.event(), event_contact);
  EXPECT_LT(landing.share(), 1e-5);
  EXPECT_TRUE(landing.located(at(f, landing.share())));
}

}  // namespace
}  // namespace nockwise::detail
