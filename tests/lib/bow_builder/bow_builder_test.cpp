#include "nockwise/bow_builder.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>
#include <variant>

namespace nockwise {
namespace {

const std::string setups = nockwise::source_folder("examples/setups/");

double si(double number, Quantity quantity, const char* unit) { return to_si(number, quantity, unit); }

/// A 33 in bow of 62 lbf and 78 % at 29 in.
BowMeasurements ordinary() {
  BowMeasurements m;
  m.axle_to_axle = si(33.0, Quantity::length, "in");
  m.brace_height = si(6.75, Quantity::length, "in");
  m.draw_length = si(29.0, Quantity::length, "in");
  m.peak_force = si(62.0, Quantity::force, "lbf");
  m.let_off = 0.78;
  return m;
}

/// A setup whose arrow reaches the rest at full draw.
Setup with_long_arrow() {
  nockwise::Setup setup;
  setup.arrow.length = si(30.0, Quantity::length, "in");
  setup.rest.position_x = 0.0;
  setup.rest.height = 0.02;
  return setup;
}

const MeasurementCheck& check_of(const BuildReport& report, const std::string& path) {
  for (const MeasurementCheck& check : report.checks) {
    if (check.path == path) {
      return check;
    }
  }
  throw std::logic_error("no check of " + path);
}

/// Builds, and checks with a draw of its own that the bow is what was asked for.
BuiltBow expect_built(const BowMeasurements& m) {
  BuiltBow bow = build_bow(m, with_long_arrow());
  const DrawCycle cycle = draw_cycle(Model(bow.setup), {200, DrawHold::draw_board});
  EXPECT_NEAR(cycle.brace_height, m.brace_height, 1e-4);
  EXPECT_NEAR(cycle.brace_axle_to_axle, m.axle_to_axle, 1e-4);
  EXPECT_NEAR(cycle.draw_length, m.draw_length, 1e-4);
  EXPECT_NEAR(cycle.peak_force, *m.peak_force, 1e-3 * *m.peak_force);
  EXPECT_NEAR(cycle.let_off, *m.let_off, 2e-3);
  EXPECT_LT(cycle.late_stop_gap.value(), 2e-5);
  for (const double angle : {cycle.points.front().cam_angle.upper, cycle.points.front().cam_angle.lower}) {
    EXPECT_NEAR(angle, 0.0, 1e-5);
  }
  EXPECT_LT(bow.report.curve_largest, 1e-2 * *m.peak_force);
  EXPECT_LE(bow.report.curve_rms, bow.report.curve_largest);
  EXPECT_TRUE(bow.report.cautions.empty()) << bow.report.cautions.front().words;
  EXPECT_FALSE(bow.report.assumptions.empty());
  EXPECT_GE(bow.report.corrections, 1);
  for (const MeasurementCheck& check : bow.report.checks) {
    EXPECT_TRUE(check.met()) << check.path << ": " << check.achieved << " for " << check.wanted;
  }
  return bow;
}

TEST(BowBuilder, MeetsPeakAndLetOff) {
  const BuiltBow bow = expect_built(ordinary());
  EXPECT_EQ(bow.setup.cams.upper.take_up_track, bow.setup.cams.lower.take_up_track);
  // A compound stores more of peak force times power stroke than any spring that begins at zero.
  const DrawCycle cycle = draw_cycle(Model(bow.setup));
  EXPECT_GT(cycle.stored_energy / (cycle.peak_force * cycle.power_stroke), 0.65);
}

TEST(BowBuilder, MeetsCrossSlavedCams) {
  BowMeasurements m = ordinary();
  m.cabling = CableEnd::let_out;
  m.axle_to_axle = si(37.0, Quantity::length, "in");
  m.let_off = 0.72;
  const BuiltBow crossed = expect_built(m);
  ASSERT_TRUE(crossed.setup.cams.upper.let_out_track.has_value());
  EXPECT_EQ(crossed.setup.cables.lower.end, CableEnd::let_out);
  m.cabling = CableEnd::yoke;
  const BuiltBow yoked = expect_built(m);
  // What crossed cables are for: a wrong length opens far less of a stop gap.
  const auto gap = [](nockwise::Setup setup) {
    setup.cables.upper.length -= 2e-4;
    return draw_cycle(Model(setup)).late_stop_gap.value();
  };
  EXPECT_LT(gap(crossed.setup), 0.3 * gap(yoked.setup));
}

TEST(BowBuilder, MeetsOtherBows) {
  const std::function<void(BowMeasurements&)> changes[] = {
      [](BowMeasurements& m) { m.stop = StopKind::cable; },
      [](BowMeasurements& m) { m.peak_force = 130.0; },
      [](BowMeasurements& m) { m.peak_force = 350.0; },
      [](BowMeasurements& m) { m.let_off = 0.6; },
      [](BowMeasurements& m) { m.let_off = 0.85; },
      [](BowMeasurements& m) { m.draw_length = si(25.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.axle_to_axle = si(40.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.brace_height = si(8.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.center_above_grip = 0.0; },
      [](BowMeasurements& m) { m.limb.torsion_stiffness = 300.0; },
  };
  int index = 0;
  for (const auto& change : changes) {
    SCOPED_TRACE(index++);
    BowMeasurements m = ordinary();
    change(m);
    (void)expect_built(m);
  }
}

TEST(BowBuilder, KeepsWhatItDoesNotMeasure) {
  nockwise::Setup base = with_long_arrow();
  base.riser.mass = 2.9;
  base.limbs.upper.bolt_turns = 2.0;
  base.limbs.lower.bolt_turns = 2.0;
  base.string.axial_rigidity = 1.2e5;
  BowMeasurements m = ordinary();
  m.name = "Larkspur";
  m.provenance = "invented";
  const BuiltBow bow = build_bow(m, base);
  EXPECT_EQ(bow.setup.riser, base.riser);
  EXPECT_EQ(bow.setup.arrow, base.arrow);
  EXPECT_EQ(bow.setup.rest, base.rest);
  EXPECT_EQ(bow.setup.string.axial_rigidity, 1.2e5);
  EXPECT_EQ(bow.setup.limbs.upper.bolt_turns, 2.0);
  EXPECT_EQ(bow.setup.name, "Larkspur");
  EXPECT_EQ(bow.setup.provenance, "invented");
  EXPECT_EQ(parse_setup(format_setup(bow.setup)), bow.setup);
}

TEST(BowBuilder, MirrorsNothingIntoASymmetricBow) {
  BowMeasurements m = ordinary();
  m.center_above_grip = 0.0;
  nockwise::Setup base = with_long_arrow();
  base.surroundings.gravity = 0.0;
  const nockwise::Setup setup = build_bow(m, base).setup;
  EXPECT_NEAR(setup.cables.upper.length, setup.cables.lower.length, 1e-9);
  EXPECT_NEAR(setup.limbs.upper.free_angle, setup.limbs.lower.free_angle, 1e-9);
  EXPECT_LT(draw_cycle(Model(setup)).static_nock_travel, 1e-6);
}

TEST(BowBuilder, RebuildsTheLarkspurFromItsMeasurements) {
  const nockwise::Setup original = read_setup(setups + "larkspur.toml");
  const BowMeasurements m = read_measurements(setups + "larkspur-measured.toml");
  nockwise::Setup base = original;
  base.cams.upper.inertia = base.cams.lower.inertia = 1.5e-4;  // the chronograph has to find it
  const BuiltBow rebuilt = build_bow(m, base);
  // Readings are rounded to half a pound: the curve cannot be nearer than a quarter, smoothing averages that.
  EXPECT_LT(rebuilt.report.curve_rms, si(0.3, Quantity::force, "lbf"));
  EXPECT_LT(rebuilt.report.curve_largest, 1e-2 * check_of(rebuilt.report, "measurements.peak_force").wanted);
  const DrawCycle a = draw_cycle(Model(original));
  const DrawCycle b = draw_cycle(Model(rebuilt.setup));
  EXPECT_NEAR(b.peak_force, a.peak_force, 5e-3 * a.peak_force);
  EXPECT_NEAR(b.let_off, a.let_off, 1e-2);
  EXPECT_NEAR(b.stored_energy, a.stored_energy, 5e-3 * a.stored_energy);
  EXPECT_NEAR(b.draw_length, a.draw_length, 1e-4);
  const MeasurementCheck& speed = check_of(rebuilt.report, "measurements.chronograph.speed");
  EXPECT_TRUE(speed.met()) << speed.achieved << " for " << speed.wanted;
  EXPECT_NEAR(rebuilt.setup.cams.upper.inertia, original.cams.upper.inertia, 4e-5);
}

TEST(BowBuilder, ChronographTurnsToDampingForASlowBow) {
  BowMeasurements m = ordinary();
  const nockwise::Setup base = with_long_arrow();
  const nockwise::Setup plain = build_bow(m, base).setup;
  const Model model(plain);
  const double speed = chronograph_speed(model, launch(model));
  m.chronograph = ChronographReading{0.80 * speed, model.arrow().mass};
  const BuiltBow slow = build_bow(m, base);
  EXPECT_TRUE(check_of(slow.report, "measurements.chronograph.speed").met());
  EXPECT_GT(slow.setup.cams.upper.bearing_damping, 0.0);
  m.chronograph->speed = 1.3 * speed;
  const BuiltBow fast = build_bow(m, base);
  EXPECT_FALSE(check_of(fast.report, "measurements.chronograph.speed").met());
  EXPECT_FALSE(fast.report.cautions.empty());
}

/// Path of the InputError with which measurements are refused.
std::string refused(const BowMeasurements& m) {
  try {
    (void)build_bow(m, with_long_arrow());
  } catch (const InputError& error) {
    return error.path();
  }
  return "accepted";
}

TEST(BowBuilder, RefusesWhatNoBowCanDo) {
  const std::pair<const char*, std::function<void(BowMeasurements&)>> demands[] = {
      {"measurements.let_off", [](BowMeasurements& m) { m.let_off = 1.02; }},
      {"measurements.let_off", [](BowMeasurements& m) { m.let_off = std::nan(""); }},
      {"measurements.let_off", [](BowMeasurements& m) { m.let_off.reset(); }},
      {"measurements.peak_force", [](BowMeasurements& m) { m.peak_force.reset(); }},
      {"measurements.brace_height", [](BowMeasurements& m) { m.brace_height = 0.5; }},
      {"measurements.brace_height",
       [](BowMeasurements& m) {
         m.brace_height = 0.34;
         m.draw_length = 0.5;
       }},
      {"measurements.stop", [](BowMeasurements& m) { m.stop = StopKind::none; }},
      {"measurements.limb.travel",
       [](BowMeasurements& m) {
         m.limb.travel = 0.06;
         m.peak_force = 700.0;
       }},
      {"measurements.limb.torsion_stiffness", [](BowMeasurements& m) { m.limb.torsion_stiffness = 5000.0; }},
      {"measurements.limb.effective_length", [](BowMeasurements& m) { m.limb.effective_length = 0.5; }},
      {"measurements.cam.string_eccentricity", [](BowMeasurements& m) { m.cam.string_eccentricity = 0.05; }},
      {"measurements.chronograph.speed",
       [](BowMeasurements& m) {
         m.chronograph = ChronographReading{5.0, 0.025};
       }},
      {"measurements.draw_curve", [](BowMeasurements& m) {
         m.peak_force.reset();
         m.let_off.reset();
         m.draw_curve = {{0.3, 50.0}, {0.5, 200.0}, {0.7366, 60.0}};
       }}};
  for (const auto& [path, change] : demands) {
    BowMeasurements m = ordinary();
    change(m);
    EXPECT_EQ(refused(m), path);
  }
}

TEST(BowBuilder, RefusesACurveThatNoCamDraws) {
  BowMeasurements m = ordinary();
  m.peak_force.reset();
  m.let_off.reset();
  for (int inch = 9; inch <= 29; ++inch) {
    m.draw_curve.push_back({si(inch, Quantity::length, "in"), inch < 20 ? 60.0 : 280.0});
  }
  EXPECT_EQ(refused(m), "measurements.draw_curve");
}

TEST(BowBuilder, SaysThatYokedCamsTurnApartInADeepValley) {
  BowMeasurements m = ordinary();
  m.let_off = 0.93;
  try {
    (void)build_bow(m, with_long_arrow());
    ADD_FAILURE() << "built";
  } catch (const SolverError& error) {
    EXPECT_NE(error.why().find("measurements.cabling"), std::string::npos) << error.what();
  }
  m.cabling = CableEnd::let_out;
  (void)expect_built(m);
}

TEST(Measurements, RoundTrip) {
  BowMeasurements m = ordinary();
  m.name = "a \"bow\"";
  m.provenance = "measured\nby a test";
  m.axle_to_axle = 0.1 + 0.7381234567890123;
  m.limb.torsion_stiffness = 251.3;
  m.cabling = CableEnd::let_out;
  m.stop = StopKind::cable;
  m.chronograph = ChronographReading{80.1, 0.0247};
  EXPECT_EQ(parse_measurements(format_measurements(m)), m);
  BowMeasurements curve = read_measurements(setups + "larkspur-measured.toml");
  EXPECT_EQ(parse_measurements(format_measurements(curve)), curve);
}

/// The error that a file, given without its first two lines and the measurements of every bow, is refused with.
InputError error_of(const std::string& lines) {
  std::string text = "format = 1\n[measurements]\n" + lines;
  for (const auto& [name, value] :
       {std::pair{"axle_to_axle", "33 in"}, std::pair{"brace_height", "6.75 in"}, std::pair{"draw_length", "29 in"},
        std::pair{"stop", "limb"}, std::pair{"cabling", "yoke"}}) {
    text += lines.find(name) == std::string::npos ? std::string(name) + " = \"" + value + "\"\n" : "";
  }
  try {
    (void)parse_measurements(text, "bow.toml");
  } catch (const InputError& error) {
    EXPECT_EQ(error.file(), "bow.toml");
    return error;
  }
  ADD_FAILURE() << "accepted: " << lines;
  return {"", "", ""};
}

void expect_error(const std::string& lines, const std::string& path, const std::string& allowed, int line, int column) {
  const InputError error = error_of(lines);
  EXPECT_EQ(error.path(), path) << lines;
  EXPECT_NE(error.allowed().find(allowed), std::string::npos) << lines << "\nsays: " << error.what();
  EXPECT_EQ(error.line(), line) << lines;
  EXPECT_EQ(error.column(), column) << lines;
}

TEST(Measurements, WhatIsMeasuredAtEveryBowHasNoDefault) {
  const std::string file = format_measurements(ordinary());
  for (const char* name : {"axle_to_axle", "brace_height", "draw_length", "stop", "cabling"}) {
    std::string text = file;
    const std::size_t at = text.find('\n' + std::string(name) + " = ");
    ASSERT_NE(at, std::string::npos) << name;
    text.erase(at, text.find('\n', at + 1) - at);
    try {
      (void)parse_measurements(text, "bow.toml");
      ADD_FAILURE() << "accepted without " << name;
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), std::string("measurements.") + name);
      EXPECT_EQ(error.allowed(), "must be given");
    }
  }
  BowMeasurements m = ordinary();
  m.draw_length = BowMeasurements{}.draw_length;
  EXPECT_THROW(validate(m), InputError);
}

TEST(Measurements, ErrorsSayWhereAndWhat) {
  const std::string both = "peak_force = \"62 lbf\"\nlet_off = \"78 %\"\n";
  expect_error("brace_hight = \"7 in\"\n", "measurements.brace_hight", "the nearest is brace_height", 3, 1);
  expect_error("limb.brace_angel = \"7 deg\"\n", "measurements.limb.brace_angel", "the nearest is brace_angle", 3, 6);
  expect_error("brace_height = 7\n", "measurements.brace_height", "must have a unit", 3, 1);
  expect_error("brace_height = \"7 lbf\"\n", "measurements.brace_height", "in", 3, 1);
  expect_error(both + "let_of = 1\n", "measurements.let_of", "nearest is let_off", 5, 1);
  expect_error("peak_force = \"62 lbf\"\nlet_off = \"108 %\"\n", "measurements.let_off", "must be from 30 % to 95 %", 4,
               1);
  expect_error("peak_force = \"62 lbf\"\n", "measurements.let_off", "must be given", 2, 2);
  expect_error(both + "stop = \"none\"\n", "measurements.stop", "must be limb or cable", 5, 1);
  expect_error(both + "chronograph.speed = \"280 ft/s\"\n", "measurements.chronograph.arrow_mass", "must be given", 5,
               1);
  expect_error("draw_curve = [[\"9 in\", \"6 lbf\"], [\"10 in\"]]\n", "measurements.draw_curve[1]", "list of readings",
               3, 34);
  expect_error("draw_curve = [[\"9 in\", \"6 in\"]]\n", "measurements.draw_curve[0][1]", "lbf", 3, 24);
  expect_error("draw_curve = [[\"9 in\", \"6 lbf\"]]\n", "measurements.draw_curve", "at least 8 readings", 3, 1);
  // A share is answered in per cent, and a number as it was written.
  expect_error("let_off = 0.8\n", "measurements.let_off", "write \"80 %\"", 3, 1);
  EXPECT_EQ(error_of("let_off = 0.8\n").value(), "0.8");
  expect_error("let_off = 80\n", "measurements.let_off", "write \"80 %\"", 3, 1);
  expect_error("brace_height = 6.8\n", "measurements.brace_height", "write \"6.8 in\"", 3, 1);
  EXPECT_THROW((void)parse_measurements("[measurements]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 2\n[measurements]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 1\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = 1\n[measurement]\n"), InputError);
  EXPECT_THROW((void)parse_measurements("format = \n"), InputError);
  EXPECT_THROW((void)read_measurements("/no/such/file"), InputError);
}

class DemoSetup : public ::testing::TestWithParam<const char*> {};

TEST_P(DemoSetup, IsShootableAsFound) {
  const nockwise::Setup setup = read_setup(setups + GetParam());
  EXPECT_NE(setup.provenance.find("not a real bow"), std::string::npos);
  const Model model(setup);
  const DrawCycle cycle = draw_cycle(model);
  EXPECT_LT(cycle.late_stop_gap.value(), 2e-4);
  EXPECT_LT(cycle.static_nock_travel, 5e-3);
  const Launch shot = launch(model);
  EXPECT_EQ(shot.ended_by, LaunchEnd::arrow_clear);
  const double speed = from_si(shot.exit_speed, Quantity::speed, "ft/s");
  EXPECT_GT(speed, 230.0);
  EXPECT_LT(speed, 300.0);
  EXPECT_GT(shot.exit_time, 0.012);
  EXPECT_LT(shot.exit_time, 0.025);
  EXPECT_GT(shot.efficiency, 0.70);
  EXPECT_LT(shot.efficiency, 0.90);
  EXPECT_GT(shot.peak_acceleration, 500.0 * 9.80665);
  EXPECT_LT(shot.peak_acceleration, 1400.0 * 9.80665);
}

INSTANTIATE_TEST_SUITE_P(Alder, DemoSetup, testing::Values("larkspur.toml", "alder.toml", "wheelwright.toml"));

TEST(DemoSetup, LarkspursRestFallsInTime) {
  const Launch shot = launch(Model(read_setup(setups + "larkspur.toml")));
  EXPECT_GT(shot.rest.drop_start.value(), 0.3 * shot.exit_time);
  EXPECT_LT(shot.rest.drop_start.value(), 0.75 * shot.exit_time);
  EXPECT_LT(shot.rest.drop_end.value(), shot.exit_time);
  EXPECT_GT(shot.rest.fletching_clearance.value(), 0.01);
  EXPECT_FALSE(shot.rest.fletching_contact);
}

}  // namespace
}  // namespace nockwise
