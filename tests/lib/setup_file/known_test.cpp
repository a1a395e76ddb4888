// The table [known] of a setup file.
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace nockwise {
namespace {

std::string larkspur() { return read_text_file(source_folder("examples/setups/larkspur.toml")); }

Setup with_known(const std::string& lines) { return parse_setup(larkspur() + "\n[known]\n" + lines, "bow.toml"); }

TEST(KnownTable, TakesClassesSharesAndWidths) {
  const nockwise::Setup setup = with_known(R"("riser.mass" = "measured"
"string.axial_rigidity" = "5 %"
"rest.height" = "0.25 mm"
"limbs.both.effective_mass" = "3 g"
"arrow.drag_coefficient" = 0.5
"arrow.damping_ratio" = "30 %"
peak_force = "1 lbf"
)");
  ASSERT_EQ(setup.known.size(), 8U);
  EXPECT_EQ(setup.known[0], (KnownValue{"riser.mass", KnownBy::measured, {}}));
  EXPECT_EQ(setup.known[1].width, (Width{0.05, true}));
  EXPECT_DOUBLE_EQ(setup.known[2].width->value, 0.00025);
  EXPECT_EQ(setup.known[3].path, "limbs.upper.effective_mass");
  EXPECT_EQ(setup.known[4].path, "limbs.lower.effective_mass");
  EXPECT_EQ(setup.known[3].width, setup.known[4].width);
  EXPECT_EQ(setup.known[5].width, (Width{0.5, false}));
  EXPECT_EQ(setup.known[6].width, (Width{0.3, true}));
  EXPECT_EQ(setup.known[7].path, "peak_force");
}

TEST(KnownTable, MayBeNestedAndStandAnywhere) {
  const std::string text = larkspur();
  const auto place = text.find("[riser]");
  const nockwise::Setup setup = parse_setup(
      text.substr(0, place) + "[known.limbs.both]\neffective_mass = \"guessed\"\n" + text.substr(place), "bow.toml");
  ASSERT_EQ(setup.known.size(), 2U);
  EXPECT_EQ(setup.known[1], (KnownValue{"limbs.lower.effective_mass", KnownBy::guessed, {}}));
}

TEST(KnownTable, ASpineIsSaidOfTheStiffness) {
  const nockwise::Setup setup = with_known("\"arrow.spine\" = \"10 spine\"\n");
  ASSERT_EQ(setup.known.size(), 1U);
  EXPECT_EQ(setup.known[0].path, "arrow.bending_stiffness");
  EXPECT_TRUE(setup.known[0].width->relative);
  EXPECT_NEAR(setup.known[0].width->value, 10.0 / 340.0, 1e-9);
}

TEST(KnownTable, IsWrittenSoThatItReadsTheSame) {
  const nockwise::Setup setup = with_known(R"("riser.mass" = "measured"
"cams.both.mass" = "1.3 g"
"cams.upper.inertia" = "guessed"
"arrow.drag_coefficient" = 0.5
brace_height = "2 mm"
"string.axial_rigidity" = "5 %"
)");
  const std::string text = format_setup(setup);
  EXPECT_NE(text.find("\"cams.both.mass\" = \"1.3 g\""), std::string::npos) << text.substr(text.find("[known]"));
  EXPECT_EQ(parse_setup(text), setup);
}

void expect_refused(const std::string& line, const std::string& path, const std::string& part_of_message) {
  const std::string setup = larkspur();
  const auto before = static_cast<int>(std::count(setup.begin(), setup.end(), '\n'));
  try {
    (void)with_known(line + "\n");
    FAIL() << line;
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), path) << line;
    EXPECT_EQ(error.line(), before + 3) << line;
    EXPECT_EQ(error.column(), 1) << line;
    EXPECT_NE(std::string(error.what()).find(part_of_message), std::string::npos) << error.what();
  }
}

TEST(KnownTable, RefusesByPathValueAndPlace) {
  expect_refused(R"("riser.mass" = "-1 %")", "known.riser.mass", "-1 %");
  expect_refused(R"("riser.mass" = "-5 g")", "known.riser.mass", "-5 g");
  expect_refused(R"("riser.mass" = "6 kg")", "known.riser.mass", "half of the range");
  expect_refused(R"("riser.mass" = "150 %")", "known.riser.mass", "100 %");
  expect_refused(R"("riser.mass" = "nan kg")", "known.riser.mass", "nan kg");
  expect_refused(R"("arrow.drag_coefficient" = nan)", "known.arrow.drag_coefficient", "nan");
  expect_refused(R"("riser.mass" = 0.05)", "known.riser.mass", "unit");
  expect_refused(R"("riser.mass" = "quite well")", "known.riser.mass", "measured");
  expect_refused(R"("riser.mas" = "measured")", "known.riser.mas", "riser.mass");
  expect_refused(R"("string.length" = "measured")", "known.string.length", "follows");
  expect_refused(R"("arrow.damping_ratio" = 0.3)", "known.arrow.damping_ratio", "share");
  expect_refused(R"("arrow.nodes" = "typical")", "known.arrow.nodes", "counted");
}

TEST(KnownTable, RefusesTheSameTwice) {
  EXPECT_THROW((void)with_known("\"limbs.both.damping\" = \"5 %\"\n\"limbs.upper.damping\" = \"5 %\"\n"), InputError);
}

}  // namespace
}  // namespace nockwise
