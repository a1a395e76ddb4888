// Setups from the whole allowed ranges, shot: what is not refused by name agrees with a tenth of the step.
//
// NOCKWISE_WHOLE_RANGE=20000 for the long run, NOCKWISE_WHOLE_RANGE_FIRST=N for other seeds.
#include "demo_bows.hpp"
#include "launch/initial_state.hpp"
#include "launch/step_size.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/sweep.hpp"
#include "random_setup.hpp"
#include "shot_check.hpp"
#include "statics/model_access.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <map>
#include <mutex>
#include <regex>
#include <thread>

namespace nockwise {
namespace {

struct Tried {
  std::string outcome;      // a kind
  std::string fault;        // what must not be
  double difference = 0.0;  // of the tear from that with a tenth of the step [m]
  double coarser = 1.0;     // the step taken over the default one
};

std::string kind_of(const std::string& message) {
  static const std::regex digits("-?[0-9]+(\\.[0-9]+)?(e[-+]?[0-9]+)?");
  return std::regex_replace(message, digits, "…");
}

double step_of(const Model& model) {
  const LaunchOptions options;
  return detail::with_constants(detail::data_of(model), [&](const auto& c) {
    const auto release = detail::prepare_release(detail::data_of(model), c);
    return detail::stable_step(c.arrow, detail::data_of(model).topology.modes, release.rates, options.integrator,
                               options.step)
        .step;
  });
}

Tried try_setup(const Setup& setup) {
  Tried tried;
  try {
    const Model model(setup);
    const double step = step_of(model);
    const Launch shot = launch(model);
    tried.coarser = step / LaunchOptions{}.step;
    tried.outcome = name_of(shot.ended_by);
    tried.fault = testing::not_finite(shot);
    if (shot.ended_by != LaunchEnd::arrow_clear || !tried.fault.empty()) {
      return tried;
    }
    if (shot.efficiency > 1.0) {
      tried.outcome = "caution: efficiency above 1";
      tried.fault = shot.cautions.empty() ? "an efficiency above 1 without a word" : "";
      return tried;
    }
    const PaperTear tear = paper_tear(model, shot, {}, 2);
    LaunchOptions fine;
    fine.step = std::max(0.1 * step, 1e-7);
    const Launch again = launch(model, fine);
    if (again.ended_by != LaunchEnd::arrow_clear) {
      tried.fault = std::string("with a tenth of the step ") + name_of(again.ended_by);
      return tried;
    }
    const PaperTear finer = paper_tear(model, again, {}, 2);
    tried.difference = std::hypot(tear.up - finer.up, tear.right - finer.right);
    constexpr double most = 1.5e-4;  // [m], of the few of a long run (tests/reference/random_setups.md)
    if (!(tried.difference <= most)) {
      tried.fault = "a tear that a tenth of the step moves by " + std::to_string(1e3 * tried.difference) + " mm; of " +
                    std::to_string(1e3 * std::hypot(tear.up, tear.right)) + " mm, step " + std::to_string(1e6 * step) +
                    " µs";
    }
  } catch (const SolverError& error) {
    tried.outcome = "refused: " + kind_of(error.where()) + ": " + kind_of(error.why());
  } catch (const InputError& error) {
    tried.outcome = "refused as input: " + error.path();
    tried.fault = error.path().empty() || error.allowed().empty() ? error.what() : "";
  }
  return tried;
}

TEST(StableStep, CountsEveryPartThatIsStiffDampedOrLight) {
  const std::vector<std::pair<const char*, double>> extremes{
      {"rest.lateral_damping", 30.0},      {"rest.vertical_damping", 300.0},    {"rest.vertical_stiffness", 1e7},
      {"limbs.upper.twist_inertia", 1e-7}, {"limbs.lower.twist_damping", 10.0}, {"string.axial_rigidity", 1e7},
      {"string.damping", 300.0},           {"cams.upper.inertia", 1e-6},        {"cables.lower.axial_rigidity", 1e7},
      {"cams.lower.stop.stiffness", 1e7},  {"rest.arm.stop_stiffness", 4e4},    {"rest.arm.inertia", 1e-8},
      {"rest.arm.cord_stiffness", 1e6}};
  std::vector<nockwise::Setup> setups;
  for (const auto& [path, value] : extremes) {
    for (const char* name : {"larkspur", "alder"}) {
      nockwise::Setup setup = testing::demo_bow(name);
      setup.set(path, value);
      const Tried tried = try_setup(setup);
      EXPECT_EQ(tried.fault, "") << name << ", " << path;
      EXPECT_EQ(tried.outcome, "arrow_clear") << name << ", " << path;
      setups.push_back(setup);
    }
  }
  // Lanes take the same steps.
  sweep(
      setups.size(), [&](std::size_t i) { return setups[i]; },
      [&](const SweepSample& shot) {
        ASSERT_NE(shot.launch, nullptr) << shot.failure;
        const Launch alone = launch(Model(setups[shot.index]));
        EXPECT_EQ(shot.launch->steps, alone.steps);
        EXPECT_EQ(shot.launch->free.pitch, alone.free.pitch);
        EXPECT_EQ(shot.launch->free.yaw, alone.free.yaw);
      },
      {});
}

TEST(Guard, RefusesAYokeWhoseJunctionReachesIt) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  setup.cable_guard.height = 6.0 * 0.0254;
  for (Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->yoke.leg_length = 10.0 * 0.0254;
  }
  EXPECT_THROW((void)launch(Model(setup)), InputError);  // the junction comes so near that the cable runs too steeply
  for (Cable* cable : {&setup.cables.upper, &setup.cables.lower}) {
    cable->yoke.leg_length = 13.0 * 0.0254;
  }
  const Model model(setup);
  for (const auto& try_it : {+[](const Model& m) { (void)launch(m); }, +[](const Model& m) { (void)draw_cycle(m); }}) {
    try {
      try_it(model);
      FAIL() << "not refused";
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), "cable_guard.height");
      EXPECT_NE(error.allowed().find("leg_length"), std::string::npos) << error.allowed();
    }
  }
}

