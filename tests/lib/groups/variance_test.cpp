#include "nockwise/variance.hpp"

#include "demo_bows.hpp"
#include "groups/decomposition.hpp"
#include "nockwise/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;

/// Parts of the variance of a function of the errors, which stands for the impact.
struct Known {
  std::vector<detail::ActiveSource> sources;
  std::vector<detail::ShotErrors> errors;
  std::vector<double> up, right;

  Known(const std::vector<std::string>& names, std::size_t shots,
        const std::function<std::pair<double, double>(const detail::ShotErrors&)>& impact) {
    for (const std::string& name : names) {
      sources.push_back({&detail::source_named(name), 1.0});
    }
    for (std::size_t i = 0; i < shots; ++i) {
      errors.push_back(detail::drawn_errors(sources, 7, i, i));
      const auto [u, r] = impact(errors.back());
      up.push_back(u);
      right.push_back(r);
    }
  }
  [[nodiscard]] detail::Decomposition parts() const { return detail::decompose(sources, errors, up, right); }
};

TEST(Decomposition, OfALinearFunctionIsTheSquaresOfItsSlopes) {
  const Known known({"grip_torque", "aim_up", "point_mass"}, 2000, [](const detail::ShotErrors& e) {
    return std::pair{3.0 * e.normal[0] + 1.0 * e.normal[1], 2.0 * e.normal[1] - 0.5 * e.normal[2] + 9.0};
  });
  const detail::Decomposition parts = known.parts();
  EXPECT_NEAR(parts.alone[0].value, 9.0, 1e-10);
  EXPECT_NEAR(parts.alone[1].value, 5.0, 1e-10);
  EXPECT_NEAR(parts.alone[2].value, 0.25, 1e-10);
  EXPECT_NEAR(parts.straight[0], 9.0, 1e-10);
  EXPECT_NEAR(parts.rest, 0.0, 1e-10);
  // Theirs is the variance of all shots; that of these shots differs by chance.
  EXPECT_NEAR(parts.variance, 14.25, 3.0 * parts.variance_error);
  EXPECT_LT(parts.variance_error, 0.05 * parts.variance);
}

TEST(Decomposition, FindsAProductAndACurve) {
  // (1 + z₀) z₁ + z₂²: one variance of z₁, one of the product, two of the square.
  const Known known({"grip_torque", "aim_up", "point_mass"}, 3000, [](const detail::ShotErrors& e) {
    return std::pair{(1.0 + e.normal[0]) * e.normal[1] + e.normal[2] * e.normal[2], 0.0};
  });
  const detail::Decomposition parts = known.parts();
  EXPECT_NEAR(parts.alone[0].value, 0.0, 1e-10);
  EXPECT_NEAR(parts.alone[1].value, 1.0, 1e-10);
  EXPECT_NEAR(parts.alone[2].value, 2.0, 1e-10);
  EXPECT_NEAR(parts.straight[2], 0.0, 1e-10);
  ASSERT_EQ(parts.pairs.size(), 3U);
  for (const detail::Decomposition::Pair& each : parts.pairs) {
    const bool product = each.first == 0 && each.second == 1;
    EXPECT_NEAR(each.part.value, product ? 1.0 : 0.0, 1e-10) << each.first << each.second;
  }
  EXPECT_NEAR(parts.variance, 4.0, 3.0 * parts.variance_error);
}

TEST(Decomposition, LeavesThreeTogetherAndJumpsToTheRest) {
  // z₀ + z₁ z₂ z₃ has half of its variance in a product of three; parts that are not there come out as nothing within
  // their errors.
  const Known known({"grip_torque", "aim_up", "point_mass", "spine"}, 4000, [](const detail::ShotErrors& e) {
    return std::pair{e.normal[0] + e.normal[1] * e.normal[2] * e.normal[3], 0.0};
  });
  const detail::Decomposition parts = known.parts();
  EXPECT_NEAR(parts.alone[0].value, 1.0, 4.0 * parts.alone[0].error);
  EXPECT_NEAR(parts.rest, 1.0, 0.25);  // a product of three varies by √(26/4000) of itself, 8 %
  for (std::size_t k = 1; k < 4; ++k) {
    EXPECT_NEAR(parts.alone[k].value, 0.0, 4.0 * parts.alone[k].error) << k;
    EXPECT_LT(parts.alone[k].error, 0.02) << k;
  }
  double sum = parts.rest;
  for (const auto& each : parts.alone) {
    sum += each.value;
  }
  for (const auto& each : parts.pairs) {
    EXPECT_NEAR(each.part.value, 0.0, 4.0 * each.part.error);
    sum += each.part.value;
  }
  EXPECT_NEAR(sum, parts.variance, 3.0 * parts.variance_error);
}

