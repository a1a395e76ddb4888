#include "nockwise/group.hpp"

#include "demo_bows.hpp"
#include "groups/statistics.hpp"
#include "nockwise/error.hpp"
#include "numerics/random_numbers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;

Scatter only(std::vector<ScatterWidth> widths) { return {"chosen", std::move(widths)}; }

TEST(Scatter, UsualOnesAreWithinTheirLimitsAndFallWithSkill) {
  for (const Archer archer : {Archer::beginner, Archer::club, Archer::expert, Archer::machine}) {
    EXPECT_NO_THROW(validate(scatter_of(archer)));
    EXPECT_EQ(scatter_of(archer).name, name_of(archer));
  }
  for (const ScatterSource& each : scatter_sources()) {
    EXPECT_GE(each.beginner, each.club) << each.name;
    EXPECT_GE(each.club, each.expert) << each.name;
    EXPECT_GE(each.expert, each.machine) << each.name;
    EXPECT_FALSE(each.source.empty()) << each.name;
  }
}

TEST(Scatter, RefusesWhatItDoesNotKnow) {
  try {
    validate(only({{"grip_torqe", 0.1}}));
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("grip_torque"), std::string::npos) << error.what();
  }
  EXPECT_THROW(validate(only({{"aim_up", -1e-3}})), InputError);
  EXPECT_THROW(validate(only({{"aim_up", std::nan("")}})), InputError);
  EXPECT_THROW(validate(only({{"aim_up", 1e-3}, {"aim_up", 1e-3}})), InputError);
}

TEST(Group, AimAloneIsAKnownNormalDistribution) {
  // The impact is the distance times the aim: its moments and widths are known in closed form.
  GroupOptions options;
  options.distance = 50.0;
  options.shots = 3000;
  options.arrows = 1;
  const Group found = group(demo_bow("larkspur"), only({{"aim_up", 1e-3}, {"aim_right", 2e-3}}), options);
  EXPECT_EQ(found.failed, 0U);
  const double error = 3.0 / std::sqrt(2.0 * 3000.0);
  EXPECT_NEAR(found.deviation_up / 0.05, 1.0, error);
  EXPECT_NEAR(found.deviation_right / 0.1, 1.0, error);
  EXPECT_NEAR(found.width_of_six_up / (2.534 * found.deviation_up), 1.0, 3.0 * 0.3347 / std::sqrt(500.0));
  EXPECT_NEAR(found.width_of_six_right / (2.534 * found.deviation_right), 1.0, 3.0 * 0.3347 / std::sqrt(500.0));
  EXPECT_NEAR(found.angle, 0.0, 0.05);
  EXPECT_NEAR(found.major, found.deviation_right, 1e-3);
  EXPECT_GT(found.straight_part, 0.999);
  EXPECT_NEAR(found.relative_error, 1.0 / std::sqrt(4.0 * 3000.0) * 1.17, 2e-3);  // both axes unlike
  ASSERT_EQ(found.forgiveness.sources.size(), 2U);
  EXPECT_EQ(found.forgiveness.sources[0].name, "aim_right");
  EXPECT_NEAR(found.forgiveness.sources[0].share, 0.8, 1e-3);
  EXPECT_NEAR(found.forgiveness.sources[0].right_per_unit, 50.0, 0.1);
  EXPECT_NE(found.pattern.find("level and wide"), std::string::npos) << found.pattern;
}

TEST(Group, ABowHeldHigherShootsAsMuchHigher) {
  GroupOptions options;
  options.distance = 50.0;
  const Forgiveness found = forgiveness(demo_bow("larkspur"), only({{"bow_height", 2e-3}}), options);
  ASSERT_EQ(found.sources.size(), 1U);
  // Up as the sight has turned the bow: a little back too, from where the arrow falls that much farther.
  const Model model(demo_bow("larkspur"));
  const TargetPoint last = flight_to(model, launch(model), 50.0, found.sight).back();
  const double fall = last.velocity_y / last.velocity_x;
  const double raised = std::cos(found.sight.elevation) + std::sin(found.sight.elevation) * fall;
  EXPECT_NEAR(found.sources[0].up_per_unit, raised, 1e-4);
  EXPECT_NEAR(found.sources[0].right_per_unit, 0.0, 1e-5);
}

