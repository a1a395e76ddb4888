/// @file
/// Numbers of a group against those of many more shots: they close in as one over the root of the shots, and no faster
/// or slower than the error that is told with them.
#include "demo_bows.hpp"
#include "groups/statistics.hpp"
#include "nockwise/group.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace nockwise {
namespace {

Group shot_with(std::size_t shots, std::uint64_t seed) {
  GroupOptions options;
  options.distance = 45.72;
  options.shots = shots;
  options.arrows = 144;  // so many that whose arrows they are has no part in it
  options.seed = seed;
  return group(testing::demo_bow("larkspur"), scatter_of(Archer::club), options);
}

/// How far sizes are from that of very many shots, and how far they say that they may be.
struct Closeness {
  std::vector<double> off, told;  // of the size
  double middle_off = 0.0;        // mean square of the middle's distance, over the variance per shot

  void add(const Group& part, const Group& all) {
    const double size = detail::size_of(all);
    off.push_back(detail::size_of(part) / size - 1.0);
    told.push_back(part.relative_error);
    const double up = part.mean_up - all.mean_up;
    const double right = part.mean_right - all.mean_right;
    middle_off += (up * up + right * right) / (2.0 * size * size);
  }
  [[nodiscard]] double count() const { return static_cast<double>(off.size()); }
  static double root_mean_square(const std::vector<double>& values) {
    double sum = 0.0;
    for (const double each : values) {
      sum += each * each;
    }
    return std::sqrt(sum / static_cast<double>(values.size()));
  }
  /// Share of the intervals of 90 % that hold the size of very many shots.
  [[nodiscard]] double held() const {
    double inside = 0.0;
    for (std::size_t i = 0; i < off.size(); ++i) {
      inside += std::fabs(off[i]) <= 1.645 * told[i] ? 1.0 : 0.0;
    }
    return inside / count();
  }
};

/// Groups of so many shots, one after the other out of many.
Closeness in_parts(const Group& all, std::size_t shots) {
  Closeness found;
  for (std::size_t first = 0; first + shots <= all.up.size(); first += shots) {
    const auto from = static_cast<std::ptrdiff_t>(first);
    const auto to = from + static_cast<std::ptrdiff_t>(shots);
    Group part;
    part.up.assign(all.up.begin() + from, all.up.begin() + to);
    part.right.assign(all.right.begin() + from, all.right.begin() + to);
    part.arrow.assign(all.arrow.begin() + from, all.arrow.begin() + to);
    detail::fill_statistics(part, {}, 0.0065);
    found.add(part, all);
  }
  return found;
}

TEST(GroupConvergence, IsOneOverTheRootOfTheShotsAndAsTold) {
  const Group all = shot_with(9600, 1);
  ASSERT_EQ(all.failed, 0U);
  double before = 0.0;
  double before_count = 0.0;
  for (const std::size_t shots : {60, 240, 960}) {
    const Closeness found = in_parts(all, shots);
    const auto n = static_cast<double>(shots);
    const double left = 1.0 - n / static_cast<double>(all.shots);  // the many shots are these too, in part
    const double off = Closeness::root_mean_square(found.off) / std::sqrt(left);
    // A root mean square of N is known to one part in √(2N); three of these either way.
    const double known = 3.0 / std::sqrt(2.0 * found.count());
    EXPECT_NEAR(off / Closeness::root_mean_square(found.told), 1.0, known) << shots;
    EXPECT_NEAR(found.middle_off * n / (found.count() * left), 1.0, 3.0 / std::sqrt(found.count())) << shots;
    if (before > 0.0) {
      EXPECT_NEAR(off * std::sqrt(n) / before, 1.0, 3.0 * std::sqrt(0.5 / found.count() + 0.5 / before_count)) << shots;
    }
    before = off * std::sqrt(n);
    before_count = found.count();
  }
}

TEST(GroupConvergence, IntervalsHoldTheTruthAsOftenAsTheySay) {
  const Group all = shot_with(9600, 1);
  Closeness seeds;
  for (std::uint64_t seed = 101; seed < 141; ++seed) {
    seeds.add(shot_with(240, seed), all);
  }
  // 40 intervals of 90 %: 36 ± 1.9, three standard deviations of a binomial distribution either way; more than all is
  // none. The many shots' own error, 0.6 % against 3.5, is no part of it.
  EXPECT_GE(seeds.held(), 0.9 - 3.0 * std::sqrt(0.9 * 0.1 / seeds.count()));
  // An error told from ten ends of six is Student's with nine: 1.645 of it hold 86.6 %. 160 intervals: ± 2.7 %.
  const Closeness parts = in_parts(all, 60);
  EXPECT_NEAR(parts.held(), 0.866, 3.0 * std::sqrt(0.866 * 0.134 / parts.count()));
}

}  // namespace
}  // namespace nockwise
