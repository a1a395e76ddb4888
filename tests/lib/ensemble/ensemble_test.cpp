#include "nockwise/ensemble.hpp"

#include "nockwise/calibration.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "sheet_of_setup.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace nockwise {
namespace {

const std::string setups = nockwise::source_folder("examples/setups/");

BowMeasurements ordinary() {
  BowMeasurements m;
  m.axle_to_axle = 0.84;
  m.brace_height = 0.17;
  m.draw_length = 0.73;
  m.peak_force = 265.0;
  m.let_off = 0.78;
  m.cabling = Cabling::crossed;
  m.stop = StopPegs::cable;
  return m;
}

TEST(Ensemble, EveryMemberMeetsTheSheet) {
  const BowMeasurements m = ordinary();
  const BowEnsemble ensemble = build_ensemble(m, {.members = 8});
  ASSERT_EQ(ensemble.members.size(), 8U);
  double weight = 0.0;
  for (const EnsembleMember& member : ensemble.members) {
    weight += member.weight;
    const DrawCycle cycle = draw_cycle(Model(member.setup), {160, DrawHold::draw_board});
    EXPECT_NEAR(cycle.brace_height, m.brace_height, 1e-4);
    EXPECT_NEAR(cycle.brace_axle_to_axle, m.axle_to_axle, 1e-4);
    EXPECT_NEAR(cycle.draw_length, m.draw_length, 1e-4);
    EXPECT_NEAR(cycle.peak_force, *m.peak_force, 1e-2 * *m.peak_force);
    EXPECT_NEAR(cycle.let_off, *m.let_off, 1e-2);
    EXPECT_EQ(launch(Model(member.setup)).ended_by, LaunchEnd::arrow_clear);
  }
  EXPECT_NEAR(weight, 1.0, 1e-12);
  // They differ in what the sheet leaves open.
  EXPECT_NE(ensemble.members[0].setup.limbs.upper.effective_length,
            ensemble.members[1].setup.limbs.upper.effective_length);
}

TEST(Ensemble, DependsOnTheSeedAndNotOnTheThreads) {
  const BowEnsemble one = build_ensemble(ordinary(), {.members = 4, .seed = 7, .threads = 1});
  const BowEnsemble three = build_ensemble(ordinary(), {.members = 4, .seed = 7, .threads = 3});
  const BowEnsemble other = build_ensemble(ordinary(), {.members = 4, .seed = 8, .threads = 1});
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(one.members[i].setup, three.members[i].setup);
    EXPECT_NE(one.members[i].setup, other.members[i].setup);
  }
}

TEST(Ensemble, KnowsWhatTheNockingPointDoesAndNotWhatATwistDoes) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 12});
  const EnsembleTears tears = ensemble_tears(ensemble, {"nocking_point", "cable.upper"});
  ASSERT_EQ(tears.rows.size(), 2U);
  EXPECT_TRUE(tears.rows[0].up.same_sign);
  for (const EnsembleRow& row : tears.rows) {
    EXPECT_LE(row.up.low, row.up.median);
    EXPECT_LE(row.up.median, row.up.high);
    EXPECT_EQ(row.up_of.size(), ensemble.members.size());
  }
  const auto spread = [](const EnsembleRow& row) { return (row.up.high - row.up.low) / std::fabs(row.up.median); };
  EXPECT_LT(spread(tears.rows[0]), 1.0);
  EXPECT_GT(spread(tears.rows[1]), 2.0 * spread(tears.rows[0]));
}