TEST(Group, ATurnedNockMattersWhereVanesStrike) {
  // On a blade with a vane that points down every turn changes how it strikes; on a drop-away that is out of the way
  // no turn does anything.
  nockwise::Setup down = demo_bow("alder");
  down.arrow.fletching.clocking = 3.0;
  GroupOptions options;
  options.distance = 45.72;
  const Scatter turn = only({{"nock_turn", 0.1}});
  EXPECT_EQ(forgiveness(demo_bow("larkspur"), turn, options).deviation_up, 0.0);
  const Group striking = group(down, turn, options);
  EXPECT_EQ(striking.touches, striking.shots);
  EXPECT_GT(striking.deviation_up, 1e-5);
}

TEST(Group, CountsShaftsThatBounceAndTellsTheSmallestClearance) {
  // Aim alone: every launch is the one without error. An arrow nocked low rides down onto the Wheelwright's rest and
  // bounces, one nocked high leaves it for good.
  nockwise::Setup low = demo_bow("wheelwright");
  low.string.nocking_point -= 0.0048;
  nockwise::Setup high = demo_bow("wheelwright");
  high.string.nocking_point += 0.008;
  const auto shot = [](const nockwise::Setup& setup) { return group(setup, only({{"aim_up", 1e-3}}), {.shots = 24}); };
  for (const nockwise::Setup& setup : {low, high, demo_bow("alder")}) {
    const Launch alone = launch(Model(setup));
    const bool bounces = std::any_of(alone.events.begin(), alone.events.end(),
                                     [](const Event& each) { return each.kind == EventKind::rest_contact_made; });
    const Group found = shot(setup);
    EXPECT_EQ(found.bounces, bounces ? 24U : 0U) << setup.name;
    EXPECT_EQ(found.least_clearance, alone.rest.fletching_clearance) << setup.name;
  }
  EXPECT_EQ(shot(low).bounces, 24U);
  EXPECT_EQ(shot(high).bounces, 0U);
  nockwise::Setup bare = low;
  bare.arrow.fletching.count = 0;
  EXPECT_FALSE(shot(bare).least_clearance.has_value());
  // With the hand's height the tail rides otherwise from shot to shot, and the least of all is told.
  const Group spread = group(demo_bow("larkspur"), scatter_of(Archer::beginner), {.shots = 60});
  EXPECT_LT(*spread.least_clearance, *launch(Model(demo_bow("larkspur"))).rest.fletching_clearance);
}

TEST(Group, SharesSumToOneAndMakeTheSpread) {
  for (const char* bow : nockwise::testing::demo_bow_names) {
    GroupOptions options;
    options.shots = 1200;
    options.arrows = 144;
    const Group found = group(demo_bow(bow), scatter_of(Archer::club), options);
    double share = 0.0;
    for (const SourceEffect& each : found.forgiveness.sources) {
      share += each.share;
    }
    EXPECT_NEAR(share, 1.0, 1e-12);
    const double lines = std::hypot(found.forgiveness.deviation_up, found.forgiveness.deviation_right);
    const double drawn = std::hypot(found.deviation_up, found.deviation_right);
    EXPECT_NEAR(lines / drawn, 1.0, 0.12) << bow << ": " << found.straight_part;
    EXPECT_GT(found.straight_part, 0.7) << bow;
  }
}

TEST(Group, IsTheSameForAnyNumberOfThreads) {
  GroupOptions one;
  one.shots = 100;
  one.threads = 1;
  one.conditions.gust = 1.0;
  GroupOptions three = one;
  three.threads = 3;
  const Group a = group(demo_bow("alder"), scatter_of(Archer::club), one);
  const Group b = group(demo_bow("alder"), scatter_of(Archer::club), three);
  EXPECT_EQ(a.up, b.up);
  EXPECT_EQ(a.right, b.right);
  EXPECT_EQ(a.deviation_up, b.deviation_up);
}