TEST(Lean, IsWarnedOfInDrawAndLaunch) {
  nockwise::Setup setup = testing::demo_bow("larkspur");
  const auto leans = [](const std::vector<Caution>& cautions) {
    return std::any_of(cautions.begin(), cautions.end(),
                       [](const Caution& each) { return each.kind == CautionKind::cam_lean; });
  };
  EXPECT_FALSE(leans(launch(Model(setup)).cautions));
  setup.limbs.upper.twist_stiffness *= 0.2;
  const Model model(setup);
  ASSERT_GT(std::fabs(launch(model).lean_full_draw[0]), 3.0 * 3.14159265358979 / 180.0);
  EXPECT_TRUE(leans(launch(model).cautions));
  EXPECT_TRUE(leans(draw_cycle(model).cautions));
}

TEST(WholeRange, ALaunchAgreesWithATenthOfItsStepOrIsRefused) {
  const char* wish = std::getenv("NOCKWISE_WHOLE_RANGE");
  const std::size_t count = wish != nullptr ? std::strtoul(wish, nullptr, 10) : 120;
  const char* other = std::getenv("NOCKWISE_WHOLE_RANGE_FIRST");
  const std::size_t first = other != nullptr ? std::strtoul(other, nullptr, 10) : 0;
  std::vector<nockwise::Setup> bows;
  for (const char* name : testing::demo_bow_names) {
    bows.push_back(testing::demo_bow(name));
  }
  std::vector<Tried> tried(count);
  std::vector<std::string> changes(count);
  std::atomic<std::size_t> next{0};
  {
    std::vector<std::jthread> crew;
    for (unsigned t = 0; t < std::max(1U, std::thread::hardware_concurrency()); ++t) {
      crew.emplace_back([&] {
        for (std::size_t i = next++; i < count; i = next++) {
          constexpr int moved[] = {1, 2, 4, 8, 16, 1000};
          const nockwise::Setup setup =
              setup_of_whole_ranges(bows[i % bows.size()], moved[(i / bows.size()) % std::size(moved)],
                                    static_cast<unsigned>(first + i), changes[i]);
          tried[i] = try_setup(setup);
        }
      });
    }
  }
  std::map<std::string, std::size_t> outcomes;
  std::size_t shot = 0;
  std::size_t shortened = 0;
  std::size_t off = 0;
  double largest = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const Tried& each = tried[i];
    EXPECT_EQ(each.fault, "") << "setup " << i << ", " << each.outcome << ": " << changes[i];
    ++outcomes[each.outcome];
    if (each.outcome == "arrow_clear") {
      ++shot;
      shortened += each.coarser < 1.0 ? 1 : 0;
      if (each.difference > 1e-4) {
        ++off;
        std::printf("setup %zu is off by %.3f mm: %s\n", i, 1e3 * each.difference, changes[i].c_str());
      }
      largest = std::max(largest, each.difference);
    }
  }
  for (const auto& [outcome, number] : outcomes) {
    std::printf("%6zu %s\n", number, outcome.c_str());
  }
  std::printf(
      "%zu setups, %zu shot, %zu of them with a shorter step; %zu off by more than 0.1 mm, by %.4f mm at most\n", count,
      shot, shortened, off, 1e3 * largest);
  // None of the ordinary run; one in a thousand of a long one.
  EXPECT_LE(off, shot / 1000);
  EXPECT_GE(shot, count / 5);
}

}  // namespace
}  // namespace nockwise
