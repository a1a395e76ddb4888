#include "nockwise/arrow_table.hpp"

#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/paper.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;

constexpr double inch = 0.0254;
constexpr double grain = 6.479891e-5;

ArrowTableOptions quick() {
  ArrowTableOptions options;
  options.bows = 20;
  options.group.shots = 120;
  return options;
}

TEST(ArrowTable, CombinesWhatIsGiven) {
  const auto choices = arrow_choices({0.3 * inch, 0.4 * inch}, {100.0 * grain, 125.0 * grain, 150.0 * grain}, {});
  ASSERT_EQ(choices.size(), 6U);
  EXPECT_EQ(*choices[1].spine, 0.3 * inch);
  EXPECT_EQ(*choices[1].point_mass, 125.0 * grain);
  EXPECT_FALSE(choices[1].length);
}

TEST(ArrowTable, ARowIsWhatThatArrowDoes) {
  const auto setup = demo_bow("alder");
  const auto choices = arrow_choices({0.3 * inch, 0.4 * inch}, {100.0 * grain}, {});
  const ArrowTable table = compare_arrows(setup, scatter_of(Archer::club), choices, quick());
  ASSERT_EQ(table.rows.size(), 2U);
  nockwise::Setup chosen = setup;
  chosen.set("arrow.spine", 0.3 * inch);
  chosen.set("arrow.point_mass", 100.0 * grain);
  const Model model(chosen);
  const ArrowRow& row = table.rows[0];
  EXPECT_DOUBLE_EQ(row.mass, model.arrow().mass);
  EXPECT_DOUBLE_EQ(row.tear_up, paper_tear(model, launch(model)).up);
  EXPECT_EQ(row.title, "0.300 in, 100 gr, " + display(setup.arrow.length, Quantity::length, "in", 2));
  for (const ArrowRow& each : table.rows) {
    EXPECT_LT(each.tear_up_low, each.tear_up_high);
    EXPECT_GT(each.far_size, each.near_size);
    EXPECT_GT(each.far_elevation, each.near_elevation);
  }
  EXPECT_TRUE(table.rows[0].as_good || table.rows[1].as_good);
  EXPECT_FALSE(table.advice.empty());
  const double distances[] = {table.near_distance, table.far_distance};
  const auto marks = sight_marks(model, launch(model), distances);
  EXPECT_EQ(row.near_mark, 0.0);
  EXPECT_NEAR(row.far_mark, marks[1].below_first, 1e-9);
  EXPECT_GT(row.far_mark, 0.002);
  const double lower = table.rows[1].near_mark - 0.9 * std::tan(table.rows[1].near_elevation);
  EXPECT_NEAR(lower, -0.9 * std::tan(row.near_elevation), 1e-12);
}

TEST(ArrowTable, ASecondLikeTheFirstIsAsGood) {
  const auto setup = demo_bow("larkspur");
  const ArrowTable table =
      compare_arrows(setup, scatter_of(Archer::club), arrow_choices({0.340 * inch, 0.342 * inch}, {}, {}), quick());
  EXPECT_TRUE(table.rows[0].as_good);
  EXPECT_TRUE(table.rows[1].as_good);
  EXPECT_NE(table.advice.find("indistinguishable"), std::string::npos) << table.advice;
}

TEST(ArrowTable, NamesTheLightestOfThoseThatAreAsGood) {
  const auto setup = demo_bow("larkspur");
  const ArrowTable table =
      compare_arrows(setup, scatter_of(Archer::club), arrow_choices({}, {100.0 * grain, 102.0 * grain}, {}), quick());
  ASSERT_TRUE(table.rows[0].as_good && table.rows[1].as_good);
  EXPECT_NE(table.advice.find(table.rows[0].title + " is the lightest"), std::string::npos) << table.advice;
}

TEST(ArrowTable, KeepsWhatCannotBeShotInItsPlace) {
  const auto setup = demo_bow("larkspur");
  ArrowTableOptions options = quick();
  options.bows = 0;
  const ArrowTable table =
      compare_arrows(setup, scatter_of(Archer::machine), arrow_choices({3.0 * inch, 0.34 * inch}, {}, {}), options);
  EXPECT_TRUE(table.rows[1].failure.empty());
  EXPECT_EQ(table.rows[1].tear_up, table.rows[1].tear_up_low);
}

TEST(ArrowTable, RefusesWhatIsNoArrow) {
  const auto setup = demo_bow("larkspur");
  const Scatter club = scatter_of(Archer::club);
  EXPECT_THROW((void)compare_arrows(setup, club, {}, quick()), InputError);
  EXPECT_THROW((void)compare_arrows(setup, club, arrow_choices({}, {}, {5.0}), quick()), InputError);
  ArrowTableOptions options = quick();
  options.bows = 2000;
  EXPECT_THROW((void)compare_arrows(setup, club, arrow_choices({}, {}, {}), options), InputError);
  options = quick();
  options.far_distance = options.near_distance;
  EXPECT_THROW((void)compare_arrows(setup, club, arrow_choices({}, {}, {}), options), InputError);
}

}  // namespace
}  // namespace nockwise
