// Blind recovery of hidden faults (issue 4). Ordinary runs take a few cases; the whole study is
//   NOCKWISE_BLIND_CASES=200 nockwise_reference_tests --gtest_filter='BlindRecovery.*'
// and prints its table; NOCKWISE_BLIND_FAILURES=1 adds a line for every case that went wrong.

#include "reference/blind_recovery.hpp"

#include "nockwise/setup_file.hpp"
#include "parallel_launch.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>

namespace nockwise {
namespace {

std::size_t cases_wanted(std::size_t usual) {
  const char* wanted = std::getenv("NOCKWISE_BLIND_CASES");
  return wanted != nullptr ? static_cast<std::size_t>(std::strtoul(wanted, nullptr, 10)) : usual;
}

void print_failures(const std::vector<BlindCase>& cases) {
  if (std::getenv("NOCKWISE_BLIND_FAILURES") == nullptr) {
    return;
  }
  for (const BlindCase& each : cases) {
    const bool single = each.faults.size() == 1;
    if (each.drawn && (each.repaired != each.repairable || (single && !(each.ranked && each.covered)))) {
      std::cout << "seed " << each.seed << ": " << each.verdict;
      for (const BlindFault& fault : each.faults) {
        std::cout << ' ' << fault.adjustment << ' ' << fault.steps;
      }
      std::cout << "; tear " << each.start / 0.0254 << " -> " << each.end / 0.0254 << " in, planned " << each.planned
                << ", ranked " << each.ranked << ", covered " << each.covered << ", checks " << each.checks
                << ", confidence " << each.confidence << '\n';
    }
  }
}

std::vector<BlindCase> study(const std::string& bow_name, std::size_t count, BlindOptions options) {
  const nockwise::Setup bow = read_setup(NOCKWISE_SOURCE_DIR "/examples/setups/" + bow_name + ".toml");
  std::vector<BlindCase> cases(count);
  detail::for_each_index(count, 0, [&](std::size_t i) { cases[i] = blind_case(bow, i + 1, options); });
  const std::string kind = options.every         ? "everything a little off"
                           : options.faults == 1 ? "one hidden fault"
                                                 : "two hidden faults";
  std::cout << blind_table(bow_name + ", " + kind, cases) << '\n';
  print_failures(cases);
  return cases;
}

class BlindRecovery : public testing::TestWithParam<const char*> {};

TEST_P(BlindRecovery, OneFault) {
  const auto cases = study(GetParam(), cases_wanted(4), {.faults = 1});
  std::size_t repairable = 0;
  std::size_t repaired = 0;
  for (const BlindCase& each : cases) {
    repairable += each.repairable ? 1 : 0;
    repaired += each.repaired ? 1 : 0;
  }
  EXPECT_GE(static_cast<double>(repaired), 0.75 * static_cast<double>(repairable) - 1.0);
}

TEST_P(BlindRecovery, TwoFaults) {
  const auto cases = study(GetParam(), cases_wanted(2), {.faults = 2});
  EXPECT_FALSE(cases.empty());
}

INSTANTIATE_TEST_SUITE_P(Bows, BlindRecovery, testing::Values("larkspur", "alder"),
                         [](const auto& which) { return std::string(which.param); });

}  // namespace
}  // namespace nockwise
