#include "complete_setup.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/files.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace nockwise {
namespace {

const std::filesystem::path folder = nockwise::source_folder("examples/setups");
const std::string head = "format = 1\nsetup = \"larkspur.toml\"\n";

std::string complaint(const std::string& text) {
  try {
    (void)parse_case(text, folder, "case.toml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(CaseFile, ReadsEverything) {
  const Case c = parse_case(head + R"(
[[tears]]
high = "1/2 in"
left = "1/4 in"
distance = "10 ft"
[[tears]]
low = "3 mm"
bare_shaft = true
[[tears]]
right = "0.3 in"
reading_error = "1/16 in"
changes_by = { "cables.upper.twists" = "0.5 twist" }
[checks]
stops_touch_together = true
arrow_square_at_brace = false
chronograph_speed = { value = "253 ft/s", error = "2 ft/s" }
"rest.center_shot" = { value = "1 mm", error = "1 mm" }
[priors]
"cable.upper" = 2
)",
                            folder);
  ASSERT_EQ(c.tears.size(), 3U);
  EXPECT_DOUBLE_EQ(c.tears[0].up, 0.0127);
  EXPECT_DOUBLE_EQ(c.tears[0].right, -0.00635);
  EXPECT_DOUBLE_EQ(c.tears[0].distance.value(), 3.048);
  EXPECT_DOUBLE_EQ(c.tears[1].up, -0.003);
  EXPECT_EQ(c.tears[1].changes, std::vector<ParameterChange>{bare_shaft()});
  EXPECT_TRUE(c.tears[2].changes.front().relative);
  ASSERT_EQ(c.checks.size(), 3U);
  EXPECT_EQ(c.checks[0].what, "stop_gap");
  EXPECT_NEAR(c.checks[1].value, 77.1, 0.1);
  ASSERT_EQ(c.priors.size(), 1U);
  EXPECT_EQ(c.setup.name.substr(0, 8), "Larkspur");
}

TEST(CaseFile, ReadsWhatIsAtHandAndTrialsByTheNamesOfPlans) {
  const Case c = parse_case("shelf_clearance = \"1/4 in\"\n" + head + R"(
[[tears]]
high = "1/2 in"
[[tears]]
high = "1/4 in"
trial = { "yoke.top.cross" = -1, "cable.upper" = 1 }
[checks]
rest_up_before_wall = { value = "2 in", error = "1/4 in" }
[priors]
"riser.upper_end" = 1
[workshop]
bow_press = false
spare_spine = false
distances = ["6 ft", "12 ft"]
)",
                            folder);
  EXPECT_FALSE(c.workshop.bow_press);
  EXPECT_TRUE(c.workshop.draw_board);
  EXPECT_TRUE(c.workshop.second_arrow);
  EXPECT_FALSE(c.workshop.spare_spine);
  ASSERT_EQ(c.workshop.distances.size(), 2U);
  EXPECT_DOUBLE_EQ(c.workshop.distances.front(), 1.8288);
  EXPECT_DOUBLE_EQ(c.shelf_clearance.value(), 0.00635);
  EXPECT_EQ(c.tears[1].label, "after a trial");
  const std::vector<ParameterChange> moved = {{"cables.upper.twists", 0.5, true},
                                              {"cables.lower.yoke.left_twists", -0.5, true},
                                              {"cables.lower.yoke.right_twists", 0.5, true}};
  EXPECT_TRUE(std::is_permutation(moved.begin(), moved.end(), c.tears[1].changes.begin(), c.tears[1].changes.end()));
  EXPECT_EQ(c.checks.front().what, "rest_up_before_wall");
  EXPECT_EQ(c.priors.front().adjustment, "riser.upper_end");
  EXPECT_NE(complaint(head + "[workshop]\nbow_pres = false\n").find("bow_press"), std::string::npos);
  EXPECT_NE(complaint(head + "[workshop]\nbow_press = 1\n").find("true or false"), std::string::npos);
  EXPECT_NE(complaint(head + "[workshop]\ndistances = \"6 ft\"\n").find("list of lengths"), std::string::npos);
  EXPECT_NE(complaint(head + "[[tears]]\nhigh = \"1 in\"\ntrial = { \"cable.uper\" = 1 }\n").find("cable.upper"),
            std::string::npos);
  EXPECT_NE(complaint("shelf_clearance = \"1 ft\"\n" + head).find("shelf_clearance"), std::string::npos);
}

TEST(CaseFile, ComplainsWithThePlace) {
  EXPECT_NE(complaint(head + "[[tears]]\nhigh = 0.5\n").find("case.toml:4:1: tears.high = \"0.5\": must have a unit"),
            std::string::npos);
  EXPECT_NE(complaint(head + "[[tears]]\nheigh = \"1 in\"\n").find("nearest is high"), std::string::npos);
  EXPECT_NE(complaint(head + "[[tears]]\nlabel = \"x\"\n").find("must say how the tail tears"), std::string::npos);
  EXPECT_NE(complaint(head + "[[tears]]\nhigh = \"1 in\"\nlow = \"1 in\"\n").find("given once"), std::string::npos);
  EXPECT_NE(complaint("setup = \"larkspur.toml\"\n").find("format = 1"), std::string::npos);
  EXPECT_NE(complaint("format = 1\n").find("setup = "), std::string::npos);
  EXPECT_NE(complaint(head + "[checks]\nstop_gab = { value = \"1 mm\", error = \"1 mm\" }\n").find("stop_gap"),
            std::string::npos);
  EXPECT_NE(complaint(head + "[priors]\n\"cable.uper\" = 1\n").find("cable.upper"), std::string::npos);
  EXPECT_NE(
      complaint(head + "[[tears]]\nhigh = \"1 in\"\nchanges = { \"rest.hight\" = \"1 mm\" }\n").find("rest.height"),
      std::string::npos);
  EXPECT_NE(complaint("format = ").find("not TOML"), std::string::npos);
}

TEST(CaseFile, NumbersHaveRanges) {
  const std::string tear = head + "[[tears]]\nhigh = \"1 in\"\n";
  const auto refuses = [&](const std::string& text, const std::string& words) {
    const std::string said = complaint(text);
    EXPECT_NE(said.find(words), std::string::npos) << text << "\nsays: " << said;
  };
  refuses(tear + "distance = \"1000 m\"\n", "case.toml:5:1: tears.distance = \"1000 m\": must be from");
  refuses(tear + "distance = \"-1 m\"\n", "tears.distance");
  for (const char* error : {"0 in", "1e-300 in", "1 m", "1000 m"}) {
    refuses(tear + "reading_error = \"" + error + "\"\n", "case.toml:5:1: tears.reading_error");
  }
  refuses(head + "[[tears]]\nhigh = \"1000 in\"\n", "tears.high");
  refuses(tear + "[priors]\n\"cable.upper\" = 1e300\n", "priors.cable.upper = \"1");
  refuses(tear + "[priors]\n\"cable.upper\" = 1e-300\n", "must be from 0.01 to 100");
  refuses(tear + "[checks]\nstop_gap = { value = \"1 m\", error = \"1 mm\" }\n", "checks.stop_gap.value");
  refuses(tear + "[checks]\nstop_gap = { value = \"1 mm\", error = \"1e-300 mm\" }\n", "checks.stop_gap.error");
  refuses(tear + "[checks]\n\"rest.kind\" = { value = \"1 mm\", error = \"1 mm\" }\n", "this parameter is none");
  refuses(tear + "[checks]\n\"\" = { value = \"1 mm\", error = \"1 mm\" }\n", "is no check");
  std::string many = head;
  for (int i = 0; i < 31; ++i) {
    many += "[[tears]]\nhigh = \"1 in\"\n";
  }
  refuses(many, "case.toml:3:3: tears = \"31 of them\": must not be more than 30");
  std::string bows = head;
  for (int i = 1; i < 12; ++i) {
    bows +=
        "[[tears]]\nhigh = \"1 in\"\nchanges_by = { \"cables.upper.twists\" = \"" + std::to_string(i) + " twist\" }\n";
  }
  refuses(bows, "tears.bows = \"11\": must be from 0 to 10");
}

TEST(CaseFile, NamesTheSetupThatIsMissing) {
  EXPECT_EQ(complaint("format = 1\nsetup = \"nowhere.toml\"\n"),
            "case.toml:2:1: setup = \"nowhere.toml\": must name a setup file; there is none of this name in " +
                std::filesystem::absolute(folder).lexically_normal().string());
}

TEST(CaseFile, TellsOtherKindsOfFile) {
  EXPECT_NE(complaint(head + "[draw_board]\n[[speeds]]\n").find("this is a file of measurements for a calibration"),
            std::string::npos);
  EXPECT_NE(complaint("format = 1\n[limbs]\n[arrow]\n").find("but this is a setup file; read_setup()"),
            std::string::npos);
}

TEST(CaseFile, WhatIsBuiltInCodeHasTheSameRanges) {
  Case observed;
  observed.setup = read_setup(folder / "larkspur.toml");
  observed.tears.push_back({.up = 0.01});
  const auto path_of = [](const Case& wrong) {
    try {
      (void)explain(wrong);
    } catch (const InputError& error) {
      return error.path();
    }
    return std::string("accepted");
  };
  const auto with = [&](const auto& change) {
    Case changed = observed;
    change(changed);
    return path_of(changed);
  };
  EXPECT_EQ(with([](Case& c) { c.tears[0].distance = 1000.0; }), "tears.distance");
  EXPECT_EQ(with([](Case& c) { c.tears[0].reading_error = 1e-300; }), "tears.reading_error");
  EXPECT_EQ(with([](Case& c) { c.tears[0].reading_error = 1.0; }), "tears.reading_error");
  EXPECT_EQ(with([](Case& c) { c.tears[0].up = 1e300; }), "tears.up");
  EXPECT_EQ(with([](Case& c) { c.tears.assign(31, c.tears[0]); }), "tears");
  EXPECT_EQ(with([](Case& c) { c.tears[0].changes.assign(13, bare_shaft()); }), "tears.changes");
  EXPECT_EQ(with([](Case& c) { c.tears[0].changes = {{"", 1.0, false}}; }), "tears.changes");
  EXPECT_EQ(with([](Case& c) { c.tears[0].changes = {{"rest.height", 5.0, true}}; }), "tears.changes.rest.height");
  EXPECT_EQ(with([](Case& c) { c.priors = {{"cable.upper", 1e300}}; }), "priors.cable.upper");
  EXPECT_EQ(with([](Case& c) { c.checks = {{"", 0.0, 0.001}}; }), "checks");
  EXPECT_EQ(with([](Case& c) { c.checks = {{"name", 0.0, 0.001}}; }), "checks.name");
  EXPECT_EQ(with([](Case& c) { c.checks = {{"stop_gap", 0.0, 1e-300}}; }), "checks.stop_gap.error");
  EXPECT_EQ(with([](Case& c) { c.checks.assign(31, {"stop_gap", 0.0, 1e-3}); }), "checks");
}

TEST(CaseFile, ListsWhatTheSetupLeavesOut) {
  const std::filesystem::path scratch = std::filesystem::path(::testing::TempDir()) / "nockwise_case_test";
  std::filesystem::create_directories(scratch);
  write_text_file(scratch / "bow.toml", complete_setup());
  const Case read = parse_case("format = 1\nsetup = \"bow.toml\"\n", scratch);
  EXPECT_FALSE(read.assumed.empty());
  EXPECT_TRUE(parse_case(head, folder).assumed.empty());
  std::filesystem::remove_all(scratch);
}

}  // namespace
}  // namespace nockwise
