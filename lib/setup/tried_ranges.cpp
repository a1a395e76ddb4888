#include "setup/tried_ranges.hpp"

#include "nockwise/parameters.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace nockwise::detail {

namespace {

struct TriedRange {
  const Parameter* parameter;
  double low, high;
};

/// What says where something is or how far a limb bolt is turned, not how quickly anything moves.
bool says_only_where(const Parameter& parameter) {
  const Quantity q = parameter.quantity;
  return !parameter.alias_of.empty() || q == Quantity::angle || q == Quantity::turns ||
         parameter.path.starts_with("surroundings.");
}

TriedRange tried_range(const Parameter& parameter) {
  constexpr double factor = 8.0;  // the demo bows are within five; what is not known of them wants room
  constexpr double infinite = std::numeric_limits<double>::infinity();
  const double usual = parameter.default_value();
  if (parameter.minimum < 0.0) {
    const double half_range = 0.5 * (parameter.maximum - parameter.minimum);
    const double far = parameter.tried > 0.0 ? parameter.tried : std::abs(usual) + 0.25 * half_range;
    return {&parameter, -far, far};  // alike for either hand
  }
  if (usual == 0.0) {
    return {&parameter, -infinite, 0.1 * parameter.maximum};
  }
  // Softer springs are slower, but for the shaft's, which then rings on.
  const bool may_be_soft = parameter.minimum == 0.0 || parameter.quantity == Quantity::stiffness ||
                           parameter.quantity == Quantity::torsion_stiffness;
  return {&parameter, may_be_soft ? -infinite : usual / factor, usual * factor};
}

std::vector<TriedRange> tried_ranges() {
  std::vector<TriedRange> ranges;
  for (const Parameter& parameter : parameters()) {
    if (!says_only_where(parameter)) {
      ranges.push_back(tried_range(parameter));
    }
  }
  return ranges;
}

}  // namespace

bool within_tried_ranges(const Setup& setup) {
  static const std::vector<TriedRange> ranges = tried_ranges();
  const auto is_far = [&setup](const TriedRange& range) {
    const double value = range.parameter->get(setup);
    return !(value >= range.low && value <= range.high) && (!range.parameter->used || range.parameter->used(setup));
  };
  const auto is_untried = [&setup](const ChoiceParameter& choice) {
    return !choice.untried.empty() &&
           std::find(choice.untried.begin(), choice.untried.end(), choice.get(setup)) != choice.untried.end();
  };
  return std::none_of(ranges.begin(), ranges.end(), is_far) &&
         std::none_of(choice_parameters().begin(), choice_parameters().end(), is_untried);
}

}  // namespace nockwise::detail