TEST(Ensemble, AReadingMovesTheWeightToWhereItBelongs) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 8});
  const EnsembleTears tears = ensemble_tears(ensemble, {"cable.upper"});
  constexpr std::size_t truth = 3;
  const std::vector<SettlingTest> tests = settling_tests(ensemble, ensemble_tears(ensemble));
  ASSERT_FALSE(tests.empty());
  EXPECT_LT(tests.front().remaining, 1.0);
  EXPECT_FALSE(tests.front().instruction.empty());
  for (std::size_t i = 1; i < tests.size(); ++i) {
    EXPECT_LE(tests[i - 1].remaining, tests[i].remaining);
  }
  EnsembleReading reading{ReadingKind::brace_height_change, "cable.upper", 1.0, 0.0, 0.0, 2e-4};
  reading.value = tears.rows[0].brace_height_of[truth];
  EnsembleReading hole{ReadingKind::tear_up_change, "cable.upper", 1.0, 0.0, tears.rows[0].up_of[truth], 2e-3};
  const BowEnsemble narrow = narrowed(ensemble, std::vector<EnsembleReading>{reading, hole});
  double total = 0.0;
  for (const EnsembleMember& member : narrow.members) {
    total += member.weight;
    EXPECT_LE(member.weight, narrow.members[truth].weight * 1.5);
  }
  EXPECT_NEAR(total, 1.0, 1e-12);
  EXPECT_GT(narrow.members[truth].weight, ensemble.members[truth].weight);
  EXPECT_LT(narrow.effective_members, 8.0);
  // A draw force narrows too, and all members have the sheet's own.
  EXPECT_THROW((void)settling_tests(ensemble, tears, "spine"), InputError);
  const EnsembleReading peak{ReadingKind::draw_force, "", 1.0, 0.55, 250.0, 20.0};
  EXPECT_GT(narrowed(ensemble, std::vector<EnsembleReading>{peak}).effective_members, 1.0);
}

TEST(Ensemble, RefusesWhatCannotBeMeant) {
  EXPECT_THROW((void)build_ensemble(ordinary(), {.members = 1}), InputError);
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 2});
  EXPECT_THROW((void)ensemble_tears(ensemble, {"cable.uper"}), InputError);
  const EnsembleReading far{ReadingKind::speed, "", 1.0, 0.0, 500.0, 0.5};
  const EnsembleReading exact{ReadingKind::speed, "", 1.0, 0.0, 80.0, 0.0};
  EXPECT_THROW((void)narrowed(ensemble, std::vector<EnsembleReading>{far}), InputError);
  EXPECT_THROW((void)narrowed(ensemble, std::vector<EnsembleReading>{exact}), InputError);
  std::atomic<bool> stop{true};
  EXPECT_THROW((void)build_ensemble(ordinary(), {.members = 2, .stop = &stop}), Interrupted);
}

/// Ensembles from the sheets of bows that are known contain them: of all tears per step, nine tenths should lie between
/// the 5 % and the 95 % of the members. Rest, arrow and nocking point can be seen on a bow; nothing else is given away.
TEST(Ensemble, ContainsTheBowsThatTheirSheetsComeFrom) {
  int inside = 0;
  int all = 0;
  for (const char* name : {"larkspur.toml", "alder.toml", "wheelwright.toml"}) {
    const nockwise::Setup truth = read_setup(setups + name);
    const BowEnsemble ensemble = build_ensemble(sheet_of_setup(truth), around_of_setup(truth));
    const EnsembleTears tears = ensemble_tears(ensemble);
    const TearMatrix matrix = tear_matrix(truth, {.statics = false});
    ASSERT_EQ(tears.rows.size(), matrix.rows.size());
    int own = 0;
    for (std::size_t i = 0; i < matrix.rows.size(); ++i) {
      own += contains(tears.rows[i].up, matrix.rows[i].per_step[Output::tear_up]) ? 1 : 0;
      own += contains(tears.rows[i].right, matrix.rows[i].per_step[Output::tear_right]) ? 1 : 0;
    }
    EXPECT_GE(own, 0.85 * static_cast<double>(2 * matrix.rows.size())) << name << ": " << own;
    inside += own;
    all += static_cast<int>(2 * matrix.rows.size());
  }
  EXPECT_GE(inside, 0.9 * all) << inside << " of " << all;
}

TEST(Ensemble, PlansWhatHoldsInAllOfItsBows) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 12});
  const EnsembleTears tears = ensemble_tears(ensemble);
  constexpr double tear = 0.0127;  // half an inch
  const EnsemblePlan plan = ensemble_plan(ensemble, tears, tear, 0.0);
  ASSERT_FALSE(plan.moves.empty());
  // What holds comes first: nocking point or rest, in whole steps, the way that every archer knows.
  const EnsembleMove& first = plan.moves.front();
  EXPECT_EQ(first.agreement, Agreement::sign_and_size);
  EXPECT_TRUE(first.adjustment.name == "nocking_point" || first.adjustment.name == "rest.height")
      << first.adjustment.name;
  EXPECT_EQ(first.steps, std::round(first.steps));
  EXPECT_LT(std::max(std::fabs(first.left.low), std::fabs(first.left.high)), 0.5 * tear);
  EXPECT_FALSE(first.settled_by.has_value());
  bool open = false;
  for (const EnsembleMove& move : plan.moves) {
    EXPECT_FALSE(move.sideways);
    EXPECT_GE(static_cast<int>(move.agreement), static_cast<int>(first.agreement));
    if (move.agreement == Agreement::nothing) {
      open = true;
      ASSERT_TRUE(move.settled_by.has_value());
      EXPECT_LT(move.settled_by->remaining, 0.8) << move.adjustment.name;
      EXPECT_NE(move.instruction.find("open"), std::string::npos);
    }
  }
  EXPECT_TRUE(open);
  EXPECT_GE(plan.cautions.size(), general_cautions().size());
  // A sideways tear is taken away sideways.
  for (const EnsembleMove& move : ensemble_plan(ensemble, tears, 0.0, tear).moves) {
    EXPECT_TRUE(move.sideways);
  }
  EXPECT_TRUE(ensemble_plan(ensemble, tears, 0.0, 0.0).moves.empty());
  EXPECT_THROW((void)ensemble_plan(ensemble, tears, 1.0, 0.0), InputError);
}

