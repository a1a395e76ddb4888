// How the table of adjustments is put together. Private.
#pragma once

#include "nockwise/adjustment.hpp"

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nockwise::detail {

/// Whether this amount is written as nothing: "0.00 in".
inline bool written_as_nothing(std::string_view amount) {
  return amount.starts_with('0') && amount.find_first_of("123456789") == std::string_view::npos;
}

inline constexpr double sixteenth = 0.0254 / 16.0;  // [m]

/// Words for both directions: instruction and finding.
struct AdjustmentWords {
  std::string positive, negative, cause_positive, cause_negative;
};

/// Adds one adjustment at a time; the setters return the entry that was added last.
class AdjustmentList {
 public:
  Adjustment& add(std::string name, std::string title, AdjustmentGroup group, TradeUnit unit, double amount,
                  std::vector<ParameterStep> parameters, AdjustmentWords words) {
    Adjustment a;
    a.name = std::move(name);
    a.title = std::move(title);
    a.group = group;
    a.unit = unit;
    a.amount_per_step = amount;
    a.parameters = std::move(parameters);
    a.positive = std::move(words.positive);
    a.negative = std::move(words.negative);
    a.cause_positive = std::move(words.cause_positive);
    a.cause_negative = std::move(words.cause_negative);
    return list_.emplace_back(std::move(a));
  }
  [[nodiscard]] std::vector<Adjustment> take() { return std::move(list_); }

 private:
  std::vector<Adjustment> list_;
};

/// What the step costs, and how far it may go either way.
inline void set_cost_and_limits(Adjustment& a, double effort, double limit_steps, std::vector<std::string> side_effects,
                                const char* limit) {
  a.effort = effort;
  a.least_steps = -limit_steps;
  a.most_steps = limit_steps;
  a.side_effects = std::move(side_effects);
  a.limit = limit;
}

/// How far it is usually off, unnoticed, and why so far.
inline void suspect(Adjustment& a, double prior, const char* reason) {
  a.prior = prior;
  a.prior_reason = reason;
}

/// Not suspected, but where nothing ordinary explains all.
inline void suspect_at_last(Adjustment& a, double prior, const char* reason) {
  a.rare_prior = prior;
  a.prior_reason = reason;
}

/// One source file each, in the order of the table.
void add_line_adjustments(const Setup& setup, AdjustmentList& list);   // cables, stops, limb bolts
void add_arrow_adjustments(const Setup& setup, AdjustmentList& list);  // rest, nocking point, yokes, shims, arrow, hand

}  // namespace nockwise::detail
