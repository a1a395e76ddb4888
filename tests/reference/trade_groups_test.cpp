/// @file
/// Facts of the trade about groups, bare shafts and walk-back, in the amounts of 20 to 70 yd; and what was measured of
/// groups. Where the model contradicts the trade, the mechanism is said.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/group.hpp"
#include "nockwise/target.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;

const Source practice{"common practice, no source", "T"};
constexpr double inch = 0.0254;
constexpr double yard = 0.9144;

nockwise::Setup with_spine(const char* bow, double spine) {
  nockwise::Setup setup = demo_bow(bow);
  setup.set("arrow.spine", spine * inch);
  return setup;
}

double effect(const Forgiveness& found, const std::string& name) {
  for (const SourceEffect& each : found.sources) {
    if (each.name == name) {
      return each.deviation_right;
    }
  }
  return 0.0;
}

/// Where a bare shaft strikes, seen from the fletched one that the sight is set for, at 20 yd [in].
std::pair<double, double> bare_shaft(const nockwise::Setup& setup) {
  const double distance = 20.0 * yard;
  const Model model(setup);
  const Sight sight = sight_in(model, launch(model), distance);
  nockwise::Setup bare = setup;
  bare.arrow.fletching.count = 0;
  const Model other(bare);
  const Arrival arrival = fly_to(other, launch(other), distance, sight);
  return {arrival.up / inch, arrival.right / inch};
}

TEST(TradeGroups, AWeakShaftGroupsLevelAndWide) {
  // The hand's torque bends the shaft in the string's last way; a weak one carries more of it along.
  for (const char* bow : {"alder", "wheelwright"}) {
    GroupOptions options;
    options.distance = 50.0 * yard;
    options.shots = 600;
    const Group weak = group(with_spine(bow, 0.6), scatter_of(Archer::club), options);
    const Group stiff = group(with_spine(bow, 0.25), scatter_of(Archer::club), options);
    const std::string name = std::string(", ") + bow;
    check_range("width of six with a shaft of 0.600, club archer, 50 yd (trade: 4 to 6)" + name, practice, 4.0, 6.0,
                weak.width_of_six_right / inch, "in");
    check_range("width over height of a group with 0.600" + name, practice, 1.15, 2.0,
                weak.width_of_six_right / weak.width_of_six_up);
    check_range("what the hand's torque scatters with 0.600 over that with 0.250" + name, practice, 1.5, 4.0,
                effect(weak.forgiveness, "grip_torque") / effect(stiff.forgiveness, "grip_torque"));
    check_range("a stiff shaft is round, width over height with 0.250 (trade: all over)" + name, practice, 0.8, 1.25,
                stiff.width_of_six_right / stiff.width_of_six_up);
  }
}

TEST(TradeGroups, AStiffShaftIsNotTheLargerGroup) {
  // The trade has it all over and large. Here it answers less to the hand's torque and to a release that is not clean
  // alike, and no arrow that touches the bow is turned by it.
  GroupOptions options;
  options.distance = 50.0 * yard;
  options.shots = 600;
  const Group usual = group(with_spine("alder", 0.4), scatter_of(Archer::club), options);
  const Group stiff = group(with_spine("alder", 0.25), scatter_of(Archer::club), options);
  check_range("mean radius with 0.250 over that with 0.400 (trade: above 1), alder", disagreement(practice), 0.9, 1.0,
              stiff.mean_radius / usual.mean_radius);
}

TEST(TradeGroups, ABareShaftShowsNockHeight) {
  // Nock high is tail-high, and without vanes the nose-down arrow planes down.
  const nockwise::Setup setup = demo_bow("larkspur");
  const auto before = bare_shaft(setup);
  nockwise::Setup high = setup;
  high.string.nocking_point += inch / 16.0;
  nockwise::Setup low = setup;
  low.string.nocking_point -= inch / 16.0;
  check_range("bare shaft against fletched at 20 yd by 1/16 in of nock up, larkspur (trade: low)", practice, -2.5, -1.0,
              bare_shaft(high).first - before.first, "in");
  check_range("bare shaft against fletched at 20 yd by 1/16 in of nock down, larkspur (trade: high)", practice, 0.7,
              2.0, bare_shaft(low).first - before.first, "in");
}

TEST(TradeGroups, OnABladeABareShaftDoesNotShowNockHeight) {
  // A blade lets the shaft bounce: moved either way, the bare shaft goes low, so it does not say which.
  const nockwise::Setup setup = demo_bow("alder");
  const auto before = bare_shaft(setup);
  for (const double side : {1.0, -1.0}) {
    nockwise::Setup moved = setup;
    moved.string.nocking_point += side * inch / 16.0;
    check_range(std::string("bare shaft against fletched at 20 yd by 1/16 in of nock ") + (side > 0 ? "up" : "down") +
                    ", alder" + (side > 0 ? "" : " (trade: high)"),
                side > 0 ? practice : disagreement(practice), -1.2, -0.2, bare_shaft(moved).first - before.first, "in");
  }
}