TEST(Group, ComparesSetupsOnTheSameShots) {
  // Two spines differ by less between themselves than either does between two draws.
  nockwise::Setup stiff = demo_bow("larkspur");
  stiff.set("arrow.spine", 0.300 * 0.0254);
  GroupOptions options;
  options.shots = 240;
  const Group a = group(demo_bow("larkspur"), scatter_of(Archer::club), options);
  const Group b = group(stiff, scatter_of(Archer::club), options);
  double together = 0.0;
  double own = 0.0;
  ASSERT_EQ(a.up.size(), b.up.size());
  for (std::size_t i = 0; i < a.up.size(); ++i) {
    together += (a.up[i] - a.mean_up) * (b.up[i] - b.mean_up);
    own += (a.up[i] - a.mean_up) * (a.up[i] - a.mean_up);
  }
  EXPECT_GT(together / own, 0.7);
}

TEST(Group, NamesTheArrowThatIsAlwaysOut) {
  Group shots;
  detail::RandomNumbers numbers(4);
  for (int i = 0; i < 120; ++i) {
    const int arrow = i % 6;
    shots.up.push_back(0.02 * numbers.normal() + (arrow == 3 ? 0.12 : 0.0));
    shots.right.push_back(0.02 * numbers.normal());
    shots.arrow.push_back(arrow);
  }
  detail::fill_statistics(shots, {}, 0.0065);
  const std::string pattern = detail::pattern_of(shots);
  EXPECT_NE(pattern.find("arrow 4 always out"), std::string::npos) << pattern;
}

TEST(Group, SeesTwoClustersAndShapes) {
  Group shots;
  detail::RandomNumbers numbers(4);
  for (int i = 0; i < 300; ++i) {
    shots.up.push_back(0.02 * numbers.normal());
    shots.right.push_back(0.02 * numbers.normal() + (numbers.between(0.0, 1.0) < 0.5 ? 0.1 : -0.1));
    shots.arrow.push_back(i % 6);
  }
  detail::fill_statistics(shots, {}, 0.0065);
  EXPECT_NE(detail::pattern_of(shots).find("level and wide; two clusters"), std::string::npos)
      << detail::pattern_of(shots);
  Group tall;
  for (int i = 0; i < 300; ++i) {
    tall.up.push_back(0.05 * numbers.normal());
    tall.right.push_back(0.02 * numbers.normal());
    tall.arrow.push_back(i % 6);
  }
  detail::fill_statistics(tall, {}, 0.0065);
  EXPECT_EQ(detail::pattern_of(tall), "tall");
}

TEST(Group, ScoresAsAFaceOfTenRings) {
  EXPECT_EQ(ring_score(0.0, 0.8, 0.006), 10);
  EXPECT_EQ(ring_score(0.039, 0.8, 0.0), 10);
  EXPECT_EQ(ring_score(0.041, 0.8, 0.0), 9);
  EXPECT_EQ(ring_score(0.041, 0.8, 0.006), 10);  // its edge touches the line
  EXPECT_EQ(ring_score(0.399, 0.8, 0.0), 1);
  EXPECT_EQ(ring_score(0.401, 0.8, 0.0), 0);
  EXPECT_EQ(ring_score(5.0, 0.8, 0.0), 0);
  GroupOptions options;
  options.distance = 50.0;
  options.face = 0.8;
  options.shots = 240;
  const Group expert = group(demo_bow("larkspur"), scatter_of(Archer::expert), options);
  const Group beginner = group(demo_bow("larkspur"), scatter_of(Archer::beginner), options);
  EXPECT_GT(*expert.score, *beginner.score);
  EXPECT_GT(*expert.score_error, 0.0);
}

TEST(Group, TellsInHowManyShotsARangeBreaks) {
  try {
    (void)group(demo_bow("larkspur"), only({{"wall_pull", 2.0}}));
    FAIL();
  } catch (const InputError& error) {
    const std::string text = error.what();
    EXPECT_NE(text.find("hold.wall_pull out of its range in "), std::string::npos) << text;
    EXPECT_NE(text.find(" of 240 shots"), std::string::npos) << text;
  }
}

TEST(Group, RefusesWhatCannotBeShot) {
  const auto setup = demo_bow("larkspur");
  const Scatter club = scatter_of(Archer::club);
  EXPECT_THROW((void)group(setup, club, {.shots = 11}), InputError);
  EXPECT_THROW((void)group(setup, club, {.arrows = 0}), InputError);
  EXPECT_THROW((void)group(setup, club, {.distance = 0.2}), InputError);
  EXPECT_THROW((void)group(setup, club, {.distance = 300.0}), InputError);
  EXPECT_THROW((void)group(setup, club, {.face = 0.0}), InputError);
  EXPECT_THROW((void)group(setup, club, {.threads = 0}), InputError);
  const std::atomic<bool> stop = true;
  EXPECT_THROW((void)group(setup, club, {.stop = &stop}), Interrupted);
}

