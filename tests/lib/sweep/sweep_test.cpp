// Sweeps: every launch the same as alone, to the bit, whatever shares its pack, its thread or its machine's vectors.
#include "nockwise/sweep.hpp"

#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "setup/fitted_groove.hpp"
#include "sweep/run.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <mutex>
#include <numbers>
#include <stdexcept>
#include <string>
#include <vector>

namespace nockwise {
namespace {

using testing::demo_bow;

/// Every number of a result.
std::vector<double> numbers(const Launch& l) {
  std::vector<double> all{static_cast<double>(l.ended_by),
                          l.full_draw_nock_x,
                          l.full_draw_force,
                          l.stored_energy,
                          l.late_stop_gap.value_or(-1.0),
                          l.exit_time,
                          l.exit_speed,
                          l.efficiency,
                          l.peak_acceleration,
                          l.nock_travel_y,
                          l.nock_travel_z,
                          l.lean_full_draw.upper,
                          l.lean_full_draw.lower,
                          l.dissipated,
                          l.energy_start.total(),
                          l.energy_exit.total(),
                          l.rest.drop_start.value_or(-1.0),
                          l.rest.drop_end.value_or(-1.0),
                          l.rest.last_contact.value_or(-1.0),
                          l.rest.largest_force,
                          l.rest.shaft_clearance.value_or(-1.0),
                          l.rest.fletching_clearance.value_or(-1.0),
                          l.rest.vane_strike.value_or(VaneStrike{}).time,
                          l.rest.vane_strike.value_or(VaneStrike{}).largest_force,
                          l.rest.vane_strike.value_or(VaneStrike{}).impulse_up,
                          l.rest.vane_strike.value_or(VaneStrike{}).impulse_right,
                          l.rest.vane_strike.value_or(VaneStrike{}).depth,
                          l.cable_strike.value_or(VaneStrike{}).largest_force,
                          l.cable_strike.value_or(VaneStrike{}).impulse_right,
                          static_cast<double>(l.steps),
                          static_cast<double>(l.evaluations)};
  for (const Event& e : l.events) {
    all.push_back(static_cast<double>(e.kind));
    all.push_back(e.time);
  }
  for (const ArrowState* a : {&l.exit, &l.free}) {
    for (const double x :
         {a->time, a->nock_x, a->speed, a->velocity_y, a->velocity_z, a->nock_velocity_y, a->nock_velocity_z, a->pitch,
          a->yaw, a->pitch_rate, a->yaw_rate, a->bending_y, a->bending_z}) {
      all.push_back(x);
    }
    for (const auto* nodes : {&a->y, &a->z, &a->velocity_y_nodes, &a->velocity_z_nodes}) {
      all.insert(all.end(), nodes->begin(), nodes->end());
    }
  }
  return all;
}

/// Unlike shots, a few of them of another topology, which lanes must not mix.
Setup sample(const std::string& bow, std::size_t index) {
  Setup setup = demo_bow(bow);
  const auto k = static_cast<double>(index);
  setup.set("arrow.point_mass", 0.0065 + 1e-4 * k);
  setup.set("string.nocking_point", 2e-4 * static_cast<double>(index % 7) - 5e-4);
  setup.set("cables.upper.twists", 0.1 * static_cast<double>(index % 5));
  if (index % 5 == 3) {
    setup.set("hold.release_right", 0.2);
  }
  if (index % 4 == 2) {  // vanes that strike: a drop that is late, a nock that is turned
    setup.set("rest.arm.cord_slack", setup.get("rest.arm.cord_slack") + 0.02);
    setup.set("arrow.fletching.clocking", 0.02 * k);
  }
  if (index % 16 == 9) {  // at the cables
    setup.set("cable_guard.offset", 0.012);
  }
  if (index % 6 == 5) {
    setup.set("arrow.modes", 5);
  }
  if (index % 11 == 10) {
    setup.set("riser.upper_end_compliance", 2e-6);
    setup.set("riser.end_inertia", 1e-3);
  }
  if (index % 13 == 12) {
    setup.set("string.pieces", 3);  // not for lanes
  }
  return setup;
}

/// Results by index; a failure leaves a single NaN-free marker.
std::vector<std::vector<double>> swept(const std::string& bow, std::size_t count, const SweepOptions& options,
                                       const detail::LaneBackend* machine = nullptr) {
  std::vector<std::vector<double>> results(count);
  const auto take = [&](const SweepSample& sample) {
    EXPECT_TRUE(sample.launch != nullptr) << sample.index << ": " << sample.failure;
    if (sample.launch != nullptr) {
      results[sample.index] = numbers(*sample.launch);
    }
  };
  const auto setup_of = [&](std::size_t i) { return sample(bow, i); };
  detail::sweep_on(machine != nullptr ? *machine : detail::lane_backend(), count, setup_of, take, options);
  return results;
}

TEST(Sweep, GivesTheSameBitsAsLaunchesAloneOnEveryMachinesVectors) {
  constexpr std::size_t count = 23;
  for (const char* bow : testing::demo_bow_names) {
    std::vector<std::vector<double>> alone;
    for (std::size_t i = 0; i < count; ++i) {
      alone.push_back(numbers(launch(Model(sample(bow, i)))));
    }
    for (const detail::LaneBackend* machine : detail::lane_backends()) {
      EXPECT_EQ(swept(bow, count, {.threads = 1}, machine), alone) << bow << " on " << machine->name;
    }
  }
}

/// A riser end that is too quick for the step: a little, so that a shorter one does, or beyond all of them.
Setup quick_end(std::size_t index) {
  Setup setup = demo_bow("larkspur");
  if (index % 3 != 0) {
    setup.riser.upper_end_compliance = setup.riser.lower_end_compliance = index % 3 == 1 ? 1e-9 : 1e-13;
  }
  return setup;
}

TEST(Sweep, FliesAgainWithAShorterStepAsALaunchAloneDoes) {
  constexpr std::size_t count = 6;
  std::vector<std::vector<double>> results(count);
  std::vector<std::string> failures(count);
  const auto take = [&](const SweepSample& sample) {
    if (sample.launch != nullptr) {
      results[sample.index] = numbers(*sample.launch);
    }
    failures[sample.index] = sample.failure;
  };
  sweep(count, quick_end, take, {.threads = 1});
  for (std::size_t i = 0; i < count; ++i) {
    try {
      EXPECT_EQ(results[i], numbers(launch(Model(quick_end(i))))) << i;
    } catch (const SolverError& error) {
      EXPECT_EQ(failures[i], error.what());
    }
    EXPECT_EQ(results[i].empty(), i % 3 == 2) << failures[i];
  }
}

TEST(Sweep, DoesNotDependOnTheNumberOfThreads) {
  const auto one = swept("larkspur", 40, {.threads = 1});
  EXPECT_EQ(swept("larkspur", 40, {.threads = 2}), one);
  EXPECT_EQ(swept("larkspur", 40, {.threads = 4}), one);
}

TEST(Sweep, GivesTheSameBitsForAnIntegratorThatLanesDoNotKnow) {
  for (const Integrator integrator : {Integrator::dormand_prince, Integrator::runge_kutta_4}) {
    SweepOptions options{.threads = 2};
    options.launch.integrator = integrator;
    const auto together = swept("alder", 5, options);
    for (std::size_t i = 0; i < together.size(); ++i) {
      EXPECT_EQ(together[i], numbers(launch(Model(sample("alder", i)), options.launch))) << i;
    }
  }
}

/// In turn a good one, one that cannot be shot, and one that cannot be built.
Setup good_and_bad(std::size_t i) {
  Setup setup = demo_bow("larkspur");
  if (i % 3 == 1) {
    setup.set("arrow.length", 0.40);  // falls off the rest
  } else if (i % 3 == 2) {
    setup.cams.upper.mass = -1.0;
  }
  return setup;
}
Setup no_sample(std::size_t /*index*/) { throw std::logic_error("no sample"); }
Setup empty_setup(std::size_t /*index*/) { return {}; }

TEST(Sweep, HandsOverWhatCannotBeShotWithTheReason) {
  std::vector<std::string> reasons(9);
  sweep(9, good_and_bad,
        [&](const SweepSample& sample) {
          EXPECT_EQ(sample.launch == nullptr, !sample.failure.empty());
          EXPECT_EQ(sample.model == nullptr, sample.index % 3 == 2);
          reasons[sample.index] = sample.failure;
        },
        {.threads = 1});
  for (std::size_t i = 0; i < reasons.size(); ++i) {
    const char* const wanted[] = {"", "arrow.length", "cams.upper.mass"};
    EXPECT_EQ(reasons[i].empty(), i % 3 == 0) << reasons[i];
    EXPECT_NE(reasons[i].find(wanted[i % 3]), std::string::npos) << reasons[i];
  }
}

/// Of every five: a new bow; the same with another arrow; one whose cables are too long to be braced; the same again;
/// one that has nothing to stop its draw.
Setup bows_and_failures(std::size_t i) {
  Setup setup = demo_bow("alder");
  const std::size_t bow = i / 5;
  setup.set("cables.upper.twists", 0.05 * static_cast<double>(bow));
  setup.set("arrow.point_mass", 0.0065 + 1e-4 * static_cast<double>(i % 3));
  if (i % 5 == 2 || i % 5 == 3) {
    setup.cables.upper.length += 0.5;
    setup.cables.lower.length += 0.5;
  } else if (i % 5 == 4) {
    setup.cams.upper.stop.kind = setup.cams.lower.stop.kind = StopKind::none;
  }
  return setup;
}

TEST(Sweep, ABowThatFailsLeavesItsNeighboursAlone) {
  constexpr std::size_t count = 40;
  for (const detail::LaneBackend* machine : detail::lane_backends()) {
    std::vector<std::vector<double>> results(count);
    std::vector<std::string> failures(count);
    std::vector<bool> models(count);
    detail::sweep_on(*machine, count, bows_and_failures,
                     [&](const SweepSample& sample) {
                       results[sample.index] =
                           sample.launch != nullptr ? numbers(*sample.launch) : std::vector<double>{};
                       failures[sample.index] = sample.failure;
                       models[sample.index] = sample.model != nullptr;
                     },
                     {.threads = 1});
    for (std::size_t i = 0; i < count; ++i) {
      bool braced = false;
      try {
        const Model model(bows_and_failures(i));
        braced = true;
        EXPECT_EQ(results[i], numbers(launch(model))) << machine->name << " " << i;
        EXPECT_LT(i % 5, 2U) << i;
      } catch (const Error& error) {
        EXPECT_EQ(failures[i], error.what()) << machine->name << " " << i;
        EXPECT_EQ(models[i], braced) << i;
        EXPECT_GE(i % 5, 2U) << error.what();
      }
    }
  }
}

TEST(Sweep, PassesOnWhatTheCallerThrows) {
  const auto setup_of = [](std::size_t) { return demo_bow("larkspur"); };
  EXPECT_THROW(sweep(20, setup_of, [](const SweepSample&) { throw std::runtime_error("disk full"); }, {.threads = 2}),
               std::runtime_error);
  EXPECT_THROW(sweep(20, no_sample, [](const SweepSample&) {}, {}), std::logic_error);
}

TEST(Sweep, StopsWhenAskedAndFinishesWhatIsUnderWay) {
  std::atomic<bool> stop{false};
  std::atomic<std::size_t> taken{0};
  SweepOptions options{.threads = 2};
  options.stop = &stop;
  sweep(
      100000, [](std::size_t) { return demo_bow("wheelwright"); },
      [&](const SweepSample& sample) {
        EXPECT_TRUE(sample.launch != nullptr);
        stop = ++taken >= 8;
      },
      options);
  EXPECT_GE(taken, 8U);
  EXPECT_LT(taken, 60U);
}

TEST(Sweep, RefusesOptionsOutOfRange) {
  const auto ignore = [](const SweepSample&) {};
  EXPECT_THROW(sweep(1, empty_setup, ignore, {.threads = 0}), InputError);
  SweepOptions options;
  options.launch.step = 1.0;
  EXPECT_THROW(sweep(1, empty_setup, ignore, options), InputError);
}

/// Every sample is another bow, and yet its grooves are fitted once in all, or once by each thread that comes first.
TEST(Sweep, FitsAGrooveOnceForAllSamples) {
  nockwise::Setup bow = demo_bow("larkspur");
  const CompiledTrack circle(bow.cams.upper.string_track);
  GrooveTrack groove;
  for (int i = 0; i < 120; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / 120;
    const TrackPoint p = circle.evaluate(angle);
    groove.points.push_back({p.distance * std::cos(angle) - p.slope * std::sin(angle),
                             p.distance * std::sin(angle) + p.slope * std::cos(angle)});
  }
  bow.cams.upper.string_track = groove;
  bow.cams.lower.string_track = groove;
  const std::size_t before = detail::groove_fits();
  std::mutex mutex;
  std::size_t flown = 0;
  SweepOptions options;
  options.threads = 2;
  sweep(
      24,
      [&](std::size_t i) {
        nockwise::Setup setup = bow;
        setup.cables.upper.twists += 0.02 * static_cast<double>(i);
        return setup;
      },
      [&](const SweepSample& each) {
        const std::lock_guard lock(mutex);
        flown += each.launch != nullptr && each.failure.empty() ? 1U : 0U;
      },
      options);
  EXPECT_EQ(flown, 24U);
  EXPECT_GE(detail::groove_fits(), before + 1);
  EXPECT_LE(detail::groove_fits(), before + 2);
}

}  // namespace
}  // namespace nockwise
