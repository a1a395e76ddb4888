#include "nockwise/setup_file.hpp"

#include "complete_setup.hpp"
#include "lib/launch/random_setup.hpp"
#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "nockwise/parameters.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <functional>
#include <optional>
#include <string>

namespace nockwise {
namespace {

/// The error that a file, given without its first line `format = 1`, is refused with.
InputError error_of(const std::string& lines) {
  try {
    (void)parse_setup("format = 1\n" + lines, "larkspur.toml");
  } catch (const InputError& error) {
    EXPECT_EQ(error.file(), "larkspur.toml");
    return error;
  }
  ADD_FAILURE() << "accepted: " << lines;
  return {"", "", ""};
}

void expect_error(const std::string& lines, const std::string& path, const std::string& value,
                  const std::string& allowed, int line, int column) {
  const InputError error = error_of(lines);
  EXPECT_EQ(error.path(), path) << lines;
  EXPECT_EQ(error.value(), value) << lines;
  EXPECT_NE(error.allowed().find(allowed), std::string::npos) << lines << "\nsays: " << error.what();
  EXPECT_EQ(error.line(), line) << lines;
  EXPECT_EQ(error.column(), column) << lines;
}

TEST(SetupFile, ReadsEveryKindOfValue) {
  const nockwise::Setup setup = parse_setup(complete_setup(R"(
name = "Larkspur"
handedness = "left"
riser.mass = "5 lb"
[limbs.lower]
bolt_turns = "1 1/2 turns"
)",
                                                           round_cams, R"(
[surroundings]
paper_distance = "12 ft"
)"));
  EXPECT_EQ(setup.name, "Larkspur");
  EXPECT_EQ(setup.handedness, Handedness::left);
  EXPECT_EQ(setup.riser.mass, to_si(5.0, Quantity::mass, "lb"));
  EXPECT_EQ(setup.limbs.upper.bolt_turns, 2.0);
  EXPECT_EQ(setup.limbs.lower.bolt_turns, 1.5);  // whatever the order in the file
  EXPECT_EQ(setup.limbs.lower.effective_length, 0.254);
  EXPECT_EQ(std::get<CircleTrack>(setup.cams.upper.string_track).radius, 0.033);
  EXPECT_EQ(setup.cams.lower.string_track, setup.cams.upper.string_track);
  EXPECT_EQ(setup.cams.lower.stop.kind, StopKind::cable);
  EXPECT_NEAR(setup.arrow.bending_stiffness, 7.488753, 5e-7);
  EXPECT_EQ(setup.arrow.fletching.count, 4);
  EXPECT_EQ(setup.rest.kind, RestKind::limb_driven);
}

TEST(SetupFile, ReadsLongTracksInEitherForm) {
  std::string cams = round_cams;
  cams.erase(cams.find("string_track = {"), cams.find("stop = ") - cams.find("string_track = {"));
  const nockwise::Setup setup = parse_setup(complete_setup("", cams, R"(
[cams.upper]
take_up_track = { kind = "circle", radius = "20 mm" }
[cams.lower]
string_track = { kind = "circle", radius = "33 mm" }
[cams.upper.string_track]
kind = "spline"
first_angle = "-90 deg"
angle_step = "0.1 rad"
unit = "mm"
distance = [40, 40.5, "4.1 cm",
            41.5, 42]
[cams.lower.take_up_track]
kind = "groove"
unit = "mm"
points = [[30, 0], [21, 21.0], [0, "3 cm"], [-21, 21], [-30, 0], [-21, -21], [0, -30], [21, -21]]
)"));
  const SplineTrack& spline = std::get<SplineTrack>(setup.cams.upper.string_track);
  EXPECT_EQ(spline.distance, (std::vector<double>{0.04, 0.0405, to_si(4.1, Quantity::length, "cm"), 0.0415, 0.042}));
  EXPECT_EQ(spline.angle_step, 0.1);
  const GrooveTrack& groove = std::get<GrooveTrack>(setup.cams.lower.take_up_track);
  ASSERT_EQ(groove.points.size(), 8U);
  EXPECT_EQ(groove.points[2], (std::array<double, 2>{0.0, 0.03}));
}

/// A setup file beside a CSV file of groove points.
class SetupWithGrooveFile : public ::testing::Test {
 protected:
  void SetUp() override { std::filesystem::create_directories(folder_); }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  [[nodiscard]] std::string setup_text(const std::string& groove) const {
    std::string cams = round_cams;
    cams.erase(cams.find("string_track = {"), cams.find("take_up_track = {") - cams.find("string_track = {"));
    return complete_setup("", cams, "[cams.both.string_track]\nkind = \"groove\"\n" + groove);
  }
  [[nodiscard]] nockwise::Setup read(const std::string& groove, const std::string& csv) const {
    write_text_file(folder_ / "string.csv", csv);
    write_text_file(folder_ / "bow.toml", setup_text(groove));
    return read_setup(folder_ / "bow.toml");
  }
  [[nodiscard]] std::string refusal(const std::string& groove, const std::string& csv) const {
    try {
      (void)read(groove, csv);
    } catch (const InputError& error) {
      return error.what();
    }
    return "none";
  }

  std::filesystem::path folder_ =
      std::filesystem::temp_directory_path() /
      (std::string("nockwise_groove_") + ::testing::UnitTest::GetInstance()->current_test_info()->name());
  std::string octagon_ = "x [mm], y [mm]\n30, 0\n21, 21.0\n0, 30\n-21, 21\n-30, 0\n-21, -21\n0, -30\n21, -21\n";
};

TEST_F(SetupWithGrooveFile, ReadsThePointsFromItsFolderAndWritesThem) {
  const nockwise::Setup setup = read("file = \"string.csv\"", octagon_);
  const auto& groove = std::get<GrooveTrack>(setup.cams.upper.string_track);
  ASSERT_EQ(groove.points.size(), 8U);
  EXPECT_EQ(groove.points[1], (std::array<double, 2>{0.021, 0.021}));
  EXPECT_EQ(setup.cams.lower.string_track, setup.cams.upper.string_track);
  EXPECT_EQ(parse_setup(format_setup(setup)), setup);  // by itself, without the file
}

TEST_F(SetupWithGrooveFile, MistakesAreToldWhereTheyAre) {
  EXPECT_NE(refusal("file = \"string.csv\"", octagon_ + "1, one\n").find("string.csv:10:4: points[8][1] = \"one\""),
            std::string::npos)
      << refusal("file = \"string.csv\"", octagon_ + "1, one\n");
  EXPECT_NE(refusal("file = \"other.csv\"", octagon_).find("bow.toml:"), std::string::npos)
      << refusal("file = \"other.csv\"", octagon_);
  EXPECT_NE(refusal("points = []\nfile = \"string.csv\"", octagon_).find("must not be given along with file"),
            std::string::npos);
  try {
    (void)parse_setup(setup_text("file = \"string.csv\""), "text");
    FAIL() << "a text has no folder";
  } catch (const InputError& error) {
    EXPECT_NE(error.allowed().find("does not come from a file"), std::string::npos) << error.what();
  }
}

TEST(SetupFile, EveryRequiredParameterIsAskedFor) {
  const InputError nothing = error_of("");
  EXPECT_EQ(nothing.path(), "cams.upper.stop.kind");
  for (const char* name : {"limbs.lower.pivot_y", "rest.height", "string.length", "arrow.bending_stiffness"}) {
    EXPECT_NE(nothing.allowed().find(name), std::string::npos) << name;
  }
  EXPECT_EQ(nothing.allowed().find("rest.arm"), std::string::npos) << "a blade has no arm";
  // Each line of a complete file left out, one after the other.
  const std::string complete = complete_setup();
  EXPECT_NO_THROW((void)parse_setup(complete));
  for (std::size_t from = complete.find('\n') + 1; from < complete.size(); from = complete.find('\n', from) + 1) {
    const std::string line = complete.substr(from, complete.find('\n', from) - from);
    if (line.front() != '[') {
      std::string text = complete;
      text.erase(from, line.size());
      EXPECT_THROW((void)parse_setup(text), InputError) << line;
    }
  }
}

TEST(SetupFile, ListsWhatItAssumes) {
  const SetupFile file = parse_setup_file(complete_setup());
  const auto find = [&](const std::string& path) {
    for (const AssumedValue& each : file.assumed) {
      if (each.path == path) {
        return each.value;
      }
    }
    return std::string("given or unused");
  };
  EXPECT_EQ(find("riser.mass"), "2.3 kg");
  EXPECT_EQ(find("handedness"), "right");
  EXPECT_EQ(find("arrow.nodes"), "24");
  EXPECT_EQ(find("surroundings.paper_distance"), "12 ft");
  EXPECT_EQ(find("rest.arm.spring_rate"), "0.03 N·m/rad");
  EXPECT_EQ(find("arrow.bending_stiffness"), "given or unused");  // by its alias
  EXPECT_EQ(find("rest.height"), "given or unused");
  EXPECT_EQ(find("riser.end_inertia"), "given or unused");  // of ends that do not flex
  EXPECT_EQ(find("cams.upper.let_out_offset"), "given or unused");
  const SetupFile demo = read_setup_file(source_folder("examples/setups/larkspur.toml"));
  EXPECT_TRUE(demo.assumed.empty()) << demo.assumed.front().path;
}

TEST(SetupFile, WhatIsWrittenReadsBackEqual) {
  EXPECT_EQ(parse_setup(format_setup(nockwise::Setup{})), nockwise::Setup{});
  for (unsigned seed = 0; seed < 200; ++seed) {
    const nockwise::Setup setup = random_setup(seed);
    EXPECT_EQ(parse_setup(format_setup(setup)), setup) << "seed " << seed;
    EXPECT_EQ(parse_setup(format_setup(mirrored(swapped(setup)))), mirrored(swapped(setup))) << "seed " << seed;
  }
}

TEST(SetupFile, WritesWorkshopNumbersAsTheyWereGiven) {
  nockwise::Setup setup;
  setup.set("arrow.spine", "340 spine");
  setup.set("rest.center_shot", "13/16 in");
  setup.set("surroundings.paper_distance", "12 ft");
  setup.set("cables.upper.twists", "1/2 twist");
  const std::string text = format_setup(setup);
  EXPECT_NE(text.find("spine = \"340 spine\"\n"), std::string::npos);
  EXPECT_EQ(text.find("bending_stiffness"), std::string::npos);
  EXPECT_NE(text.find("center_shot = \"0.8125 in\"\n"), std::string::npos);
  EXPECT_NE(text.find("paper_distance = \"12 ft\"\n"), std::string::npos);
  EXPECT_NE(text.find("\ntwists = \"0.5 twist\"\n"), std::string::npos);
}

TEST(SetupFile, NeverWritesASetupThatCannotBeReadAgain) {
  nockwise::Setup setup;
  setup.riser.mass = -1.0;
  EXPECT_THROW((void)format_setup(setup), InputError);
  setup = nockwise::Setup{};
  setup.cams.upper.string_track = CircleTrack{-0.01, 0.0, 0.0};
  EXPECT_THROW((void)format_setup(setup), InputError);
}

TEST(SetupFile, WritesAndReadsFiles) {
  const std::filesystem::path file = std::filesystem::path(testing::TempDir()) / "nockwise_setup_file_test.toml";
  const nockwise::Setup setup = random_setup(7);
  write_setup(setup, file);
  EXPECT_EQ(read_setup(file), setup);
  std::ofstream(file) << "format = 1\nrisr = 3\n";
  try {
    (void)read_setup(file);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.file(), file.string());
    EXPECT_EQ(error.line(), 2);
  }
  std::filesystem::remove(file);
  EXPECT_THROW((void)read_setup(file), InputError);
  EXPECT_THROW((void)read_setup(file.parent_path()), InputError);
  EXPECT_THROW(write_setup(setup, file.parent_path()), Error);
}

TEST(SetupFileErrors, Format) {
  const auto message = [](const char* text) {
    try {
      (void)parse_setup(text, "a.toml");
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_EQ(message("name = \"a\""), "a.toml:1:1: format: must be given: begin the file with format = 1");
  EXPECT_EQ(message("\n format = 2"), "a.toml:2:2: format = \"2\": must be 1, the version that is read here");
  EXPECT_EQ(message("format = \"1\""), "a.toml:1:1: format = \"1\": must be 1, the version that is read here");
}

TEST(SetupFileErrors, NotToml) {
  expect_error("name = ", "", "", "this is not TOML", 2, 8);
  // Found by fuzzing: the parser of toml++ 3.3 runs into its assertions, and does not know the place.
  expect_error("riser.mass = 2 N·m", "", "", "this is not TOML", 2, 16);
  expect_error("[&", "", "", "this is not TOML", 2, 1);
  expect_error("name = \"a\"\nriser = [}\n", "", "", "this is not TOML", 3, 1);
  const InputError duplicate = error_of("[riser]\nmass = \"2 kg\"\nmass = \"3 kg\"");
  EXPECT_NE(duplicate.allowed().find("mass"), std::string::npos);
  EXPECT_EQ(duplicate.line(), 4);
  EXPECT_TRUE(duplicate.column());  // which one is toml++'s choice
  expect_error("[riser]\n[riser]", "", "", "riser", 3, 1);
}

// Found by hand: 62 kB of "a.a.a…" overflowed the stack, because only brackets were counted.
TEST(SetupFileErrors, TooDeep) {
  const auto repeated = [](const std::string& text, int count) {
    std::string all;
    for (int i = 0; i < count; ++i) {
      all += text;
    }
    return all;
  };
  for (const int levels : {20, 30000}) {
    for (const std::string& lines :
         {'[' + repeated("a.", levels) + "a]", repeated("a.", levels) + "a = 1",
          "x = { " + repeated("a . ", levels) + "a = 1 }", repeated("\"a\".", levels) + "a = 1",
          "x = " + repeated("[", levels), "x = " + repeated("{ a = ", levels)}) {
      const InputError error = error_of(lines);
      EXPECT_EQ(error.allowed(), "must not nest names, tables and lists deeper than 16 levels") << lines.substr(0, 40);
      EXPECT_EQ(error.line(), 2);
    }
  }
  // What only looks deep.
  const std::string dots = repeated("a.", 40);
  expect_error("zzz = \"" + dots + "\"", "zzz", "", "no such name", 2, 1);
  expect_error("# " + dots + "\nzzz = '''" + dots + "\n" + dots + "'''", "zzz", "", "no such name", 3, 1);
  expect_error("zzz = \"\"\"\n\\\"" + dots + "\"\"\"\"\"", "zzz", "", "no such name", 2, 1);
  // And what hides behind a string that is closed.
  expect_error("x = \"\"\"a\"\"\"\"\"\n" + dots + "a = 1", "", "", "deeper than 16 levels", 3, 32);
}

TEST(SetupFileErrors, TooLarge) {
  const InputError error = error_of("# " + std::string(largest_file, 'x'));
  EXPECT_EQ(error.allowed(), "must not be larger than 16 MB");
}

TEST(SetupFileErrors, OtherKindsOfFile) {
  const auto said = [](const std::string& text) {
    try {
      (void)parse_setup(text, "a.toml");
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_EQ(said("format = 1\n[measurements]\n"),
            "a.toml:1:1: must be a setup file, but this is a file of measurements of a bow; read_measurements() and "
            "`nockwise build` read it");
  EXPECT_NE(said("format = 1\nsetup = \"a\"\n[[tears]]\n").find("this is a case file; read_case()"), std::string::npos);
  EXPECT_NE(said("format = 1\nsetup = \"a\"\n[draw_board]\n").find("for a calibration"), std::string::npos);
  EXPECT_NE(said("setup = \"a\"\noutputs = []\n[grid]\n").find("this is a sweep file"), std::string::npos);
}

TEST(SetupFileErrors, AreFitForATerminal) {
  const InputError error = error_of("handedness = \"\\u001b[31m\\u0007\"");
  EXPECT_EQ(error.value(), "\x1b[31m\a");
  const std::string said = error.what();
  EXPECT_NE(said.find("\"\\x1b[31m\\x07\""), std::string::npos) << said;
  const InputError key = error_of("\"\\u009b2J\\nx\" = 1");
  EXPECT_EQ(std::string(key.what()).find('\n'), std::string::npos) << key.what();
  EXPECT_LT(std::string(error_of("handedness = \"" + std::string(100000, 'x') + "\"").what()).size(), 1000U);
}

TEST(SetupFileErrors, UnknownNames) {
  expect_error("[risre]", "risre", "", "the nearest is riser", 2, 2);
  expect_error("[limbs.uper]", "limbs.uper", "", "the nearest is upper", 2, 8);
  expect_error("[limbs.both]\n  pivot_z = \"1 mm\"", "limbs.both.pivot_z", "", "the nearest is pivot_", 3, 3);
  expect_error("[riser.both]", "riser.both", "", "there is no such name", 2, 8);
  expect_error("name = \"a\"\nweight = 3", "weight", "", "there is no such name", 3, 1);
}

TEST(SetupFileErrors, WrongTypes) {
  expect_error("riser = 3", "riser", "3", "must be a table", 2, 1);
  expect_error("[riser]\nmass = true", "riser.mass", "true", "must be text with a unit: kg,", 3, 1);
  expect_error("[riser]\nmass = [1]", "riser.mass", "an array", "must be text with a unit: kg,", 3, 1);
  expect_error("riser.mass.x = 1", "riser.mass", "a table", "must be text with a unit", 2, 7);
  expect_error("arrow.nodes = \"24\"", "arrow.nodes", "24", "must be a plain number", 2, 7);
  expect_error("handedness = 1", "handedness", "1", "must be text, in quotes", 2, 1);
  expect_error("name = 1979-05-27", "name", "1979-05-27", "must be text, in quotes", 2, 1);
  expect_error("cams.upper.string_track = 3", "cams.upper.string_track", "3", "must be a table", 2, 12);
}

TEST(SetupFileErrors, Units) {
  expect_error("[riser]\nmass = 2.5", "riser.mass", "2.5", "write \"2.5 kg\"", 3, 1);
  expect_error("[riser]\nmass = \"2.5\"", "riser.mass", "2.5", "kg", 3, 1);
  expect_error("[riser]\nmass = \"2.5 lbf\"", "riser.mass", "2.5 lbf", "kg", 3, 1);
  expect_error("[limbs.both]\nbolt_turns = 2", "limbs.both.bolt_turns", "2", "write \"2 turn\"", 3, 1);
}

TEST(SetupFileErrors, Ranges) {
  expect_error("[limbs.both]\neffective_length = \"3 m\"", "limbs.both.effective_length", "3 m",
               "must be from 50 mm to 1000 mm", 3, 1);
  expect_error("arrow.nodes = 24.5", "arrow.nodes", "24.5", "must be a whole number from 6 to 64", 2, 7);
  expect_error("arrow.drag_coefficient = nan", "arrow.drag_coefficient", "nan", "must be from 0 to 10", 2, 7);
  expect_error("rest.kind = \"magnet\"", "rest.kind", "magnet", "must be none, blade, capture,", 2, 6);
}

TEST(SetupFileErrors, Tracks) {
  const std::string path = "cams.upper.string_track";
  const auto track = [&](const std::string& inside) { return path + " = { " + inside + " }"; };
  expect_error(track("radius = \"3 cm\""), path + ".kind", "", "must be given", 2, 12);
  expect_error(track("kind = \"oval\""), path + ".kind", "oval", "must be circle, spline or groove", 2, 29);
  expect_error(track("kind = \"circle\", radios = 3"), path + ".radios", "", "the nearest is radius", 2, 46);
  expect_error(track("kind = \"circle\", radius = 3"), path + ".radius", "3", "write \"3 mm\"", 2, 46);
  const std::string head = '[' + path + "]\nkind = \"spline\"\nfirst_angle = \"0 deg\"\n";
  const std::string step = "angle_step = \"5 deg\"\n";
  expect_error(head, path + ".angle_step", "", "must be given", 2, 13);
  expect_error(head + step + "distance = 3", path + ".distance", "3", "must be a list", 6, 1);
  expect_error(head + step + "distance = [1,\n 2]", path + ".distance[0]", "1", "unit = \"mm\"", 6, 13);
  expect_error(head + step + "unit = \"lb\"\ndistance = [1]", path + ".unit", "lb", "mm", 6, 1);
  const std::string groove = '[' + path + "]\nkind = \"groove\"\nunit = \"mm\"\n";
  expect_error(groove + "points = [[1, 2], [3]]", path + ".points[1]", "an array", "must be a point [x, y]", 5, 19);
  expect_error(groove + "points = [[1, 2],\n  [3, true]]", path + ".points[1][1]", "true", "mm", 6, 7);
}

TEST(SetupFileErrors, TracksThatDoNotCompile) {
  const InputError error = error_of("[cams.both]\nstring_track = { kind = \"circle\", radius = \"-3 mm\" }");
  EXPECT_EQ(error.path().rfind("cams.both.string_track", 0), 0U) << error.path();
  EXPECT_EQ(error.line(), 3);
  EXPECT_EQ(error.column(), 1);
}

TEST(SetupFileErrors, WhatMustHoldBetweenParameters) {
  expect_error("[arrow]\nbending_stiffness = \"7 N*m^2\"\nspine = \"340 spine\"", "arrow.spine", "",
               "must not be given along with arrow.bending_stiffness", 4, 1);
  expect_error("[rest.arm]\nup_angle = \"-30 deg\"", "rest.arm.up_angle", "-30 deg", "rest.arm.down_angle", 3, 1);
  expect_error("[arrow.fletching]\ndistance = \"10 mm\"", "arrow.fletching.distance", "10 mm", "on the arrow", 3, 1);
  expect_error("[string]\ntwists = \"-20 twist\"\nlay_twists = \"10 twist\"", "string.twists", "-20 twist",
               "must not take out more than", 3, 1);
  expect_error("cables.lower.end = \"let_out\"", "cams.upper.let_out_track", "", "cables.lower.end is let_out", 1, 1);
  expect_error("[cables]\nlower.end = \"let_out\"\n[cams.upper]\nmass = \"90 g\"", "cams.upper.let_out_track", "",
               "cables.lower.end is let_out", 4, 7);
  expect_error("[cables.both.yoke]\nhalf_width = \"90 mm\"\nleg_length = \"80 mm\"", "cables.upper.yoke.half_width",
               "90 mm", "must be less than cables.upper.yoke.leg_length", 3, 1);
  expect_error("limbs.upper.segments = 3", "limbs.lower.segments", "1", "must equal limbs.upper.segments", 2, 1);
  expect_error("[riser]\nlower_end_compliance = \"1e-5 rad/(N*m)\"\nend_inertia = \"0.1 kg·m²\"", "riser.end_inertia",
               "0.1 kg·m²", "must be less than half of riser.pitch_inertia", 4, 1);
  expect_error("[rest]\nkind = \"limb_driven\"\narm.cord_attachment = \"300 mm\"", "rest.arm.cord_attachment", "300 mm",
               "effective_length", 4, 5);
}

TEST(SetupFileErrors, TheFirstMistakeInTheFileIsTheOneReported) {
  expect_error("zzz = 1\naaa = 1", "zzz", "", "there is no such name", 2, 1);
}

TEST(Validate, AcceptsDefaultAndBareShaft) {
  nockwise::Setup setup;
  EXPECT_NO_THROW(validate(setup));
  setup.arrow.fletching.count = 0;
  setup.arrow.fletching.distance = 0.0;
  EXPECT_NO_THROW(validate(setup));
}

TEST(Validate, NamesThePathWithoutAPlace) {
  nockwise::Setup setup;
  setup.limbs.lower.pivot_y = 5.0;
  try {
    validate(setup);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "limbs.lower.pivot_y = \"5000 mm\": must be from 50 mm to 1000 mm");
  }
}

}  // namespace
}  // namespace nockwise
