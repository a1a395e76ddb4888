// What plausible bows would show after something is done, by explanation, and what it would tell. Private.
#pragma once

#include "causes/plausible_bow.hpp"

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// One number that will be read.
struct Sight {
  double mean = 0.0;
  double deviation = 0.0;  // of the truth, in this bow
};

/// What is done before it is looked at: how each plausible bow is shot, and what is read of it.
struct Trial {
  std::function<Setup(const Setup&)> done;  // the bow after it
  std::optional<double> distance{};         // of the paper, for a tear [m]
  std::vector<std::string> whats{};         // checks that are read; empty: a tear's two parts are
  std::vector<double> errors{};             // of each reading: standard deviation
};

/// Every plausible bow's readings, a row each; a bow that cannot be shot has none and no weight.
class Outlook {
 public:
  Outlook(std::span<const PlausibleBow> bows, const Trial& trial, const Execution& execution);

  [[nodiscard]] std::size_t readings() const { return errors_.size(); }
  /// Of one bow, as it truly is on average; empty where it cannot be shot.
  [[nodiscard]] std::vector<double> of_bow(std::size_t bow) const;
  [[nodiscard]] double mean(std::size_t reading) const;
  /// Value that is read lower with this probability.
  [[nodiscard]] double quantile(std::size_t reading, double probability) const;
  /// Probability that every reading is within these of these places.
  [[nodiscard]] double within(std::span<const double> middle, std::span<const double> reach) const;

  /// Bows with the same things off.
  struct Group {
    std::vector<std::string> off;
    double weight = 0.0;                  // of all groups: 1
    std::vector<double> mean, deviation;  // of each reading, as read
  };
  /// Likeliest first.
  [[nodiscard]] const std::vector<Group>& groups() const { return groups_; }
  /// Probability of each group after these readings.
  [[nodiscard]] std::vector<double> after(std::span<const double> seen) const;

 private:
  struct Row {
    std::size_t bow = 0;
    double weight = 0.0;
    std::vector<Sight> sights;
  };
  std::vector<double> errors_;
  std::vector<Row> rows_;
  std::vector<Group> groups_;
};

}  // namespace nockwise::detail
