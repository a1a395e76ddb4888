// Any setup that `validate` accepts, shot: finite numbers and a named end, or a SolverError that says where and why.
//
// NOCKWISE_RANDOM_SETUPS=100000 for the long run; NOCKWISE_RANDOM_TABLE=FILE writes its table as Markdown
// (tests/reference/random_setups.md).
#include "demo_bows.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "shot_check.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <map>
#include <random>
#include <regex>
#include <sstream>
#include <thread>

namespace nockwise {
namespace {

/// How far parameters are moved, as a share of their values.
struct Width {
  const char* name;
  double share;
};
constexpr Width widths[] = {{"1 %", 0.01}, {"5 %", 0.05}, {"20 %", 0.2}, {"60 %", 0.6}};
constexpr std::size_t width_count = std::size(widths);

/// A demo bow in which every second parameter is moved by up to `share` of its value (of a hundredth of its range where
/// it is zero), and now and then a choice is another one.
Setup disturbed(const Setup& bow, double share, std::mt19937_64& random) {
  Setup setup = bow;
  std::uniform_real_distribution<double> between(-1.0, 1.0);
  for (const Parameter& parameter : parameters()) {
    // A line's anchor belongs to the track: the demo bows' take-up tracks end there.
    const bool anchor = parameter.path.find("anchor_angle") != std::string::npos;
    if (!parameter.alias_of.empty() || anchor || random() % 2 == 0) {
      continue;
    }
    const double old = parameter.get(setup);
    const double size = old != 0.0 ? std::fabs(old) : 0.01 * (parameter.maximum - parameter.minimum);
    const double value = old + share * size * between(random);
    const double whole = parameter.whole ? std::round(value) : value;
    parameter.set(setup, std::clamp(whole, parameter.minimum, parameter.maximum));
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    if (std::fabs(between(random)) < 0.1 * share) {
      choice.set(setup, choice.choices[random() % choice.choices.size()]);
    }
  }
  return setup;
}

/// Numbers out of a message, so that like ones can be counted together.
std::string kind_of(const std::string& message) {
  static const std::regex digits("-?[0-9]+(\\.[0-9]+)?(e[-+]?[0-9]+)?");
  return std::regex_replace(message, digits, "…");
}

struct Outcome {
  std::string reason;
  std::string fault;  // what must not be
  double seconds = 0.0;
  double gain = 0.0;            // of energy until the nock left, share of the stored energy
  std::size_t drawn_again = 0;  // setups before it that were refused as input
};

Outcome shot_of(const Setup& setup) {
  const auto start = std::chrono::steady_clock::now();
  Outcome outcome;
  try {
    const Model model(setup);
    const Launch shot = launch(model);
    outcome.reason = name_of(shot.ended_by);
    outcome.fault = testing::not_finite(shot);
    if (shot.ended_by == LaunchEnd::arrow_clear && outcome.fault.empty()) {
      outcome.fault = testing::not_finite(paper_tear(model, shot));
      outcome.gain = -shot.dissipated / shot.stored_energy;
      if (!(shot.exit_speed > 0.0 && outcome.gain <= 1e-3)) {
        outcome.fault = "an arrow that flies backwards, or energy out of nothing";
      }
    } else if (outcome.reason == "unknown") {
      outcome.fault = "a launch that ends without a named reason";
    }
  } catch (const SolverError& error) {
    outcome.reason = "refused, " + kind_of(error.where()) + ": " + kind_of(error.why());
  }
  outcome.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return outcome;
}

/// The setup of this number, the same in every order, shot; drawn again until it is valid, that is not refused as
/// input.
Outcome shot_of(const std::vector<Setup>& bows, std::size_t number) {
  std::mt19937_64 random(number);
  for (std::size_t again = 0;; ++again) {
    try {
      Outcome outcome =
          shot_of(disturbed(bows[number % bows.size()], widths[(number / bows.size()) % width_count].share, random));
      outcome.drawn_again = again;
      return outcome;
    } catch (const InputError& error) {
      if (error.path().empty() || error.allowed().empty()) {
        return {"", std::string("an unclear refusal: ") + error.what()};
      }
    }
  }
}

using Rates = std::map<std::string, std::array<std::size_t, width_count>>;

std::string table_of(const Rates& rates, const std::array<std::size_t, width_count>& shots) {
  std::vector<std::pair<std::size_t, std::string>> order;
  for (const auto& [reason, counts] : rates) {
    std::size_t sum = 0;
    for (const std::size_t count : counts) {
      sum += count;
    }
    order.emplace_back(sum, reason);
  }
  std::sort(order.rbegin(), order.rend());
  std::ostringstream text;
  text << "| end |";
  for (std::size_t w = 0; w < width_count; ++w) {
    text << " ± " << widths[w].name << " |";
  }
  text << "\n|---|---|---|---|---|\n| *setups* |";
  for (const std::size_t count : shots) {
    text << ' ' << count << " |";
  }
  for (const auto& [sum, reason] : order) {
    text << "\n| " << reason << " |";
    for (std::size_t w = 0; w < width_count; ++w) {
      std::array<char, 32> share{};
      const double value = 100.0 * static_cast<double>(rates.at(reason)[w]) / static_cast<double>(shots[w]);
      std::snprintf(share.data(), share.size(), " %.3f %% |", value);
      text << (rates.at(reason)[w] == 0 ? " |" : share.data());
    }
  }
  text << '\n';
  return text.str();
}

TEST(RandomSetups, EveryLaunchEndsWithANamedReason) {
  const char* wish = std::getenv("NOCKWISE_RANDOM_SETUPS");
  const std::size_t count = wish != nullptr ? std::strtoul(wish, nullptr, 10) : 600;
  std::vector<nockwise::Setup> bows;
  for (const char* name : testing::demo_bow_names) {
    bows.push_back(testing::demo_bow(name));
  }
  std::vector<Outcome> outcomes(count);
  std::atomic<std::size_t> next{0};
  {
    std::vector<std::jthread> crew;
    for (unsigned t = 0; t < std::max(1U, std::thread::hardware_concurrency()); ++t) {
      crew.emplace_back([&] {
        for (std::size_t i = next++; i < count; i = next++) {
          outcomes[i] = shot_of(bows, i);
        }
      });
    }
  }
  Rates rates;
  std::array<std::size_t, width_count> shots{};
  double slowest = 0.0;
  double largest_gain = -1.0;
  std::size_t again = 0;
  for (std::size_t i = 0; i < count; ++i) {
    EXPECT_EQ(outcomes[i].fault, "") << "setup " << i << ", " << outcomes[i].reason;
    const std::size_t width = (i / bows.size()) % width_count;
    ++shots[width];
    ++rates[outcomes[i].reason][width];
    slowest = std::max(slowest, outcomes[i].seconds);
    largest_gain = std::max(largest_gain, outcomes[i].gain);
    again += outcomes[i].drawn_again;
  }
  std::ostringstream table;
  table << table_of(rates, shots) << "\nRefused as input and drawn again: " << again << ". Slowest: " << slowest
        << " s. Largest gain of energy: " << largest_gain << " of the stored energy.\n";
  std::printf("%s", table.str().c_str());
  if (const char* file = std::getenv("NOCKWISE_RANDOM_TABLE")) {
    std::ofstream(file) << table.str();
  }
  // Bows that are a little off shoot.
  EXPECT_GE(rates["arrow_clear"][0], shots[0] - shots[0] / 50);
#ifndef __SANITIZE_THREAD__  // which slows everything tenfold
  EXPECT_LT(slowest, 20.0) << "seconds, of one launch";
#endif
}

}  // namespace
}  // namespace nockwise
