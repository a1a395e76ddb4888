// The hot path neither allocates nor reads what nobody wrote.
#include "allocation.hpp"
#include "demo_bows.hpp"
#include "launch/launch_alone.hpp"
#include "lib/kernel/random_mechanism.hpp"
#include "nockwise/paper.hpp"

#include <gtest/gtest.h>
#include <pthread.h>

#include <bit>
#include <cstring>
#include <iostream>
#include <string>

namespace nockwise {
namespace {

using testing::demo_bow;

/// The right-hand side in one state, with the stack and the results' storage full of `byte`.
template <int Links>
std::vector<std::uint64_t> bits_of_accelerations(const Mechanism<Links>& m, unsigned char byte) {
  detail::Coordinates a;
  std::memset(static_cast<void*>(&a), byte, sizeof a);
  auto run_directions = m.run_directions;
  testing::fill_stack(byte);
  kernel::accelerations(m.c, m.topology, m.attached, m.q.data(), m.v.data(), a.data(), run_directions);
  std::vector<std::uint64_t> bits;
  const int size = kernel::Layout<Links>{m.topology.modes}.size();
  for (int i = 0; i < size; ++i) {
    bits.push_back(std::bit_cast<std::uint64_t>(a[static_cast<std::size_t>(i)]));
    EXPECT_TRUE(std::isfinite(a[static_cast<std::size_t>(i)])) << "coordinate " << i;
  }
  return bits;
}

TEST(HotPath, TheRightHandSideReadsNothingThatNobodyWrote) {
  unsigned seed = 0;
  for (const Kinds& kinds : all_kinds()) {
    with_mechanism(kinds, ++seed, [&](const auto& m) {
      EXPECT_EQ(bits_of_accelerations(m, 0xff), bits_of_accelerations(m, 0x00)) << kinds;
    });
  }
}

TEST(HotPath, TheRightHandSideDoesNotAllocate) {
  if (!testing::heap_is_watched) {
    GTEST_SKIP() << "a sanitizer has the heap";
  }
  unsigned seed = 0;
  for (const Kinds& kinds : all_kinds()) {
    with_mechanism(kinds, ++seed, [&](const auto& m) {
      detail::Coordinates a{};
      const std::size_t before = testing::allocations();
      m.accelerate(a);
      EXPECT_EQ(testing::allocations(), before) << kinds;
    });
  }
}

struct Cost {
  std::size_t allocations, steps, events;
};

Cost cost_of(const Model& model, const LaunchOptions& options) {
  const std::size_t before = testing::allocations();
  const Launch shot = launch(model, options);
  return {testing::allocations() - before, shot.steps, shot.events.size()};
}

TEST(HotPath, TheStepLoopDoesNotAllocate) {
  if (!testing::heap_is_watched) {
    GTEST_SKIP() << "a sanitizer has the heap";
  }
  for (const char* name : testing::demo_bow_names) {
    const Model model(demo_bow(name));
    const Cost few = cost_of(model, {});
    const Cost many = cost_of(model, {.step = 2.5e-5});
    ASSERT_GT(many.steps, 2 * few.steps) << name;
    // What a launch allocates once does not depend on the number of steps; the list of events may grow once more.
    EXPECT_LE(many.allocations, few.allocations + (many.events > few.events ? 1 : 0)) << name;
    // Odeint's error control has three temporaries per step that it tries; the right-hand side has none there either.
    const Cost adaptive = cost_of(model, {.integrator = Integrator::dormand_prince});
    EXPECT_LE(adaptive.allocations, few.allocations + 5 * adaptive.steps) << name;
  }
}

/// Shoot on a stack of so many bytes (more of it ends the program); returns the bytes that were allocated.
std::size_t heap_of_a_shot(const Setup& setup, std::size_t stack) {
  struct Work {
    const Setup& setup;
    std::size_t heap = 0;
  } work{setup};
  const auto shoot = [](void* argument) -> void* {
    auto& to_do = *static_cast<Work*>(argument);
    const std::size_t before = testing::allocated_bytes();
    const Model model(to_do.setup);
    const Launch shot = launch(model);
    EXPECT_GT(paper_tear(model, shot).speed, 0.0);
    to_do.heap = testing::allocated_bytes() - before;
    return nullptr;
  };
  pthread_attr_t attributes;
  pthread_t thread{};
  EXPECT_EQ(pthread_attr_init(&attributes), 0);
  EXPECT_EQ(pthread_attr_setstacksize(&attributes, stack), 0);
  EXPECT_EQ(pthread_create(&thread, &attributes, shoot, &work), 0);
  EXPECT_EQ(pthread_join(thread, nullptr), 0);
  pthread_attr_destroy(&attributes);
  return work.heap;
}

TEST(HotPath, ALaunchWithoutATraceTakesLessThanAMegabyte) {
  if (!testing::heap_is_watched) {
    GTEST_SKIP() << "a sanitizer has the heap";
  }
  constexpr std::size_t stack = 256 * 1024;
  for (const char* name : testing::demo_bow_names) {
    const std::size_t heap = heap_of_a_shot(demo_bow(name), stack);
    std::cout << name << ": " << heap << " bytes allocated in all, on a stack of " << stack << "\n";
    EXPECT_LT(heap + stack, 1000U * 1000U) << name;
  }
}

TEST(HotPath, NothingDependsOnWhatTheHeapHeldBefore) {
  if (!testing::heap_is_watched) {
    GTEST_SKIP() << "a sanitizer has the heap";
  }
  for (const char* name : testing::demo_bow_names) {
    LaunchOptions options;
    options.trace = true;
    const auto shoot = [&](unsigned char byte) {
      testing::fill_stack(byte);
      const Model model(demo_bow(name));
      const Launch shot = launch(model, options);
      const PaperTear tear = paper_tear(model, shot);
      std::vector<double> all{tear.up, tear.right, shot.exit_speed, shot.dissipated,
                              shot.rest.shaft_clearance.value_or(0.0)};
      for (const auto* column : {&shot.trace.nock_x, &shot.trace.nock_z, &shot.trace.arrow_y, &shot.trace.rest_arm}) {
        all.insert(all.end(), column->begin(), column->end());
      }
      return all;
    };
    const std::vector<double> clean = shoot(0x00);
    const testing::FillWithNaN fill;
    EXPECT_EQ(shoot(0xff), clean) << name;  // equal values: NaN is not equal to itself
  }
}

}  // namespace
}  // namespace nockwise
