#include "nockwise/launch.hpp"

#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/paper.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <random>
#include <thread>

namespace nockwise {
namespace {

using testing::demo_bow;

bool happened(const Launch& launch, EventKind kind) {
  return std::any_of(launch.events.begin(), launch.events.end(), [&](const Event& e) { return e.kind == kind; });
}

double time_of(const Launch& launch, EventKind kind) {
  const auto found =
      std::find_if(launch.events.begin(), launch.events.end(), [&](const Event& e) { return e.kind == kind; });
  return found == launch.events.end() ? -1.0 : found->time;
}

TEST(Launch, IsRealistic) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  EXPECT_EQ(shot.ended_by, LaunchEnd::arrow_clear);
  EXPECT_NEAR(model.arrow().mass / 64.79891e-6, 380.0, 2.0);
  EXPECT_GT(shot.exit_speed / 0.3048, 230.0);
  EXPECT_LT(shot.exit_speed / 0.3048, 300.0);
  EXPECT_GT(shot.exit_time, 0.012);
  EXPECT_LT(shot.exit_time, 0.025);
  EXPECT_GT(shot.efficiency, 0.70);
  EXPECT_LT(shot.efficiency, 0.90);
  EXPECT_GT(shot.peak_acceleration / 9.80665, 500.0);
  EXPECT_LT(shot.peak_acceleration / 9.80665, 1400.0);
}

TEST(Launch, EventsComeInOrder) {
  for (const char* name : testing::demo_bow_names) {
    const Launch shot = launch(Model(demo_bow(name)));
    ASSERT_EQ(shot.ended_by, LaunchEnd::arrow_clear) << name;
    for (std::size_t i = 1; i < shot.events.size(); ++i) {
      EXPECT_LE(shot.events[i - 1].time, shot.events[i].time) << name;
    }
    EXPECT_TRUE(happened(shot, EventKind::upper_stop_open)) << name;
    EXPECT_TRUE(happened(shot, EventKind::lower_stop_open)) << name;
    EXPECT_LT(time_of(shot, EventKind::nock_left_string), time_of(shot, EventKind::tail_passed_rest)) << name;
    EXPECT_EQ(shot.exit_time, time_of(shot, EventKind::nock_left_string)) << name;
  }
  const Launch drop_away = launch(Model(demo_bow("larkspur")));
  EXPECT_GT(drop_away.rest.drop_start.value(), 0.0);
  EXPECT_GT(drop_away.rest.drop_end.value(), drop_away.rest.drop_start.value());
}

TEST(Launch, FullDrawIsAtRest) {
  for (const char* name : testing::demo_bow_names) {
    const EquationsOfMotion equations{Model(demo_bow(name))};
    const std::vector<double> state = equations.initial_state();
    const std::vector<std::string> names = equations.names();
    std::vector<double> rate;
    equations.derivative(state, true, rate);
    ASSERT_EQ(names.size(), state.size());
    for (std::size_t i = 0; i < rate.size(); ++i) {
      // Only what hung on the released nock moves: the string's point and with it the arrow.
      if (names[i].find("string") == std::string::npos && names[i].find("arrow") == std::string::npos) {
        EXPECT_NEAR(rate[i], 0.0, 0.05) << name << " " << names[i];
      }
    }
  }
}

TEST(Launch, WithoutDampingTheEnergyCloses) {
  for (const char* name : testing::demo_bow_names) {
    const Model model(testing::undamped(demo_bow(name)));
    LaunchOptions options;
    options.integrator = Integrator::dormand_prince;
    options.tolerance = 1e-10;
    const Launch shot = launch(model, options);
    EXPECT_NEAR(shot.dissipated / shot.stored_energy, 0.0, 1e-6) << name;
  }
}

/// Both planes together, whatever pulls the cables aside. NOCKWISE_ENERGY_LAUNCHES=10000 shoots that many.
TEST(Launch, WithoutDampingTheEnergyOfRandomBowsCloses) {
  const char* wish = std::getenv("NOCKWISE_ENERGY_LAUNCHES");
  const int count = wish != nullptr ? std::atoi(wish) : 60;
  std::mt19937 random(20);
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  int flown = 0;
  double largest = 0.0;
  for (int i = 0; i < count; ++i) {
    nockwise::Setup setup = testing::undamped(demo_bow(testing::demo_bow_names[i % 3]));
    setup.cable_guard.offset = between(0.01, 0.04);
    setup.hold.grip_torque = between(-1.0, 1.0);
    setup.rest.center_shot = between(-0.003, 0.003);
    for (int h = 0; h < 2; ++h) {
      setup.cams[h].shim = between(-0.003, 0.003);
      setup.cables[h].length += between(-5e-4, 5e-4);
      if (setup.cables[h].end == CableEnd::yoke) {
        const double cross = between(-1.5, 1.5);
        setup.cables[h].yoke.left_twists += cross;
        setup.cables[h].yoke.right_twists -= cross;
      }
    }
    try {
      const Model model(setup);
      const auto lost = [&] {
        const Launch shot = launch(model, options);
        return shot.dissipated / shot.stored_energy;
      };
      options.tolerance = 1e-9;
      const double usual = lost();
      ++flown;
      largest = std::fmax(largest, std::fabs(usual));
      if (std::fabs(usual) > 5e-7) {  // the integrator's own error must fall with its tolerance
        options.tolerance = 1e-11;
        EXPECT_NEAR(lost(), 0.0, 2e-8) << setup.name << " " << i << ", after " << usual;
      }
    } catch (const Error&) {
      continue;  // a bow that cannot be drawn so
    }
  }
  EXPECT_GT(flown, 98 * count / 100);
  RecordProperty("largest_in_1e-12", static_cast<int>(1e12 * largest));
}

TEST(Launch, ATighterToleranceIsMoreExact) {
  const Model model(demo_bow("larkspur"));
  LaunchOptions options;
  options.integrator = Integrator::dormand_prince;
  const auto error = [&](double tolerance, const PaperTear& limit) {
    options.tolerance = tolerance;
    const PaperTear tear = paper_tear(model, launch(model, options));
    return std::hypot(tear.up - limit.up, tear.right - limit.right);
  };
  options.tolerance = 1e-9;
  const PaperTear limit = paper_tear(model, launch(model, options));
  const double loose = error(1e-3, limit);
  const double middle = error(1e-5, limit);
  const double tight = error(1e-7, limit);
  EXPECT_LT(middle, loose);
  EXPECT_LT(tight, middle);
  EXPECT_LT(tight, 1e-7);
}

TEST(Launch, IntegratorsAgree) {
  for (const char* name : testing::demo_bow_names) {
    const Model model(demo_bow(name));
    const auto tear = [&](const LaunchOptions& options) { return paper_tear(model, launch(model, options)); };
    const PaperTear exact = tear({.integrator = Integrator::dormand_prince, .tolerance = 1e-9});
    for (const Integrator integrator : {Integrator::nystrom, Integrator::runge_kutta_4}) {
      const PaperTear fine = tear({.integrator = integrator, .step = 5e-6});
      EXPECT_NEAR(fine.up, exact.up, 2e-6) << name;
      EXPECT_NEAR(fine.right, exact.right, 2e-6) << name;
    }
  }
}

TEST(Launch, TheTearIsConvergedAtTheDefaults) {
  // 0.1 mm in the integrator, 1 mm in arrow nodes and modes: a tear is a number that a person will act on.
  for (const char* name : testing::demo_bow_names) {
    nockwise::Setup setup = demo_bow(name);
    setup.set("cables.upper.twists", 0.4);
    const Model model(setup);
    const PaperTear usual = paper_tear(model, launch(model));
    LaunchOptions fine;
    fine.step = 1e-5;
    const PaperTear exact = paper_tear(model, launch(model, fine));
    EXPECT_NEAR(usual.up, exact.up, 1e-4) << name;
    EXPECT_NEAR(usual.right, exact.right, 1e-4) << name;
    setup.arrow.nodes = 64;
    setup.arrow.modes = 12;
    const Model many(setup);
    const PaperTear nodes = paper_tear(many, launch(many, fine));
    EXPECT_NEAR(exact.up, nodes.up, 1e-3) << name;
    EXPECT_NEAR(exact.right, nodes.right, 1e-3) << name;
  }
}

TEST(Launch, TheArrowWeighsTheSameWhateverTheNumberOfNodes) {
  nockwise::Setup setup = demo_bow("larkspur");
  const ArrowProperties few = Model(setup).arrow();
  setup.arrow.nodes = 60;
  const ArrowProperties many = Model(setup).arrow();
  EXPECT_NEAR(few.mass, many.mass, 1e-15);
  EXPECT_NEAR(few.balance_point, many.balance_point, 1e-12);
  // The vanes' lumps sit on the two nodes next to them, which leaves their own inertia about the place they stand for.
  EXPECT_NEAR(few.transverse_inertia / many.transverse_inertia, 1.0, 1e-3);
  EXPECT_NEAR(few.frequencies[0] / many.frequencies[0], 1.0, 1e-3);
}

TEST(Launch, SameInputSameBits) {
  const Model model(demo_bow("larkspur"));
  const Launch once = launch(model);
  std::vector<Launch> others(4);
  {
    std::vector<std::jthread> threads;
    threads.reserve(others.size());
    for (Launch& other : others) {
      threads.emplace_back([&] { other = launch(model); });
    }
  }
  for (const Launch& other : others) {
    EXPECT_EQ(std::bit_cast<std::uint64_t>(once.exit_speed), std::bit_cast<std::uint64_t>(other.exit_speed));
    EXPECT_EQ(once.free.y, other.free.y);
    EXPECT_EQ(once.free.z, other.free.z);
  }
}

TEST(Launch, TheTraceKeepsBothSidesOfTheSeparation) {
  const Model model(demo_bow("larkspur"));
  LaunchOptions options;
  options.trace = true;
  const Launch shot = launch(model, options);
  const Trace& trace = shot.trace;
  EXPECT_EQ(std::count(trace.time.begin(), trace.time.end(), shot.exit_time), 2);
  // Apart from the nock leaving the string, which is two states at one time, every row has its own.
  for (std::size_t i = 1; i < trace.time.size(); ++i) {
    EXPECT_TRUE(trace.time[i] > trace.time[i - 1] || trace.time[i] == shot.exit_time) << i;
  }
  EXPECT_EQ(trace.arrow_y.size(), trace.time.size() * trace.nodes);
  EXPECT_TRUE(launch(model).trace.time.empty());
}

TEST(Launch, TheTraceKeepsAxlesAndString) {
  for (const char* name : testing::demo_bow_names) {
    const Model model(demo_bow(name));
    LaunchOptions options;
    options.trace = true;
    const Launch shot = launch(model, options);
    const Trace& trace = shot.trace;
    const auto axle_to_axle = [&](std::size_t i) {
      return std::hypot(trace.axle_x.upper[i] - trace.axle_x.lower[i], trace.axle_y.upper[i] - trace.axle_y.lower[i]);
    };
    ASSERT_EQ(trace.axle_x.upper.size(), trace.time.size()) << name;
    // The archer pulls into the wall, which gives by up to half a millimetre from the touch on.
    EXPECT_NEAR(axle_to_axle(0), draw_cycle(model).full_axle_to_axle, 1e-3) << name;
    // One link, as all of them have: at the limb's length from its pivot, turned with the riser and with the limb.
    const nockwise::Setup setup = demo_bow(name);
    for (std::size_t i = 0; i < trace.time.size(); ++i) {
      const double pitch = trace.riser_pitch[i];
      const Limb& limb = setup.limbs.upper;
      const double x = trace.riser_x[i] + std::cos(pitch) * limb.pivot_x - std::sin(pitch) * limb.pivot_y;
      const double y = trace.riser_y[i] + std::sin(pitch) * limb.pivot_x + std::cos(pitch) * limb.pivot_y;
      const double turn = pitch + trace.limb_angle.upper[i];
      ASSERT_NEAR(trace.axle_x.upper[i], x - limb.effective_length * std::sin(turn), 1e-12) << name << i;
      ASSERT_NEAR(trace.axle_y.upper[i], y + limb.effective_length * std::cos(turn), 1e-12) << name << i;
    }
    // The limbs spring apart as the string straightens.
    EXPECT_GT(axle_to_axle(trace.time.size() / 2), axle_to_axle(0)) << name;
    for (std::size_t i = 0; i < trace.time.size(); ++i) {
      const bool on_string = trace.time[i] < shot.exit_time;
      const double apart = std::hypot(trace.string_x[i] - trace.nock_x[i], trace.string_y[i] - trace.nock_y[i]);
      ASSERT_TRUE(on_string ? apart == 0.0 : trace.time[i] == shot.exit_time || apart > 0.0) << name << i;
      ASSERT_TRUE(on_string || trace.string_x[i] <= trace.nock_x[i] + 1e-12) << name << i;  // the arrow is ahead
    }
  }
}

TEST(Launch, RefusesAndWarnsInTheUsersTerms) {
  nockwise::Setup short_arrow = demo_bow("larkspur");
  short_arrow.arrow.length = 0.62;
  try {
    (void)launch(Model(short_arrow));
    FAIL() << "an arrow shorter than the draw was shot";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "arrow.length");
  }

