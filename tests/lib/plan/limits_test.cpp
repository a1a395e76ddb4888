#include "plan/limits.hpp"

#include "demo_bows.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <stdexcept>

namespace nockwise::detail {
namespace {

class Together : public ::testing::Test {
 protected:
  [[nodiscard]] bool allowed(const std::vector<std::pair<std::string, int>>& moved) const {
    Steps steps(all_.size(), 0);
    for (const auto& [name, count] : moved) {
      const auto found = std::find_if(all_.begin(), all_.end(), [&](const Adjustment& a) { return a.name == name; });
      if (found == all_.end()) {
        throw std::runtime_error("no adjustment " + name);
      }
      steps[static_cast<std::size_t>(found - all_.begin())] = count;
    }
    return JointLimits(all_, shelf_clearance_).allow(all_, steps);
  }
  std::optional<double> shelf_clearance_;
  std::vector<Adjustment> all_ = adjustments(nockwise::testing::demo_bow("larkspur"));
};

TEST_F(Together, ShimsOfOneCamAndOfBothAddUpToThreeThirtySeconds) {
  EXPECT_TRUE(allowed({{"shims.both", 3}}));
  EXPECT_TRUE(allowed({{"shims.both", 3}, {"shim.upper", -3}}));
  EXPECT_FALSE(allowed({{"shims.both", 3}, {"shim.upper", 1}}));
  EXPECT_FALSE(allowed({{"shims.both", 2}, {"shim.lower", 2}}));
}

TEST_F(Together, NockAndRestStayAQuarterInchOfSquare) {
  EXPECT_TRUE(allowed({{"nocking_point", 4}}));
  EXPECT_TRUE(allowed({{"nocking_point", 2}, {"rest.height", -2}}));
  EXPECT_FALSE(allowed({{"nocking_point", 3}, {"rest.height", -2}}));
}

TEST_F(Together, TheArrowIsNotLoweredOntoTheShelf) {
  EXPECT_TRUE(allowed({{"rest.height", -3}}));
  shelf_clearance_ = 0.0254 / 8.0;
  EXPECT_TRUE(allowed({{"rest.height", -1}}));
  EXPECT_FALSE(allowed({{"rest.height", -2}}));
  EXPECT_FALSE(allowed({{"arrow.height", -1}, {"rest.height", -1}}));
  EXPECT_TRUE(allowed({{"rest.height", 3}}));
}

TEST_F(Together, TwistsOfOneCableAndOfBothAddUp) {
  EXPECT_TRUE(allowed({{"cable.upper", 2}, {"cables.both", 4}}));
  EXPECT_FALSE(allowed({{"cable.upper", 3}, {"cables.both", 4}}));
}

}  // namespace
}  // namespace nockwise::detail