TEST(Ensemble, APhotographTellsTheBowsApart) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 10});
  const EnsembleTears tears = ensemble_tears(ensemble, {"cable.upper"});
  for (const auto& [kind, values] :
       {std::pair{ReadingKind::cam_turn, tears.cam_turn_of}, std::pair{ReadingKind::limb_travel, tears.limb_travel_of},
        std::pair{ReadingKind::full_axle_to_axle, tears.full_axle_to_axle_of}}) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    constexpr std::size_t truth = 6;
    const EnsembleReading reading{kind, "", 1.0, 0.0, values[truth], 0.2 * (*high - *low)};
    const BowEnsemble narrow = narrowed(ensemble, std::vector<EnsembleReading>{reading});
    EXPECT_LT(narrow.effective_members, 8.0);
    for (std::size_t k = 0; k < values.size(); ++k) {
      EXPECT_LE(narrow.members[k].weight, narrow.members[truth].weight);
    }
    // Far off all of them it belongs to another bow.
    EnsembleReading other = reading;
    other.value = *high + 2.0 * (*high - *low) + 4.0 * reading.error;
    EXPECT_THROW((void)narrowed(ensemble, std::vector<EnsembleReading>{other}), InputError);
  }
}

TEST(Ensemble, SharpReadingsLeaveThreeBowsAndSaySo) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 8});
  const EnsembleTears tears = ensemble_tears(ensemble, {"cable.upper"});
  const EnsembleReading sharp{ReadingKind::cam_turn, "", 1.0, 0.0, tears.cam_turn_of[2], 1e-4};
  const BowEnsemble narrow = narrowed(ensemble, std::vector<EnsembleReading>{sharp});
  EXPECT_GT(narrow.widening, 10.0);
  EXPECT_GE(narrow.effective_members, 3.0);
  EXPECT_EQ(ensemble.widening, 1.0);
}

TEST(Ensemble, CalibrationMayMoveTracksAndLimbs) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 6});
  // The measurements are those of a bow that the first five do not contain.
  BowEnsemble others = ensemble;
  others.members.pop_back();
  for (EnsembleMember& member : others.members) {
    member.weight = 0.2;
  }
  const nockwise::Setup truth = ensemble.members.back().setup;
  const Model model(truth);
  const DrawCycle cycle = draw_cycle(model, {160, DrawHold::draw_board});
  Measurements measured;
  for (const std::size_t share : {30U, 60U, 90U, 120U, 140U}) {
    const DrawPoint& point = cycle.points[share * cycle.touch_index / 160];
    measured.draw_forces.push_back({draw_length_allowance - point.nock_x, point.draw_force, 4.5});
  }
  measured.speeds.push_back({chronograph_speed(model, launch(model)), 0.5, {}});
  const Calibration within = calibrate_within(others, measured);
  ASSERT_FALSE(within.findings.empty());
  EXPECT_NE(within.findings.front().find("Tracks and limb geometry"), std::string::npos);
  // Limbs' and cables' numbers alone, with the tracks of any one member, do not come so near to another bow's draw.
  for (const EnsembleMember& member : others.members) {
    EXPECT_GT(calibrate(member.setup, measured).misfit, within.misfit);
  }
}