  nockwise::Setup across = demo_bow("larkspur");
  across.rest.height = 0.25;
  try {
    (void)launch(Model(across));
    FAIL() << "an arrow that points at the sky was shot";
  } catch (const SolverError& error) {
    EXPECT_NE(std::string(error.what()).find("across the shot, pointing up"), std::string::npos) << error.what();
  }

  nockwise::Setup light = demo_bow("larkspur");
  light.arrow.linear_density = 0.012;
  light.arrow.point_mass = 0.004;
  const Launch shot = launch(Model(light));
  ASSERT_FALSE(shot.cautions.empty());
  EXPECT_EQ(shot.cautions.front().kind, CautionKind::light_arrow);
  EXPECT_NE(shot.cautions.front().words.find("5 grains"), std::string::npos);

  const Model model(demo_bow("larkspur"));
  LaunchOptions options;
  options.time_limit = 0.01;
  EXPECT_EQ(launch(model, options).ended_by, LaunchEnd::time_limit);
  EXPECT_THROW((void)paper_tear(model, launch(model, options)), InputError);
  options = {};
  options.step = 0.0;
  EXPECT_THROW((void)launch(model, options), InputError);
  options.step = std::nan("");
  EXPECT_THROW((void)launch(model, options), InputError);
}

TEST(Launch, TellsNothingOfWhatTheBowDoesNotHave) {
  nockwise::Setup bow = demo_bow("larkspur");
  bow.rest.kind = RestKind::blade;
  bow.cams.lower.stop.kind = StopKind::none;
  LaunchOptions options;
  options.trace = true;
  const Launch shot = launch(Model(bow), options);
  EXPECT_FALSE(shot.rest.drop_start.has_value());
  EXPECT_FALSE(shot.rest.drop_end.has_value());
  EXPECT_TRUE(shot.rest.last_contact.has_value());
  EXPECT_FALSE(shot.late_stop_gap.has_value());
  EXPECT_EQ(shot.trace.stop_gap.upper.size(), shot.trace.time.size());
  EXPECT_TRUE(shot.trace.stop_gap.lower.empty());
}

