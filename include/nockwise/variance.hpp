/// @file
/// Whose the spread is: the variance of the impacts shared out among the sources of scatter, each alone, two together,
/// and the rest.
///
/// Forgiveness (nockwise/group.hpp) shares by straight lines through each source alone. Here many shots are drawn with
/// everything at once, every one with an arrow of its own, and the impact is written as a sum of functions that have
/// nothing in common (Hoeffding, Sobol'): of one source alone, to the fourth power; of two, their product; and what is
/// left, which takes three at once, or a contact that comes and goes. Their variances add up to that of the impacts.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/group.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// What one source has of the variance of the impacts, both ways together. A share is an estimate without bias: one
/// that is nearly nothing may come out below zero, within its error.
struct SourceShare {
  std::string name;
  std::string title;
  double alone = 0.0;     ///< by itself, averaged over all others: its main effect [fraction]
  double straight = 0.0;  ///< of `alone`, what a straight line in it explains [fraction]
  double together = 0.0;  ///< in its products with others, each counted whole [fraction]
  double error = 0.0;     ///< standard error of `alone` [fraction]
};

/// What two sources have together that neither has alone: their interaction.
struct PairShare {
  std::string first;   ///< name of a source
  std::string second;  ///< name of the other
  double share = 0.0;  ///< [fraction]
  double error = 0.0;  ///< its standard error [fraction]
};

/// The variance of the impacts, shared out.
struct VarianceShares {
  std::string name;                  ///< of the setup
  std::string scatter;               ///< its name
  double distance = 0.0;             ///< [m]
  std::size_t shots = 0;             ///< drawn
  std::size_t failed = 0;            ///< of these: left out
  double deviation_up = 0.0;         ///< standard deviation of the impacts [m]
  double deviation_right = 0.0;      ///< [m]
  std::vector<SourceShare> sources;  ///< largest main effect first; gusts, where there are any, too
  std::vector<PairShare> pairs;      ///< those that stand out from their error, largest first
  double pairs_together = 0.0;       ///< of all pairs, also those that do not stand out [fraction]
  double rest = 0.0;                 ///< neither of one nor of two: three at once, contacts that come and go [fraction]
  double sum = 0.0;                  ///< of sources, pairs and rest: 1 but for its error
  double sum_error = 0.0;            ///< standard error of `sum`, that of a variance from so many shots
};

/// Options of variance_shares().
struct VarianceOptions {
  std::optional<double> distance{};         ///< of the target [m]; none: the setup's
  std::size_t shots = 3000;                 ///< 500 to 1,000,000, and three times the functions that are fitted
  std::uint64_t seed = 1;                   ///< as GroupOptions
  FlightConditions conditions{};            ///< as GroupOptions
  std::optional<int> threads{};             ///< as GroupOptions
  const std::atomic<bool>* stop = nullptr;  ///< as GroupOptions
};

/// Share out the variance of the impacts.
/// @throws as group()
[[nodiscard]] VarianceShares variance_shares(const Setup& setup, const Scatter& scatter,
                                             const VarianceOptions& options = {});

}  // namespace nockwise