TEST(Decomposition, TakesABendThatBulgesAnyWay) {
  // 4 z cos θ up and 2 z sin θ to the right: half of each square.
  const Known known({"bend", "aim_up"}, 2000, [](const detail::ShotErrors& e) {
    return std::pair{4.0 * e.normal[0] * std::cos(e.angle[0]) + e.normal[1], 2.0 * e.normal[0] * std::sin(e.angle[0])};
  });
  // Sources stand in the order they were named here.
  const detail::Decomposition parts = known.parts();
  EXPECT_NEAR(parts.alone[0].value, 10.0, 1e-9);
  EXPECT_NEAR(parts.alone[1].value, 1.0, 1e-9);
  EXPECT_NEAR(parts.pairs[0].part.value, 0.0, 1e-9);
}

TEST(VarianceShares, OfAimAreTheSquaresOfItsWidths) {
  const Scatter aim{"aim", {{"aim_up", 1e-3}, {"aim_right", 2e-3}}};
  VarianceOptions options;
  options.distance = 50.0;
  options.shots = 1000;
  const VarianceShares found = variance_shares(demo_bow("larkspur"), aim, options);
  ASSERT_EQ(found.sources.size(), 2U);
  EXPECT_EQ(found.sources[0].name, "aim_right");
  // Straight in both, so that the shares by straight lines are exact: 0.8, but that an arrow aimed higher also flies
  // less far down (a thousandth).
  const Forgiveness lines = forgiveness(demo_bow("larkspur"), aim, {.distance = 50.0});
  const double both = found.sources[0].alone + found.sources[1].alone;
  EXPECT_NEAR(found.sources[0].alone / both, 0.8, 1e-3);
  EXPECT_NEAR(found.sources[0].alone / both, lines.sources[0].share, 1e-5);
  EXPECT_NEAR(found.sources[0].alone, found.sources[0].straight, 1e-4);
  EXPECT_NEAR(found.rest, 0.0, 1e-4);
  EXPECT_NEAR(found.sum, 1.0, 3.0 * found.sum_error);
  EXPECT_LT(found.sum_error, 0.06);
}

TEST(VarianceShares, OfCantAndAimHaveTheirProduct) {
  // A canted bow turns what its sight is raised by: right = D ε κ and, with the archer's aim up beside it, no product
  // of these two; the release up, which the bow turns with it, has one: right = t v κ.
  const Scatter scatter{"chosen", {{"cant", 0.2}, {"release_up", 0.4}}};
  VarianceOptions options;
  options.distance = 50.0;
  options.shots = 1000;
  const VarianceShares found = variance_shares(demo_bow("larkspur"), scatter, options);
  ASSERT_EQ(found.pairs.size(), 1U);
  EXPECT_EQ(found.pairs[0].first, "release_up");
  EXPECT_EQ(found.pairs[0].second, "cant");
  // As far as it is a rotation: what the release does up, times the cant, goes to the side.
  double up = 0.0;
  for (const SourceShare& each : found.sources) {
    if (each.name == "release_up") {
      up = each.alone;
    }
  }
  EXPECT_NEAR(found.pairs[0].share, 0.2 * 0.2 * up, 0.15 * 0.04 * up);
  EXPECT_NEAR(found.sum, 1.0, 3.0 * found.sum_error);
}

TEST(VarianceShares, SumToOneForWholeArchers) {
  for (const char* bow : {"larkspur", "alder"}) {
    VarianceOptions options;
    options.distance = 45.72;
    options.conditions.gust = bow == std::string("alder") ? 1.0 : 0.0;
    options.shots = 1500;
    const VarianceShares found = variance_shares(demo_bow(bow), scatter_of(Archer::club), options);
    EXPECT_NEAR(found.sum, 1.0, 3.0 * found.sum_error) << bow;
    EXPECT_LT(found.sum_error, 0.04) << bow;
    EXPECT_LT(std::fabs(found.rest), 0.1) << bow;
    double alone = 0.0;
    for (const SourceShare& each : found.sources) {
      EXPECT_GT(each.alone, -4.0 * each.error - 1e-6) << bow << " " << each.name;
      alone += each.alone;
    }
    EXPECT_GT(alone, 0.8) << bow;
  }
}

TEST(VarianceShares, RefusesTooFewShotsAndNothingThatScatters) {
  const auto setup = demo_bow("larkspur");
  EXPECT_THROW((void)variance_shares(setup, scatter_of(Archer::club), {.shots = 499}), InputError);
  EXPECT_THROW((void)variance_shares(setup, Scatter{"none", {}}, {.shots = 500}), InputError);
  EXPECT_THROW((void)variance_shares(setup, Scatter{"wide", {{"wall_pull", 2.0}}}, {}), InputError);
}

}  // namespace
}  // namespace nockwise
