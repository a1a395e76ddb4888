#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

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
  EXPECT_DOUBLE_EQ(c.tears[0].distance, 3.048);
  EXPECT_DOUBLE_EQ(c.tears[1].up, -0.003);
  EXPECT_EQ(c.tears[1].changes, std::vector<ParameterChange>{bare_shaft()});
  EXPECT_TRUE(c.tears[2].changes.front().relative);
  ASSERT_EQ(c.checks.size(), 3U);
  EXPECT_EQ(c.checks[0].what, "stop_gap");
  EXPECT_NEAR(c.checks[1].value, 77.1, 0.1);
  ASSERT_EQ(c.priors.size(), 1U);
  EXPECT_EQ(c.setup.name.substr(0, 8), "Larkspur");
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

}  // namespace
}  // namespace nockwise
