// The best setting in whole steps of a few things that are free. Private.
#pragma once

#include <cmath>
#include <cstddef>
#include <functional>
#include <limits>
#include <map>
#include <utility>
#include <vector>

namespace nockwise::detail {

using Steps = std::vector<int>;

/// What a setting is worth; infinite where it cannot be shot or must not be taken.
struct Worth {
  double tear = std::numeric_limits<double>::infinity();    // size of the hole [m]
  double spread = std::numeric_limits<double>::infinity();  // what is to be small
  [[nodiscard]] bool taken() const { return std::isfinite(spread); }
};

/// How far one thing may go, in steps from the setup as given.
struct StepRange {
  double least = 0.0, most = 0.0;
};

/// One that nothing else on the way has both a smaller hole and a smaller spread than; smallest hole first.
struct TriedSteps {
  Steps steps;
  Worth worth;
};

class SettingSearch {
 public:
  /// `within`: largest hole allowed [m].
  SettingSearch(std::vector<StepRange> ranges, double within, std::function<Worth(const Steps&)> look)
      : ranges_(std::move(ranges)), within_(within), look_(std::move(look)) {}

  [[nodiscard]] std::size_t tried() const { return tried_.size(); }
  [[nodiscard]] std::vector<TriedSteps> frontier() const;
  const Worth& worth(const Steps& steps);

  /// Smallest hole, from the setup as given.
  [[nodiscard]] Steps cleanest();
  /// Smallest spread whose hole is within the limit, from the setup as given and from the smallest hole; empty where
  /// none that was looked at is.
  [[nodiscard]] Steps smallest_spread(const Steps& cleanest);

 private:
  static constexpr std::size_t most_tried = 4000;

  [[nodiscard]] bool allowed(const Steps& steps) const;
  /// One thing by two steps, by one, then two things by one each, until none is better.
  [[nodiscard]] Steps best(const Steps& from, const std::function<double(const Worth&)>& merit);

  std::vector<StepRange> ranges_;
  double within_;
  std::function<Worth(const Steps&)> look_;
  std::map<Steps, Worth> tried_;
};

}  // namespace nockwise::detail
