#include "nockwise/least_sensitive.hpp"

#include "demo_bows.hpp"
#include "groups/setting_search.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/paper.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace nockwise {
namespace {

using nockwise::testing::demo_bow;

constexpr double inch = 0.0254;

PaperTear tear_of(const nockwise::Setup& setup) {
  const Model model(setup);
  return paper_tear(model, launch(model));
}

TEST(AnswersOfLines, AreThoseOfTwoLaunches) {
  const nockwise::Setup setup = demo_bow("alder");
  const auto answers = answers_of_lines(setup, {.lines = {"cable.upper"}});
  ASSERT_EQ(answers.size(), 1U);
  nockwise::Setup more = setup;
  more.cables.upper.twists += 0.25;
  nockwise::Setup less = setup;
  less.cables.upper.twists -= 0.25;
  EXPECT_NEAR(answers[0].up, 0.5 * (tear_of(more).up - tear_of(less).up), 1e-12);
  EXPECT_NEAR(answers[0].right, 0.5 * (tear_of(more).right - tear_of(less).right), 1e-12);
}

TEST(LeastSensitive, IsWhatAGridFinds) {
  const nockwise::Setup setup = demo_bow("larkspur");
  const std::vector<FreeNumber> free{{"cable_guard.offset", 0.004}, {"string.nocking_point", inch / 16.0}};
  LeastSensitiveOptions options;
  options.lines = {"cable.upper", "cable.lower"};
  options.most_steps = 2.0;
  options.within = 0.5 * inch;
  const LeastSensitive found = least_sensitive(setup, free, options);
  double best = std::numeric_limits<double>::infinity();
  std::vector<double> at;
  for (int i = -2; i <= 2; ++i) {
    for (int k = -2; k <= 2; ++k) {
      nockwise::Setup there = setup;
      there.cable_guard.offset += i * 0.004;
      there.string.nocking_point += k * inch / 16.0;
      const PaperTear tear = tear_of(there);
      if (std::max(std::fabs(tear.up), std::fabs(tear.right)) > options.within) {
        continue;
      }
      double square = 0.0;
      for (const LineAnswer& each : answers_of_lines(there, options)) {
        square += each.up * each.up + each.right * each.right;
      }
      if (std::sqrt(square) < best) {
        best = std::sqrt(square);
        at = {static_cast<double>(i), static_cast<double>(k)};
      }
    }
  }
  EXPECT_EQ(found.steps, at);
  EXPECT_NEAR(found.sensitivity, best, 1e-12);
  EXPECT_LT(found.sensitivity, found.sensitivity_before);
  EXPECT_LE(std::fabs(found.tear_up), options.within);
  EXPECT_LE(std::fabs(found.tear_right), options.within);
  EXPECT_EQ(found.values[0], setup.cable_guard.offset + found.steps[0] * 0.004);
  EXPECT_FALSE(found.cautions.empty());
}

TEST(LeastSensitive, TurnsEveryLineByItself) {
  const nockwise::Setup setup = demo_bow("larkspur");  // yoked at both ends
  EXPECT_EQ(answers_of_lines(setup).size(), 6U);
  EXPECT_EQ(answers_of_lines(demo_bow("alder")).size(), 2U);
}

TEST(LeastSensitive, RefusesWhatItCannotSearch) {
  const nockwise::Setup setup = demo_bow("alder");
  EXPECT_THROW((void)least_sensitive(setup, {}), InputError);
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.ofset", 0.001}}), InputError);
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.offset", 0.0}}), InputError);
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.offset", 0.001}, {"cable_guard.offset", 0.002}}),
               InputError);
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.offset", 0.001}}, {.lines = {"rest.height"}}), InputError);
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.offset", 0.001}}, {.twists = 0.0}), InputError);
  const std::atomic<bool> stop = true;
  EXPECT_THROW((void)least_sensitive(setup, {{"cable_guard.offset", 0.001}}, {.stop = &stop}), Interrupted);
}

TEST(SettingSearch, FollowsAValleyToItsEndWithinTheLimit) {
  // A slanting valley whose floor falls to one end; the hole grows along it, so that the limit ends the way.
  const auto look = [](const detail::Steps& s) {
    const double across = s[0] - s[1];
    const double along = s[0] + s[1];
    return detail::Worth{0.001 * std::fabs(along), 1.0 + across * across + 0.01 * (12.0 - along) * (12.0 - along)};
  };
  detail::SettingSearch search({{-8.0, 8.0}, {-8.0, 8.0}}, 0.0065, look);
  const detail::Steps clean = search.cleanest();
  EXPECT_EQ(clean[0] + clean[1], 0);
  EXPECT_EQ(search.smallest_spread(clean), (detail::Steps{3, 3}));
  const auto frontier = search.frontier();
  ASSERT_GE(frontier.size(), 2U);
  for (std::size_t i = 1; i < frontier.size(); ++i) {
    EXPECT_LT(frontier[i].worth.spread, frontier[i - 1].worth.spread);
  }
}

}  // namespace
}  // namespace nockwise
