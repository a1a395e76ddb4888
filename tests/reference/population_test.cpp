// Rules of the trade against a population of plausible bows (population.md). The ordinary run draws a few dozen.

#include "reference/population.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
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
  if (const char* const file = std::getenv("NOCKWISE_POPULATION_TABLE")) {
    std::ofstream(file) << population_table(bows, threads);
  }
  if (const char* const file = std::getenv("NOCKWISE_POPULATION_CSV")) {
    std::ofstream(file) << population_csv(bows, threads);
  }
}

}  // namespace
}  // namespace nockwise
