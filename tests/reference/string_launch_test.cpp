/// @file
/// What it costs a launch that the string is a lump at the nock: the same bow with each half of its string in pieces.
///
/// The lump is a third of what is free at brace and knows no waves. A third of the whole string, of which a fifth to a
/// third is wound onto the cams at brace, would take what is wound along.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/paper.hpp"
#include "string_lump.hpp"

#include <gtest/gtest.h>

#include <string>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;
const Source chain{"string in pieces against a lump", "C"};

struct Shot {
  double speed, up, right;  // [m/s, in, in]
};

Shot shoot(nockwise::Setup setup, int pieces) {
  setup.string.pieces = pieces;
  const Model model(setup);
  const Launch launched = launch(model);
  const PaperTear tear = paper_tear(model, launched);
  return {launched.exit_speed, tear.up / inch, tear.right / inch};
}

/// Upward tear that half a twist in the upper cable makes [in].
double by_half_a_twist(nockwise::Setup setup, int pieces) {
  const double before = shoot(setup, pieces).up;
  setup.cables.upper.twists += 0.5;
  return shoot(setup, pieces).up - before;
}

/// As if all of the string were free at brace.
nockwise::Setup with_whole_string(nockwise::Setup setup) {
  setup.string.mass /= free_share(setup);
  return setup;
}

/// With what is wound at brace as inertia of the cams, of which it is an upper bound.
nockwise::Setup with_wound_mass(nockwise::Setup setup) {
  constexpr double groove = 0.04;  // [m]
  const double wound = 0.5 * (1.0 - free_share(setup)) * setup.string.mass;
  setup.cams.upper.inertia += wound * groove * groove;
  setup.cams.lower.inertia += wound * groove * groove;
  return setup;
}

class StringLaunch : public ::testing::TestWithParam<const char*> {
 protected:
  const nockwise::Setup bow = testing::demo_bow(GetParam());
  [[nodiscard]] std::string of(const std::string& what) const { return what + ", " + bow.name; }
};

INSTANTIATE_TEST_SUITE_P(Bows, StringLaunch, ::testing::ValuesIn(testing::demo_bow_names),
                         [](const auto& bow) { return std::string(bow.param); });

/// Two pieces are within 0.31 % of the speed and 0.012 in of the tear of sixteen, eight within 0.06 % and 0.003 in.
TEST_P(StringLaunch, ConvergesWithThePieces) {
  const Shot limit = shoot(bow, 16);
  const Source many{"the same with 16 pieces", "C"};
  struct Bound {
    int pieces;
    double speed, tear;  // [share, in]
  };
  for (const Bound& bound : {Bound{2, 4e-3, 0.015}, Bound{4, 1e-3, 0.015}, Bound{8, 1e-3, 0.005}}) {
    const Shot shot = shoot(bow, bound.pieces);
    const std::string pieces = ", string in " + std::to_string(bound.pieces) + " pieces per half";
    check_relative(of("exit speed" + pieces), many, limit.speed, shot.speed, bound.speed, "m/s");
    check_absolute(of("upward tear" + pieces), many, limit.up, shot.up, bound.tear, "in");
    check_absolute(of("right tear" + pieces), many, limit.right, shot.right, bound.tear, "in");
  }
}

/// The lump shoots as the pieces do but for the string's shape and waves; a third of the whole string is slower by
/// more.
TEST_P(StringLaunch, ALumpNeglectsThis) {
  const Shot lump = shoot(bow, 1);
  const Shot pieces = shoot(bow, 16);
  const Shot whole = shoot(with_whole_string(bow), 1);
  const std::string against = " with the string in 16 pieces per half over that with a lump";
  check_range(of("exit speed" + against), chain, 0.995, 1.005, pieces.speed / lump.speed);
  check_range(of("exit speed" + against + " of a third of the whole string"), chain, 1.0, 1.02,
              pieces.speed / whole.speed);
  check_range(of("upward tear with the string in 16 pieces per half less that with a lump"), chain, -0.03, 0.03,
              pieces.up - lump.up, "in");
  check_range(of("right tear with the string in 16 pieces per half less that with a lump"), chain, -0.03, 0.03,
              pieces.right - lump.right, "in");
  check_absolute(of("upward tear by half a twist in the upper cable, string a lump"),
                 {"the same with 8 pieces per half", "C"}, by_half_a_twist(bow, 8), by_half_a_twist(bow, 1), 0.04,
                 "in");
}

/// The pieces leave the wound part out. As so much inertia of the cams it does little.
TEST_P(StringLaunch, TheWoundPartDoesLittle) {
  const Shot without = shoot(bow, 8);
  const Shot with = shoot(with_wound_mass(bow), 8);
  const std::string wound = ", what is wound of the string as inertia of the cams";
  check_relative(of("exit speed" + wound), {"the same without", "C"}, without.speed, with.speed, 1e-3, "m/s");
  check_absolute(of("upward tear" + wound), {"the same without", "C"}, without.up, with.up, 0.015, "in");
}

/// Whether the string rings on or damps does not matter: ten times its damping leaves the difference what it is.
TEST_P(StringLaunch, TheStringsDampingDecidesNothing) {
  nockwise::Setup damps = bow;
  damps.string.damping *= 10.0;
  const Source usual{"the same with the usual damping", "C"};
  const auto gain = [](const nockwise::Setup& setup) {
    const Shot lump = shoot(setup, 1);
    const Shot pieces = shoot(setup, 8);
    return Shot{pieces.speed / lump.speed, pieces.up - lump.up, pieces.right - lump.right};
  };
  const Shot light = gain(bow);
  const Shot heavy = gain(damps);
  const std::string pieces = " with the string in 8 pieces per half";
  check_absolute(of("exit speed" + pieces + " over that with a lump, ten times the string's damping"), usual,
                 light.speed, heavy.speed, 2e-3);
  check_absolute(of("upward tear" + pieces + " less that with a lump, ten times the string's damping"), usual, light.up,
                 heavy.up, 0.01, "in");
}

}  // namespace
}  // namespace nockwise
