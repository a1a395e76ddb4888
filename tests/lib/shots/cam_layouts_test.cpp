#include "nockwise/cam_table.hpp"
#include "ordinary_measurements.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace nockwise {
namespace {

TEST(CamLayouts, SameDrawByThreeLayoutsAndWhatAnErrorDoesInEach) {
  CamTableOptions options;
  options.threads = 1;
  const BowMeasurements sheet = ::nockwise::testing::ordinary_measurements();
  const CamTable table = compare_layouts(sheet, options);
  ASSERT_EQ(table.rows.size(), 3U);
  EXPECT_EQ(table.rows[0].name, "yoke");
  EXPECT_EQ(table.rows[1].name, "hybrid");
  EXPECT_EQ(table.rows[2].name, "crossed");
  for (const CamRow& row : table.rows) {
    EXPECT_TRUE(row.failure.empty()) << row.failure;
    EXPECT_NEAR(row.peak_force, *sheet.peak_force, 2e-3 * *sheet.peak_force);
    EXPECT_NEAR(row.let_off, *sheet.let_off, 3e-3);
    EXPECT_NEAR(row.axle_to_axle, sheet.axle_to_axle, 1e-4);
    EXPECT_NEAR(row.draw_length, sheet.draw_length, 1e-4);
    EXPECT_LT(row.chain.cable_length, 0.0);
  }
  // All draw the yoked bow's curve, within what the builder accepts of measured curves: 1 % of the peak.
  for (const CamRow& row : table.rows) {
    for (std::size_t i = 20; i < row.draw_curve.size(); ++i) {
      EXPECT_NEAR(row.draw_curve[i].force, table.rows[0].draw_curve[i].force, 1.5e-2 * *sheet.peak_force)
          << row.name << ' ' << i;
    }
    EXPECT_EQ(row.setup.cams.upper.mass, table.rows[0].setup.cams.upper.mass);
    EXPECT_NEAR(row.exit_speed, table.rows[0].exit_speed, 2.0);
  }
  const CamRow& yoke = table.rows[0];
  const CamRow& crossed = table.rows[2];
  // With yokes nothing ties the cams together but string and limbs: the same error parts them much farther.
  EXPECT_GT(std::fabs(yoke.chain.cam_angle), 2.0 * std::fabs(crossed.chain.cam_angle));
  EXPECT_GT(std::fabs(yoke.chain.stop_gap), 2.0 * std::fabs(crossed.chain.stop_gap));
}

}  // namespace
}  // namespace nockwise
