#include "nockwise/bow_builder.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "ordinary_measurements.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>
#include <variant>

namespace nockwise {
namespace {

using testing::ordinary_measurements;

const std::string setups = nockwise::source_folder("examples/setups/");

/// A setup whose arrow reaches the rest at full draw.
Setup with_long_arrow() {
  nockwise::Setup setup;
  setup.arrow.length = to_si(30.0, Quantity::length, "in");
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
  const BuiltBow bow = expect_built(ordinary_measurements());
  EXPECT_EQ(bow.setup.cams.upper.take_up_track, bow.setup.cams.lower.take_up_track);
  // A compound stores more of peak force times power stroke than any spring that begins at zero.
  const DrawCycle cycle = draw_cycle(Model(bow.setup));
  EXPECT_GT(cycle.stored_energy / (cycle.peak_force * cycle.power_stroke), 0.65);
}

TEST(BowBuilder, MeetsCrossSlavedCams) {
  BowMeasurements m = ordinary_measurements();
  m.cabling = Cabling::crossed;
  m.axle_to_axle = to_si(37.0, Quantity::length, "in");
  m.let_off = 0.72;
  const BuiltBow crossed = expect_built(m);
  ASSERT_TRUE(crossed.setup.cams.upper.let_out_track.has_value());
  EXPECT_EQ(crossed.setup.cables.lower.end, CableEnd::let_out);
  m.cabling = Cabling::yoke;
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
      [](BowMeasurements& m) { m.stop = StopPegs::cable; },
      [](BowMeasurements& m) { m.peak_force = 130.0; },
      [](BowMeasurements& m) { m.peak_force = 350.0; },
      [](BowMeasurements& m) { m.let_off = 0.6; },
      // With yokes the guard's pull parts the cams in so deep a valley.
      [](BowMeasurements& m) {
        m.let_off = 0.85;
        m.cabling = Cabling::crossed;
      },
      [](BowMeasurements& m) { m.draw_length = to_si(25.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.axle_to_axle = to_si(40.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.brace_height = to_si(8.0, Quantity::length, "in"); },
      [](BowMeasurements& m) { m.center_above_grip = 0.0; },
      [](BowMeasurements& m) { m.limb.torsion_stiffness = 300.0; },
  };
  int index = 0;
  for (const auto& change : changes) {
    SCOPED_TRACE(index++);
    BowMeasurements m = ordinary_measurements();
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
  BowMeasurements m = ordinary_measurements();
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
  BowMeasurements m = ordinary_measurements();
  m.center_above_grip = 0.0;
  nockwise::Setup base = with_long_arrow();
  base.surroundings.gravity = 0.0;
  base.cable_guard.height = base.cable_guard.spacing = 0.0;
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
  EXPECT_LT(rebuilt.report.curve_rms, to_si(0.3, Quantity::force, "lbf"));
  EXPECT_LT(rebuilt.report.curve_largest, 1e-2 * check_of(rebuilt.report, "measurements.peak_force").wanted);
  const DrawCycle a = draw_cycle(Model(original));
  const DrawCycle b = draw_cycle(Model(rebuilt.setup));
  EXPECT_NEAR(b.peak_force, a.peak_force, 5e-3 * a.peak_force);
  EXPECT_NEAR(b.let_off, a.let_off, 1e-2);
  EXPECT_NEAR(b.stored_energy, a.stored_energy, 5e-3 * a.stored_energy);
  EXPECT_NEAR(b.draw_length, a.draw_length, 1e-4);
  const MeasurementCheck& speed = check_of(rebuilt.report, "measurements.chronograph.speed");
  EXPECT_TRUE(speed.met()) << speed.achieved << " for " << speed.wanted;
  // What the speed of one arrow says of the losses holds for another.
  nockwise::Setup heavy[] = {original, rebuilt.setup};
  for (nockwise::Setup& setup : heavy) {
    setup.arrow.point_mass += 0.005;
  }
  const double wanted = launch(Model(heavy[0])).exit_speed;
  EXPECT_NEAR(launch(Model(heavy[1])).exit_speed, wanted, 5e-3 * wanted);
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

TEST(BowBuilder, ChronographTurnsToDampingForASlowBow) {
  BowMeasurements m = ordinary_measurements();
  const nockwise::Setup base = with_long_arrow();
  const nockwise::Setup plain = build_bow(m, base).setup;
  const Model model(plain);
  const double speed = chronograph_speed(model, launch(model));
  m.chronograph = ChronographReading{0.85 * speed, model.arrow().mass};
  const BuiltBow slow = build_bow(m, base);
  EXPECT_TRUE(check_of(slow.report, "measurements.chronograph.speed").met());
  EXPECT_GT(slow.setup.cams.upper.bearing_damping, 0.0);
  EXPECT_FALSE(slow.report.cautions.empty());
  m.chronograph->speed = 0.6 * speed;
  EXPECT_EQ(refused(m), "measurements.chronograph.speed");
  m.chronograph->speed = 1.3 * speed;
  try {
    (void)build_bow(m, base);
    ADD_FAILURE() << "built";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "measurements.chronograph.speed");
    EXPECT_NE(error.allowed().find("must be at most about"), std::string::npos) << error.what();
  }
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
      {"measurements.limb.travel",
       [](BowMeasurements& m) {
         m.limb.travel = 0.06;
         m.peak_force = 700.0;
       }},
      {"measurements.limb.torsion_stiffness", [](BowMeasurements& m) { m.limb.torsion_stiffness = 5000.0; }},
      {"measurements.limb.effective_length", [](BowMeasurements& m) { m.limb.effective_length = 0.95; }},
      {"measurements.cam.string_eccentricity", [](BowMeasurements& m) { m.cam.string_eccentricity = 0.1; }},
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
    BowMeasurements m = ordinary_measurements();
    change(m);
    EXPECT_EQ(refused(m), path);
  }
}

TEST(BowBuilder, RefusesACurveThatNoCamDraws) {
  BowMeasurements m = ordinary_measurements();
  m.peak_force.reset();
  m.let_off.reset();
  for (int inch = 9; inch <= 29; ++inch) {
    m.draw_curve.push_back({to_si(inch, Quantity::length, "in"), inch < 20 ? 60.0 : 280.0});
  }
  EXPECT_EQ(refused(m), "measurements.draw_curve");
}

TEST(BowBuilder, BuildsEveryCablingAndStop) {
  for (const Cabling cabling : {Cabling::yoke, Cabling::hybrid, Cabling::crossed}) {
    for (const StopPegs stop : {StopPegs::limb, StopPegs::cable, StopPegs::both}) {
      SCOPED_TRACE(static_cast<int>(cabling) * 3 + static_cast<int>(stop));
      BowMeasurements m = ordinary_measurements();
      m.cabling = cabling;
      m.stop = stop;
      const BuiltBow bow = expect_built(m);
      EXPECT_EQ(bow.setup.cables.upper.end, cabling == Cabling::yoke ? CableEnd::yoke : CableEnd::let_out);
      EXPECT_EQ(bow.setup.cables.lower.end, cabling == Cabling::crossed ? CableEnd::let_out : CableEnd::yoke);
      EXPECT_EQ(bow.setup.cams.upper.stop.kind, stop == StopPegs::limb ? StopKind::limb : StopKind::cable);
      EXPECT_EQ(bow.setup.cams.lower.stop.kind, stop == StopPegs::cable ? StopKind::cable : StopKind::limb);
    }
  }
}

/// The work of the hold force along the draw is the energy that the built bow stores, whatever its cabling.
TEST(BowBuilder, DrawsWhatItsOwnEnergySays) {
  for (const Cabling cabling : {Cabling::yoke, Cabling::hybrid, Cabling::crossed}) {
    BowMeasurements m = ordinary_measurements();
    m.cabling = cabling;
    m.let_off = 0.85;
    const DrawCycle cycle = draw_cycle(Model(build_bow(m).setup), {600, DrawHold::draw_board});
    double work = 0.0;
    for (std::size_t i = 1; i <= cycle.touch_index; ++i) {
      const DrawPoint& a = cycle.points[i - 1];
      const DrawPoint& b = cycle.points[i];
      work +=
          0.5 * (a.force_x + b.force_x) * (b.nock_x - a.nock_x) + 0.5 * (a.force_y + b.force_y) * (b.nock_y - a.nock_y);
      EXPECT_NEAR(work, b.stored_energy, 2e-5 * cycle.stored_energy);
    }
  }
}

TEST(BowBuilder, MeetsRatedSpeeds) {
  struct Sheet {
    Cabling cabling;
    StopPegs stop;
    double axles, brace, draw, peak, let_off, rated;  // [in, in, in, lbf, fraction, ft/s]
  };
  constexpr Sheet sheets[] = {
      {Cabling::crossed, StopPegs::cable, 33.0, 6.25, 29.0, 65.0, 0.85, 330.0},
      {Cabling::hybrid, StopPegs::cable, 33.0, 6.25, 29.0, 65.0, 0.85, 326.0},
      {Cabling::yoke, StopPegs::limb, 33.0, 6.75, 29.0, 62.0, 0.78, 310.0},
      {Cabling::crossed, StopPegs::limb, 30.0, 6.0, 30.0, 70.0, 0.80, 335.0},
      {Cabling::crossed, StopPegs::both, 38.0, 7.25, 28.0, 55.0, 0.72, 305.0},
      {Cabling::hybrid, StopPegs::limb, 35.0, 7.0, 27.5, 50.0, 0.75, 310.0},
      {Cabling::yoke, StopPegs::cable, 40.0, 8.0, 30.0, 60.0, 0.65, 290.0},
      {Cabling::hybrid, StopPegs::both, 28.0, 6.0, 26.0, 45.0, 0.80, 310.0},
      {Cabling::crossed, StopPegs::cable, 31.0, 6.5, 24.5, 30.0, 0.70, 300.0},
      {Cabling::crossed, StopPegs::limb, 44.0, 8.5, 32.0, 60.0, 0.65, 295.0},
  };
  constexpr double rating_draw = 0.762;
  for (const Sheet& sheet : sheets) {
    SCOPED_TRACE(&sheet - sheets);
    BowMeasurements m;
    m.cabling = sheet.cabling;
    m.stop = sheet.stop;
    m.axle_to_axle = to_si(sheet.axles, Quantity::length, "in");
    m.brace_height = to_si(sheet.brace, Quantity::length, "in");
    m.draw_length = to_si(sheet.draw, Quantity::length, "in");
    m.peak_force = to_si(sheet.peak, Quantity::force, "lbf");
    m.let_off = sheet.let_off;
    m.rated_speed = to_si(sheet.rated, Quantity::speed, "ft/s");
    const BuiltBow bow = build_bow(m);
    EXPECT_TRUE(bow.report.cautions.empty());
    // By a launch of its own: the bow, with an arrow of 5 gr per lbf, has the virtual mass with which a bow of 70 lbf
    // and 30 in that stores the same share of peak times stroke shoots 350 gr at the rated speed.
    const double arrow = to_si(5.0 * sheet.peak, Quantity::mass, "gr");
    nockwise::Setup shot = bow.setup;
    const double own = Model(shot).arrow().mass;
    shot.arrow.linear_density *= arrow / own;
    shot.arrow.point_mass *= arrow / own;
    shot.arrow.insert_mass *= arrow / own;
    shot.arrow.nock_mass *= arrow / own;
    shot.arrow.fletching.mass_each *= arrow / own;
    const Model model(shot);
    const DrawCycle cycle = draw_cycle(model, {160, DrawHold::draw_board});
    const double speed = chronograph_speed(model, launch(model));
    const double virtual_mass = 2.0 * cycle.stored_energy / (speed * speed) - arrow;
    const double share = cycle.stored_energy / (cycle.peak_force * cycle.power_stroke);
    const double energy =
        share * to_si(70.0, Quantity::force, "lbf") * (rating_draw - draw_length_allowance - m.brace_height);
    const double rated = std::sqrt(2.0 * energy / (to_si(350.0, Quantity::mass, "gr") + virtual_mass));
    EXPECT_NEAR(rated, *m.rated_speed, 0.01 * *m.rated_speed);
    EXPECT_GT(virtual_mass, 0.0035);
    EXPECT_LT(virtual_mass, 0.0085);
  }
}

TEST(BowBuilder, RefusesWhatIsTooFastWithTheNearest) {
  BowMeasurements m = ordinary_measurements();
  m.rated_speed = to_si(390.0, Quantity::speed, "ft/s");
  try {
    (void)build_bow(m);
    ADD_FAILURE() << "built";
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "measurements.rated_speed");
    const std::string words = "must be at most about ";
    const std::size_t at = error.allowed().find(words);
    ASSERT_NE(at, std::string::npos) << error.what();
    m.rated_speed = to_si(std::stod(error.allowed().substr(at + words.size())) - 2.0, Quantity::speed, "ft/s");
  }
  EXPECT_TRUE(build_bow(m).report.cautions.empty());
}

TEST(BowBuilder, RefusesWhatContradictsItself) {
  BowMeasurements m = ordinary_measurements();
  m.brace_height = 0.34;
  m.draw_length = 0.45;
  EXPECT_THROW((void)build_bow(m), InputError);
  m = ordinary_measurements();
  m.rated_speed = 95.0;
  m.chronograph = ChronographReading{85.0, 0.025};
  EXPECT_EQ(refused(m), "measurements.rated_speed");
}

TEST(BowBuilder, AnArrowGoesWithTheBow) {
  for (const double inches : {24.0, 27.0, 29.0, 32.0}) {
    BowMeasurements m = ordinary_measurements();
    m.draw_length = to_si(inches, Quantity::length, "in");
    const nockwise::Setup setup = build_bow(m).setup;
    EXPECT_EQ(launch(Model(setup)).ended_by, LaunchEnd::arrow_clear);
    EXPECT_NEAR(setup.arrow.length, m.draw_length - 0.0127, 1e-9);
  }
}

}  // namespace
}  // namespace nockwise