TEST(Launch, TellsHowFarTheCablesPassTheVanes) {
  const auto clearance = [](const nockwise::Setup& setup) { return launch(Model(setup)).cable_clearance.value(); };
  const nockwise::Setup bow = demo_bow("larkspur");
  const double usual = clearance(bow);
  EXPECT_GT(usual, 0.0);
  EXPECT_LT(usual, std::fabs(bow.cable_guard.offset));
  nockwise::Setup changed = bow;
  changed.arrow.fletching.height += 2e-3;
  EXPECT_NEAR(clearance(changed), usual - 2e-3, 1e-4);
  changed = bow;
  changed.arrow.fletching.count = 0;
  EXPECT_NEAR(clearance(changed), usual + bow.arrow.fletching.height, 1e-4);
  // Between nock and rest the shaft goes sideways by a share of what the rest does.
  changed = bow;
  changed.rest.center_shot += 3e-3;
  const double closer = (usual - clearance(changed)) / 3e-3;
  EXPECT_GT(closer, 0.3);
  EXPECT_LT(closer, 1.0);
}

TEST(Launch, ShortensTheStepForAPartThatIsTooQuickForIt) {
  // A riser end that hardly gives swings at 70 kHz: at the usual step it once made energy out of nothing, and shots
  // that were off by up to 5 % of the speed with nothing to show for it.
  const Launch rigid = launch(Model(demo_bow("larkspur")));
  nockwise::Setup setup = demo_bow("larkspur");
  setup.riser.upper_end_compliance = setup.riser.lower_end_compliance = 1e-9;
  const Launch stiff = launch(Model(setup));
  EXPECT_GT(stiff.steps, 3 * rigid.steps);
  EXPECT_NEAR(stiff.exit_speed, rigid.exit_speed, 1e-4 * rigid.exit_speed);
  EXPECT_GE(stiff.dissipated, -1e-3 * stiff.stored_energy);

  setup.riser.upper_end_compliance = 1e-13;
  try {
    (void)launch(Model(setup));
    FAIL() << "a step of 1.6 us cannot follow 7 MHz";
  } catch (const SolverError& error) {
    const std::string words = error.what();
    EXPECT_NE(words.find("a part is too quick for a step"), std::string::npos) << words;
    EXPECT_NE(words.find("limbs.upper.effective_mass"), std::string::npos) << "what moves on the stiff end: " << words;
  }
}

