// What may be seen after something is done, and what it would mean, for people. Private.
#pragma once

#include "explain/outcomes.hpp"

namespace nockwise::detail {

/// Writes outcomes for one explanation.
class OutcomeTeller {
 public:
  explicit OutcomeTeller(const Explanation& e) : e_(e) {}

  /// Expectation and outcomes of a hole. \param unchanged what it means if it stays as it is although it should not
  void hole(const Outlook& outlook, const std::string& unchanged, NextStep& next) const;
  void measurement(const Outlook& outlook, const NextCheck& what, NextStep& next) const;

 private:
  /// Of readings between two ends; of one place where both are the same.
  using Words = std::function<std::string(const std::vector<double>& low, const std::vector<double>& high)>;
  /// Box of readings.
  struct Span {
    std::vector<double> low, high;
    [[nodiscard]] bool holds(std::span<const double> place) const;
    void take(const std::vector<double>& place);
  };
  Span groups(const Outlook& outlook, const std::vector<double>& apart, const Words& words, NextStep& next) const;
  [[nodiscard]] bool tells(const Outlook& outlook, std::span<const double> seen) const;
  [[nodiscard]] std::string check_title(const std::string& what) const;
  [[nodiscard]] std::string then_words(const Outlook& outlook, std::span<const double> seen) const;
  [[nodiscard]] std::string cause_words(const std::vector<std::string>& off) const;

  const Explanation& e_;
};

}  // namespace nockwise::detail