TEST(Ensemble, NewMembersAreDrawnWhereReadingsWantThem) {
  const BowEnsemble ensemble = build_ensemble(ordinary(), {.members = 12});
  const EnsembleTears tears = ensemble_tears(ensemble, {"cable.upper"});
  const double truth = tears.cam_turn_of[5];
  const EnsembleReading seen{ReadingKind::cam_turn, "", 1.0, 0.0, truth, 0.02};
  const std::vector<EnsembleReading> readings{seen};
  const BowEnsemble narrow = narrowed(ensemble, readings);
  const BowEnsemble refined_once = refined(ensemble, readings, {.members = 12});
  EXPECT_GT(refined_once.members.size(), ensemble.members.size() + 8);
  EXPECT_GT(refined_once.effective_members, narrow.effective_members);
  EXPECT_LE(refined_once.widening, narrow.widening);
  const EnsembleTears after = ensemble_tears(refined_once, {"cable.upper"});
  double weight = 0.0;
  double mean = 0.0;
  for (std::size_t k = 0; k < refined_once.members.size(); ++k) {
    const EnsembleMember& member = refined_once.members[k];
    weight += member.weight;
    mean += member.weight * after.cam_turn_of[k];
    for (const double guess : member.guesses) {
      EXPECT_GE(guess, 0.0);
      EXPECT_LE(guess, 1.0);
    }
  }
  EXPECT_NEAR(weight, 1.0, 1e-12);
  EXPECT_NEAR(mean, truth, 0.02);
  EXPECT_EQ(refined(ensemble, readings, {.members = 12, .threads = 1}).members.back().setup,
            refined_once.members.back().setup);
}

TEST(Readings, FileSaysWhereAndWhat) {
  const std::vector<EnsembleReading> readings = parse_readings(R"(format = 1
[[readings]]
kind = "tear_up_change"
adjustment = "cable.upper"
steps = 0.5
value = "0.2 in"
[[readings]]
value = "61.5 lbf"
draw_length = "20 in"
error = "1 lbf"
kind = "draw_force"
)");
  ASSERT_EQ(readings.size(), 2U);
  EXPECT_EQ(readings[0].kind, ReadingKind::tear_up_change);
  EXPECT_EQ(readings[0].adjustment, "cable.upper");
  EXPECT_EQ(readings[0].steps, 0.5);
  EXPECT_NEAR(readings[0].value, 0.00508, 1e-12);
  EXPECT_GT(readings[0].error, 0.002);
  EXPECT_NEAR(readings[1].draw_length, 0.508, 1e-12);
  EXPECT_NEAR(readings[1].error, 4.4482, 1e-3);
  const auto refused = [](const std::string& table, const std::string& path, const std::string& allowed, int line) {
    try {
      (void)parse_readings("format = 1\n[[readings]]\n" + table, "seen.toml");
      ADD_FAILURE() << "accepted: " << table;
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), path) << table;
      EXPECT_NE(error.allowed().find(allowed), std::string::npos) << error.what();
      EXPECT_EQ(error.line(), line) << table;
    }
  };
  refused("kind = \"tear_up\"\n", "readings[0].value", "must be given", 2);
  refused("kind = \"tear\"\nvalue = \"1 in\"\n", "readings[0].kind", "tear_up", 3);
  refused("kind = \"tear_up\"\nvalue = 1\n", "readings[0].value", "write \"1 in\"", 4);
  refused("kind = \"tear_up_change\"\nvalue = \"1 in\"\n", "readings[0].adjustment", "must be given", 2);
  refused("kind = \"draw_force\"\nvalue = \"50 lbf\"\n", "readings[0].draw_length", "must be given", 2);
  refused("kind = \"tear_up\"\nvalue = \"1 in\"\nerror = \"0 in\"\n", "readings[0].error", "above zero", 5);
  refused("kind = \"tear_up\"\nvalue = \"1 in\"\nsteps = 0\n", "readings[0].steps", "number of steps", 5);
  refused("kind = \"tear_up\"\nvlaue = \"1 in\"\nvalue = \"1 in\"\n", "readings[0].vlaue", "value", 4);
  EXPECT_THROW((void)parse_readings("format = 2\n[[readings]]\n"), InputError);
  EXPECT_THROW((void)parse_readings("format = 1\n"), InputError);
  EXPECT_THROW((void)parse_readings("[[readings]]\nkind = \"speed\"\nvalue = \"280 ft/s\"\n"), InputError);
  EXPECT_THROW((void)parse_readings("format = 1\nreadings = 3\n"), InputError);
  EXPECT_THROW((void)read_readings("/no/such/file"), InputError);
}

}  // namespace
}  // namespace nockwise