TEST(EquationsOfMotion, CheckTheirArguments) {
  const EquationsOfMotion equations{Model(demo_bow("alder"))};
  std::vector<double> rate;
  EXPECT_THROW(equations.derivative(std::vector<double>(3), true, rate), InputError);
  std::vector<double> state = equations.initial_state();
  state[2] = std::nan("");
  EXPECT_THROW(equations.derivative(state, true, rate), InputError);
}

/// A launch in which a cable goes slack and comes taut again, and the arrow bounces from its launcher: both engage with
/// a jump of the force. Such errors fall with the fourth power of the step only if every jump is located.
TEST(Launch, ForcesThatJumpAreLocated) {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.set("cables.lower.twists", 4.0 + setup.get("cables.lower.twists"));
  const Model model(setup);
  const auto tear_at = [&](double step) {
    LaunchOptions options;
    options.step = step;
    const Launch shot = launch(model, options);
    EXPECT_TRUE(happened(shot, EventKind::lower_cable_slack) || happened(shot, EventKind::upper_cable_slack));
    EXPECT_TRUE(happened(shot, EventKind::lower_cable_taut) || happened(shot, EventKind::upper_cable_taut));
    EXPECT_TRUE(happened(shot, EventKind::rest_contact_made));
    return paper_tear(model, shot);
  };
  const PaperTear exact = tear_at(2e-6);
  const auto error = [&](double step) {
    const PaperTear tear = tear_at(step);
    return std::hypot(tear.up - exact.up, tear.right - exact.right);
  };
  EXPECT_LT(error(50e-6), 2e-5);
  EXPECT_LT(error(100e-6), 1e-4);
}

}  // namespace
}  // namespace nockwise