TEST(TradeGroups, ABareShaftShowsSpineOnlyByTheHand) {
  // A release aid and a rest in the middle do not bend the shaft sideways: left and right it does not matter how stiff
  // it is. With torque in the hand it does, and the weaker shaft goes farther.
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    const auto aside = [&](double spine, double torque) {
      nockwise::Setup setup = with_spine(bow, spine);
      setup.hold.grip_torque += torque;
      return bare_shaft(setup).second;
    };
    const std::string name = std::string(", ") + bow;
    check_range("bare shaft 0.500 less 0.300 at 20 yd, left and right (trade: inches)" + name, disagreement(practice),
                -0.15, 0.15, aside(0.5, 0.0) - aside(0.3, 0.0), "in");
    check_range("bare shaft aside by 0.3 N·m of torque at 20 yd, 0.500 over 0.300" + name, practice, 1.3, 2.6,
                (aside(0.5, 0.3) - aside(0.5, 0.0)) / (aside(0.3, 0.3) - aside(0.3, 0.0)));
  }
}

TEST(TradeGroups, TurningTheNockIndexesTheStiffSide) {
  // Shafts that are 4 % stiffer one way than in the mean, bare, at 20 yd: with the stiff side anywhere they strike
  // apart, and with every nock turned so that it points the same way they strike one hole. Turned by half a turn a
  // shaft is the same again.
  const double distance = 20.0 * yard;
  for (const char* bow : {"larkspur", "coppice"}) {
    nockwise::Setup bare = demo_bow(bow);
    bare.arrow.fletching.count = 0;
    const Model even(bare);
    const Sight sight = sight_in(even, launch(even), distance);
    const auto impact = [&](double stiff_side, double nock) {
      nockwise::Setup shaft = bare;
      shaft.arrow.spine_difference = 0.04;
      shaft.arrow.spine_direction = stiff_side;
      shaft.arrow.fletching.clocking = nock;
      const Model model(shaft);
      const Arrival arrival = fly_to(model, launch(model), distance, sight);
      return std::pair{arrival.up / inch, arrival.right / inch};
    };
    const auto apart = [](const std::pair<double, double>& a, const std::pair<double, double>& b) {
      return std::hypot(a.first - b.first, a.second - b.second);
    };
    double as_they_come = 0.0;
    double indexed = 0.0;
    const auto first = impact(0.0, 0.0);
    for (int i = 1; i < 6; ++i) {
      const double stiff_side = 0.5 * i;
      as_they_come = std::max(as_they_come, apart(impact(stiff_side, 0.0), first));
      indexed = std::max(indexed, apart(impact(stiff_side, -stiff_side), first));
    }
    const std::string name = std::string(", ") + bow;
    const bool coppice = std::string(bow) == "coppice";
    check_range("bare shafts 4 % stiffer one way, stiff sides anywhere, apart at 20 yd" + name, practice,
                coppice ? 2.0 : 0.2, coppice ? 6.0 : 1.5, as_they_come, "in");
    check_range("the same, every nock turned to index the stiff side" + name, practice, 0.0, 1e-4, indexed, "in");
    check_range("a bare shaft turned by half a turn" + name, practice, 0.0, 1e-4,
                apart(impact(0.7, 0.0), impact(0.7, std::numbers::pi)), "in");
  }
}

TEST(TradeGroups, WalkBackShowsASightThatIsNotUpright) {
  // Windage set at 20 yd takes the arrow's angle away for every distance, so that a moved rest leaves only the offset
  // of the arrow from the line of sight: (D / 20 yd − 1) of 3 mm, less what the vanes take up. A bar that is not
  // upright turns elevation into windage.
  const double near = 20.0 * yard;
  const double far = 50.0 * yard;
  const auto drift = [&](const nockwise::Setup& setup, double cant) {
    const Model model(setup);
    const Launch shot = launch(model);
    TargetFlightOptions options;
    options.aim.cant = cant;
    Sight sight = sight_in(model, shot, far, {}, options);
    sight.windage = sight_in(model, shot, near, {}, options).windage;
    return fly_to(model, shot, far, sight, {}, options).right / inch;
  };
  for (const char* bow : nockwise::testing::demo_bow_names) {
    const nockwise::Setup setup = demo_bow(bow);
    nockwise::Setup moved = setup;
    moved.rest.center_shot += 0.003;
    const std::string name = std::string(", ") + bow;
    check_range("walk-back from 20 to 50 yd with the rest 3 mm aside (trade: inches)" + name, disagreement(practice),
                -0.2, 0.2, drift(moved, 0.0), "in");
    check_range("walk-back from 20 to 50 yd with the sight's bar 1 degree off upright" + name, practice, 0.5, 1.2,
                drift(setup, 0.01745), "in");
  }
}