/// Every source does in the mirror what it does here; to the right, what it does to the left.
TEST(Forgiveness, IsThatOfTheMirroredBow) {
  for (const char* const name : {"alder", "coppice"}) {
    nockwise::Setup setup = demo_bow(name);
    setup.hold.grip_torque = 0.1;
    setup.arrow.spine_difference = 0.03;
    setup.arrow.spine_direction = 0.5;
    GroupOptions options{.distance = 36.576};
    options.conditions.wind_right = 2.0;
    GroupOptions turned = options;
    turned.conditions.wind_right = -2.0;
    turned.conditions.vane_cant = -options.conditions.vane_cant;
    const Forgiveness here = forgiveness(setup, scatter_of(Archer::club), options);
    const Forgiveness there = forgiveness(mirrored(setup), scatter_of(Archer::club), turned);
    ASSERT_EQ(here.sources.size(), scatter_sources().size());
    for (const SourceEffect& each : here.sources) {
      const auto other = std::find_if(there.sources.begin(), there.sources.end(),
                                      [&](const SourceEffect& one) { return one.name == each.name; });
      ASSERT_NE(other, there.sources.end());
      EXPECT_NEAR(other->deviation_up, each.deviation_up, 1e-8) << name << " " << each.name;
      EXPECT_NEAR(other->deviation_right, each.deviation_right, 1e-8) << name << " " << each.name;
      EXPECT_EQ(other->straight, each.straight) << name << " " << each.name;
    }
    EXPECT_NEAR(there.sight.windage, -here.sight.windage, 1e-9) << name;
  }
}

TEST(Forgiveness, ASlopeIsThatOfTwoLaunches) {
  const auto setup = demo_bow("alder");
  const Forgiveness found = forgiveness(setup, only({{"grip_torque", 0.2}}), {.distance = 36.576});
  ASSERT_EQ(found.sources.size(), 1U);
  const auto right = [&](double torque) {
    nockwise::Setup turned = setup;
    turned.hold.grip_torque += torque;
    const Model model(turned);
    return fly_to(model, launch(model), 36.576, found.sight).right;
  };
  EXPECT_NEAR(found.sources[0].right_per_unit, (right(0.2) - right(-0.2)) / 0.4, 1e-9);
  EXPECT_NEAR(found.sources[0].share, 1.0, 1e-12);
}

TEST(Forgiving, FindsASmallerGroupWithACleanHole) {
  ForgivingOptions options;
  options.group.distance = 45.72;
  options.shots = 240;
  options.most_steps = 2.0;
  const ForgivingTune tune = forgiving(demo_bow("larkspur"), scatter_of(Archer::club),
                                       {"nocking_point", "center_shot", "point.mass"}, options);
  EXPECT_LE(std::fabs(tune.group.forgiveness.tear_up), options.within);
  EXPECT_LE(std::fabs(tune.group.forgiveness.tear_right), options.within);
  EXPECT_GE(tune.gain, -2.0 * tune.gain_error);
  EXPECT_GE(tune.tried, 7U);
  ASSERT_FALSE(tune.frontier.empty());
  for (std::size_t i = 1; i < tune.frontier.size(); ++i) {
    EXPECT_GT(tune.frontier[i].tear, tune.frontier[i - 1].tear);
    EXPECT_LT(tune.frontier[i].deviation, tune.frontier[i - 1].deviation);
  }
  EXPECT_FALSE(tune.cautions.empty());
}

TEST(Forgiving, RefusesWhatTheBowDoesNotHave) {
  const auto setup = demo_bow("larkspur");
  const Scatter club = scatter_of(Archer::club);
  EXPECT_THROW((void)forgiving(setup, club, {}), InputError);
  EXPECT_THROW((void)forgiving(setup, club, {"nocking_pont"}), InputError);
  EXPECT_THROW((void)forgiving(setup, club, {"nocking_point", "nocking_point"}), InputError);
  EXPECT_THROW((void)forgiving(setup, club, {"nocking_point"}, {.within = 0.0}), InputError);
}

}  // namespace
}  // namespace nockwise
