// A bow told in a message, in place of a setup file.
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace nockwise {
namespace {

constexpr const char* sheet =
    "draw_length = \"28 in\"\naxle_to_axle = \"31 in\"\nbrace_height = \"6 1/2 in\"\npeak_force = \"60 lbf\"\n";
constexpr const char* hole = "[[tears]]\nhigh = \"1/2 in\"\n";

Case told(const std::string& lines, const std::string& head = "") {
  return parse_case("format = 1\n" + head + "[bow]\n" + lines + hole, ".", "message");
}

std::string refusal_of(const std::string& lines, const std::string& head = "") {
  try {
    (void)told(lines, head);
  } catch (const InputError& error) {
    return error.what();
  }
  return "taken";
}

bool assumes(const Case& observed, const std::string& path) {
  return std::any_of(observed.assumed.begin(), observed.assumed.end(),
                     [&](const AssumedValue& each) { return each.path == path; });
}

TEST(ToldBow, IsWhatItsLinesSay) {
  const Case observed = told(std::string(sheet) + "let_off = \"75 %\"\ncabling = \"yoke\"\nstop = \"cable\"\n");
  const Model model(observed.setup);
  const DrawCycle cycle = draw_cycle(model, {.hold = DrawHold::draw_board});
  EXPECT_NEAR(model.brace().brace_height, 6.5 * 0.0254, 1e-4);
  EXPECT_NEAR(model.brace().axle_to_axle, 31.0 * 0.0254, 1e-4);
  EXPECT_NEAR(cycle.draw_length, 28.0 * 0.0254, 2e-4);
  EXPECT_NEAR(cycle.peak_force, to_si(60.0, Quantity::force, "lbf"), 1.5);
  EXPECT_FALSE(assumes(observed, "bow.let_off"));
  EXPECT_FALSE(assumes(observed, "bow.cabling"));
  EXPECT_TRUE(assumes(observed, "arrow.spine"));
}

TEST(ToldBow, NamesWhatItAssumes) {
  const Case observed = told(std::string(sheet) + "\"arrow.spine\" = \"340 spine\"\n\"rest.kind\" = \"blade\"\n");
  EXPECT_TRUE(assumes(observed, "bow.let_off"));
  EXPECT_TRUE(assumes(observed, "bow.cabling"));
  EXPECT_TRUE(assumes(observed, "bow.stop"));
  EXPECT_FALSE(assumes(observed, "arrow.spine"));
  EXPECT_FALSE(assumes(observed, "rest.kind"));
  EXPECT_EQ(observed.setup.rest.kind, RestKind::blade);
  EXPECT_NEAR(observed.setup.get("arrow.spine"), to_si(340.0, Quantity::spine, "spine"), 1e-9);
}

// What is told is known as usual, what nobody told a class less well, and a sheet is no draw board.
TEST(ToldBow, IsKnownLessWellWhereNobodyTold) {
  const Case vague = told(sheet);
  const Case better = told(std::string(sheet) + "\"arrow.spine\" = \"340 spine\"\n\"arrow.point_mass\" = \"100 gr\"\n");
  const auto width = [](const Case& of, const char* path) { return width_of(of.setup, parameter(path)).value; };
  for (const char* path : {"arrow.bending_stiffness", "arrow.point_mass"}) {
    EXPECT_GT(width(vague, path), 2.0 * width(better, path)) << path;
    EXPECT_EQ(width(better, path), parameter(path).known.width.value) << path;
  }
  EXPECT_EQ(width(vague, "riser.mass"), width(better, "riser.mass"));
  EXPECT_GT(width(vague, "riser.mass"), parameter("riser.mass").known.width.value);
  EXPECT_TRUE(std::any_of(vague.setup.known.begin(), vague.setup.known.end(), [](const KnownValue& each) {
    return each.path == "peak_force" && each.by == KnownBy::specified;
  }));
}

TEST(ToldBow, OfALeftHandedArcherIsTheMirroredOne) {
  const Case right = told(std::string(sheet) + "\"rest.center_shot\" = \"1 mm\"\n");
  const Case left = told(std::string(sheet) + "\"rest.center_shot\" = \"-1 mm\"\n\"handedness\" = \"left\"\n");
  const nockwise::Setup turned = mirrored(right.setup);
  EXPECT_EQ(left.setup.handedness, Handedness::left);
  for (const Parameter& each : parameters()) {
    EXPECT_NEAR(each.get(left.setup), each.get(turned), 1e-9 * std::max(1.0, std::fabs(each.get(turned)))) << each.path;
  }
}

TEST(ToldBow, TakesTheWholeArrowsMass) {
  const auto mass = [](const nockwise::Setup& s) {
    return s.arrow.linear_density * s.arrow.length + s.arrow.point_mass + s.arrow.insert_mass + s.arrow.nock_mass +
           s.arrow.fletching.count * s.arrow.fletching.mass_each;
  };
  const double told_mass = to_si(412.0, Quantity::mass, "gr");
  EXPECT_NEAR(mass(told(std::string(sheet) + "arrow_mass = \"412 gr\"\n").setup), told_mass, 1e-9);
  const Case both = told(std::string(sheet) + "arrow_mass = \"412 gr\"\n\"arrow.point_mass\" = \"125 gr\"\n");
  EXPECT_NEAR(mass(both.setup), told_mass, 1e-9);
  EXPECT_NEAR(both.setup.arrow.point_mass, to_si(125.0, Quantity::mass, "gr"), 1e-12);
  const Case shot = told(std::string(sheet) + "chronograph = { speed = \"255 ft/s\", arrow_mass = \"430 gr\" }\n");
  EXPECT_NEAR(mass(shot.setup), to_si(430.0, Quantity::mass, "gr"), 1e-9);
}

void expect_refusal(const std::string& text, const std::vector<std::string>& wanted) {
  for (const std::string& each : wanted) {
    EXPECT_NE(text.find(each), std::string::npos) << each << " in: " << text;
  }
}

TEST(ToldBow, RefusesByNameAndLine) {
  expect_refusal(refusal_of("draw_length = \"28 in\"\n"), {"message:2", "bow.peak_force", "must be given"});
  expect_refusal(refusal_of("draw_length = \"28 in\"\npeak_force = \"60 lbf\"\n"),
                 {"message:2", "bow.axle_to_axle", "must be given"});
  expect_refusal(refusal_of(std::string(sheet) + "brace_heigth = \"6 in\"\n"),
                 {"message:7", "bow.brace_heigth", "brace_height"});
  expect_refusal(refusal_of(std::string(sheet) + "let_off = \"180 %\"\n"), {"message:7", "bow.let_off"});
  expect_refusal(refusal_of(std::string(sheet) + "\"rest.kind\" = \"shelf\"\n"), {"message:7", "rest.kind", "blade"});
  expect_refusal(refusal_of(std::string(sheet) + "\"arrow.spine\" = \"1 spine\"\n"), {"message:7", "arrow.spine"});
  expect_refusal(refusal_of(std::string(sheet) + "\"limbs.upper.torsion_stiffness\" = \"900 N·m/rad\"\n"),
                 {"message:7", "limbs.upper.torsion_stiffness", "built from"});
  expect_refusal(refusal_of(std::string(sheet) + "arrow_mass = \"4 gr\"\n"), {"message:7", "arrow_mass"});
  expect_refusal(refusal_of(std::string(sheet) + "arrow_mass = \"200 gr\"\n\"arrow.point_mass\" = \"175 gr\"\n"),
                 {"message:7", "arrow_mass", "leave for a shaft"});
  expect_refusal(refusal_of(sheet, "setup = \"larkspur.toml\"\n"), {"setup"});
  expect_refusal(refusal_of(std::string(sheet) + "brace_height = \"6 in\"\n"), {"message:7"});
}

TEST(ToldBow, SaysWhenNoBowMeetsItsLines) {
  expect_refusal(refusal_of(std::string(sheet) + "rated_speed = \"480 ft/s\"\n"), {"message:2", "bow", "speed"});
}

}  // namespace
}  // namespace nockwise