TEST(TradeGroups, HowStiffTheHandHoldsDoesNotMatter) {
  // A grip that is too strong is said to scatter. The arrow is gone before a hand's stiffness has turned the bow: what
  // scatters is the torque, which a strong grip may well make larger.
  nockwise::Setup strong = demo_bow("alder");
  const GroupOptions options{.distance = 50.0 * yard};
  const double usual = effect(forgiveness(strong, scatter_of(Archer::club), options), "grip_torque");
  strong.grip.yaw_stiffness *= 10.0;
  strong.grip.roll_stiffness *= 10.0;
  strong.grip.pitch_stiffness *= 10.0;
  check_relative("scatter by torque in a hand ten times as stiff, over the usual (trade: above 1)",
                 disagreement(practice), 1.0,
                 effect(forgiveness(strong, scatter_of(Archer::club), options), "grip_torque") / usual, 0.02);
}

TEST(MeasuredGroups, AClubArcherStaysWithinWhatWasMeasured) {
  const Source park{"J. Park, \"Fine tuning: when to adjust?\": 107 mm per axis at 70 m, a recurve's club archer", "S"};
  for (const char* bow : nockwise::testing::demo_bow_names) {
    GroupOptions options;
    options.distance = 70.0;
    options.shots = 1200;
    const Group found = group(demo_bow(bow), scatter_of(Archer::club), options);
    const std::string name = std::string(", ") + bow;
    check_range("standard deviation up and down of the club scatter at 70 m" + name, park, 30.0, 107.0,
                1e3 * found.deviation_up, "mm");
    check_range("standard deviation left and right of the club scatter at 70 m" + name, park, 30.0, 107.0,
                1e3 * found.deviation_right, "mm");
  }
}

TEST(MeasuredGroups, WidthsOfSixAreThoseOfOrderStatistics) {
  const Source park{"J. Park; order statistics of the normal: 2.534 standard deviations, their own 0.3347 of it",
                    "S, C"};
  GroupOptions options;
  options.distance = 50.0;
  options.shots = 24000;
  options.arrows = 1;
  const Group found = group(demo_bow("larkspur"), {"aim", {{"aim_up", 1e-3}, {"aim_right", 1e-3}}}, options);
  check_absolute("width of six over the standard deviation", park, 2.534,
                 found.width_of_six_right / found.deviation_right, 0.04);
  double mean = 0.0;
  double square = 0.0;
  for (std::size_t first = 0; first < found.right.size(); first += 6) {
    const auto begin = found.right.begin() + static_cast<std::ptrdiff_t>(first);
    const auto [low, high] = std::minmax_element(begin, begin + 6);
    mean += (*high - *low) / 4000.0;
    square += (*high - *low) * (*high - *low) / 4000.0;
  }
  check_absolute("standard deviation of the width of six over its mean", park, 0.3347,
                 std::sqrt(square - mean * mean) / mean, 0.012);
}

TEST(MeasuredGroups, AMachinesGroupHardlyDependsOnSpeed) {
  const Source litke{"T. Litke, \"Are Fast Arrows Less Forgiving?\" 2026: groups of six at 70 yd, 290 against 325 ft/s",
                     "S, sign"};
  for (const char* bow : nockwise::testing::demo_bow_names) {
    GroupOptions options;
    options.distance = 70.0 * yard;
    options.shots = 600;
    nockwise::Setup slow = demo_bow(bow);
    slow.set("arrow.point_mass", slow.arrow.point_mass + 100.0 * 6.479891e-5);
    const double fast = group(demo_bow(bow), scatter_of(Archer::machine), options).mean_radius;
    check_range(std::string("mean radius with 100 gr more, a tenth slower, over that without, ") + bow, litke, 0.8,
                1.25, group(slow, scatter_of(Archer::machine), options).mean_radius / fast);
  }
}

TEST(MeasuredGroups, BentShaftsGroupFarWorseWithoutSpin) {
  const Source park{
      "J. Park et al., Proc. IMechE P 232 (2018) 236: bent shafts group worse, far less so with angled vanes",
      "S, sign"};
  GroupOptions options;
  options.distance = 50.0 * yard;
  const Scatter bent{"bent", {{"bend", 5e-4}}};
  options.conditions.vane_cant = 0.0;
  const double straight = forgiveness(demo_bow("larkspur"), bent, options).deviation_up;
  options.conditions.vane_cant = 0.03;
  const double angled = forgiveness(demo_bow("larkspur"), bent, options).deviation_up;
  check_range("scatter of shafts bent by 0.5 mm with straight vanes", park, 3.0, 40.0, 1e3 * straight, "mm");
  check_range("scatter of bent shafts with straight vanes over that with vanes at 1.7 degrees", park, 5.0, 100.0,
              straight / angled);
}

}  // namespace
}  // namespace nockwise
