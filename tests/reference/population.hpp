/// @file
/// A population of plausible bows, drawn widely, and what rules of the trade say of each: how many obey.
#pragma once

#include "nockwise/outputs.hpp"
#include "nockwise/setup.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace nockwise {

/// One of them: built from drawn measurements, with drawn masses, hand, arrow and rest, symmetric and in time.
struct PopulationBow {
  std::uint64_t seed = 0;
  Setup setup;
  std::string layout;  ///< "yokes" or "slaved"
  std::string rest;    ///< "blade", "capture", "limb_driven", "cable_driven"
};

/// The bow of this seed; none where what was drawn is no bow that shoots a reportable hole of 1 in at most.
[[nodiscard]] std::optional<PopulationBow> population_bow(std::uint64_t seed);

/// As many as are asked for, from the first seeds that give one, drawn on this many threads.
[[nodiscard]] std::vector<PopulationBow> population(std::size_t bows, int threads);

/// A rule: what a change does to one part of the hole.
struct TradeRule {
  std::string name;
  std::string change;  ///< in words
  std::string says;    ///< what the trade says of it, with its size
  Output part = Output::tear_up;
  double sign = 1.0;                     ///< the way the trade sees it go
  double least = 0.0, most = 0.0;        ///< the trade's size [in]
  bool per_eighth_of_gap = false;        ///< the answer is for 1/8 in of stop gap
  std::string only_rest{};               ///< of bows with this rest; empty: of all
  std::string only_layout{};             ///< likewise
  std::function<void(Setup&)> before{};  ///< how the bow stands that is changed; none: as it is
  std::function<void(Setup&)> moved;     ///< from there
};

[[nodiscard]] const std::vector<TradeRule>& trade_rules();

/// Answers of the bows that the rule is about [in], in the order of `bows`; none for others, and where a shot failed.
[[nodiscard]] std::vector<std::optional<double>> answers(const TradeRule& rule, const std::vector<PopulationBow>& bows,
                                                         int threads);

/// How many of these answers obey.
struct Obedience {
  std::size_t bows = 0;
  double sign = 0.0;                           ///< share that goes the rule's way by a hundredth of an inch and more
  double against = 0.0;                        ///< share that goes the other way by as much
  double size = 0.0;                           ///< share that goes its way in the trade's size
  double low = 0.0, median = 0.0, high = 0.0;  ///< tenth, half and nine tenths of the answers along the rule [in]
};
[[nodiscard]] Obedience obedience(const TradeRule& rule, const std::vector<std::optional<double>>& answers);

/// The whole study as a Markdown table: per group of bows, the shares that go the rule's way and the other [%].
[[nodiscard]] std::string population_table(const std::vector<PopulationBow>& bows, int threads);

/// Bows and their answers [in], one row each, for whoever looks for what decides.
[[nodiscard]] std::string population_csv(const std::vector<PopulationBow>& bows, int threads);

}  // namespace nockwise
