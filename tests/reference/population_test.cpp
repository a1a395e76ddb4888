// Rules of the trade against a population of plausible bows (population.md). The ordinary run draws a few dozen.

#include "reference/population.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <thread>

namespace nockwise {
namespace {

std::size_t bows_asked_for() {
  const char* const number = std::getenv("NOCKWISE_POPULATION_BOWS");
  return number == nullptr ? 48 : std::stoul(number);
}

TEST(Population, ObeysTheRulesAsTheTableSays) {
  const int threads = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  const std::vector<PopulationBow> bows = population(bows_asked_for(), threads);
  const auto obey = [&](const std::string& name, const auto& meant) {
    const auto rule = std::find_if(trade_rules().begin(), trade_rules().end(),
                                   [&](const TradeRule& each) { return each.name == name; });
    if (rule == trade_rules().end()) {
      throw std::runtime_error("no rule " + name);
    }
    std::vector<PopulationBow> some;
    std::copy_if(bows.begin(), bows.end(), std::back_inserter(some), meant);
    return obedience(*rule, answers(*rule, some, threads));
  };
  const auto any = [](const PopulationBow& /*bow*/) { return true; };
  const auto captured = [](const PopulationBow& bow) { return bow.rest == "capture"; };
  const auto free = [&](const PopulationBow& bow) { return !captured(bow); };
  EXPECT_GT(obey("nock up", free).sign, 0.9);
  EXPECT_GT(obey("nock up", captured).against, 0.9);  // a lead: population.md
  EXPECT_GT(obey("rest to the riser", any).sign, 0.8);
  EXPECT_GT(obey("cams left", any).sign, 0.9);
  EXPECT_GT(obey("hand", any).sign, 0.9);
  // No rule here, whatever the trade says: population.md has the reason.
  const Obedience late = obey("upper cam late", any);
  EXPECT_GT(late.sign, 0.35);
  EXPECT_GT(late.against, 0.2);
  EXPECT_LT(obey("cord 1/8 in nearer", any).sign, 0.15);
  if (const char* const file = std::getenv("NOCKWISE_POPULATION_TABLE")) {
    std::ofstream(file) << population_table(bows, threads);
  }
  if (const char* const file = std::getenv("NOCKWISE_POPULATION_CSV")) {
    std::ofstream(file) << population_csv(bows, threads);
  }
}

}  // namespace
}  // namespace nockwise
