// The bows and samples that the benchmarks shoot.
#pragma once

#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "source_folder.hpp"

#include <algorithm>
#include <cstdlib>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace nockwise::bench {

inline Setup demo_bow(const std::string& name) {
  return read_setup(nockwise::source_folder("examples/setups/" + std::string(name) + ".toml"));
}

/// A demo bow as it comes, or with a fault that a workshop would see.
struct Case {
  std::string bow, fault;
  std::vector<std::pair<std::string, std::string>> changes;  // paths and quantities

  [[nodiscard]] std::string name() const { return fault.empty() ? bow : bow + ", " + fault; }
  [[nodiscard]] Setup setup() const {
    Setup setup = demo_bow(bow);
    for (const auto& [path, text] : changes) {
      setup.set(path, text);
    }
    return setup;
  }
};

inline std::vector<Case> all_cases() {
  const std::vector<Case> faults = {
      {"", "", {}},
      {"", "late cam", {{"cables.upper.twists", "0.5 twist"}}},
      {"", "weak spine", {{"arrow.spine", "600 spine"}}},
      {"", "stiff spine", {{"arrow.spine", "250 spine"}}},
      {"", "bare shaft", {{"arrow.fletching.count", "0"}}},
      {"", "high nock", {{"string.nocking_point", "0.125 in"}}},
      {"", "centre shot out", {{"rest.center_shot", "0.125 in"}}},
      {"", "grip torque", {{"hold.grip_torque", "1 N·m"}}},
      {"", "fixed blade", {{"rest.kind", "blade"}}},
      {"", "full capture", {{"rest.kind", "capture"}}},
  };
  std::vector<Case> cases;
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    for (Case each : faults) {
      each.bow = bow;
      cases.push_back(std::move(each));
    }
  }
  return cases;
}

/// `count` of each demo bow, every second parameter moved by up to 1 % of its value, by 4 % for those of the arrow; by
/// number, the same in every run.
inline std::vector<Case> disturbed_bows(int count) {
  std::vector<Case> cases;
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    const Setup setup = demo_bow(bow);
    for (int number = 1; number <= count; ++number) {
      std::mt19937_64 random(static_cast<unsigned>(number));
      std::uniform_real_distribution<double> between(-1.0, 1.0);
      Case each{bow, "disturbed " + std::to_string(number), {}};
      for (const Parameter& parameter : parameters()) {
        const bool counts = parameter.whole || !parameter.alias_of.empty();
        // A line's anchor belongs to the track: the demo bows' take-up tracks end there.
        if (counts || parameter.path.find("anchor_angle") != std::string::npos || random() % 2 == 0) {
          continue;
        }
        const double share = parameter.path.rfind("arrow.", 0) == 0 ? 0.04 : 0.01;
        const double value = parameter.get(setup) * (1.0 + share * between(random));
        each.changes.emplace_back(parameter.path, format_quantity(value, parameter.quantity));
      }
      cases.push_back(std::move(each));
    }
  }
  return cases;
}

/// As many samples as are wanted, or a pack of them where NOCKWISE_BENCH_SMOKE is set: it runs, nothing is measured.
inline std::size_t sample_count(std::size_t wanted) {
  constexpr std::size_t few = 8;
  return std::getenv("NOCKWISE_BENCH_SMOKE") != nullptr ? std::min(few, wanted) : wanted;
}

/// Samples that share their bow's full draw: arrow and rest change.
inline Setup shared_draw_sample(const Setup& bow, std::size_t index) {
  const auto share = [index](std::size_t steps) {
    return static_cast<double>(index % steps) / static_cast<double>(steps) - 0.5;
  };
  Setup setup = bow;
  setup.arrow.point_mass *= 1.0 + 0.4 * share(61);
  setup.arrow.length *= 1.0 + 0.03 * share(53);
  setup.arrow.bending_stiffness *= 1.0 + 0.3 * share(47);
  setup.rest.height += 2e-3 * share(43);
  setup.rest.center_shot += 3e-3 * share(41);
  return setup;
}

/// Samples that are each a new bow, with its own brace and draw.
inline Setup new_bow_sample(const Setup& bow, std::size_t index) {
  const auto share = [index](std::size_t steps) {
    return static_cast<double>(index % steps) / static_cast<double>(steps) - 0.5;
  };
  Setup setup = shared_draw_sample(bow, index);
  setup.cables.upper.twists += 1.0 * share(37);
  setup.cables.lower.twists += 1.0 * share(31);
  setup.string.twists += 4.0 * share(29);
  setup.cams.upper.mass *= 1.0 + 0.1 * share(23);
  setup.limbs.upper.torsion_stiffness *= 1.0 + 0.04 * share(19);
  setup.limbs.lower.torsion_stiffness *= 1.0 + 0.04 * share(17);
  return setup;
}

}  // namespace nockwise::bench
