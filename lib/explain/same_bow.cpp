#include "explain/same_bow.hpp"

#include "nockwise/model.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace nockwise::detail {

namespace {

constexpr std::array<std::string_view, 2> lengths{"axle_to_axle", "brace_height"};

bool is_length(std::string_view name) { return std::find(lengths.begin(), lengths.end(), name) != lengths.end(); }

}  // namespace

std::optional<NextCheck> same_bow_check(const Case& observed) {
  const bool measured = std::any_of(observed.checks.begin(), observed.checks.end(),
                                    [](const CheckObservation& check) { return is_length(check.what); });
  const bool told = std::any_of(observed.setup.known.begin(), observed.setup.known.end(),
                                [](const KnownValue& known) { return is_length(known.path); });
  if (measured || told || !observed.work.empty()) {
    return {};
  }
  constexpr double inch = 0.0254;
  const BraceState brace = Model(observed.setup).brace();
  const auto inches = [](double length) { return display(length, Quantity::length, "in", 2); };
  NextCheck check;
  check.name = "same_bow";
  check.instruction =
      "With the bow at rest, measure from axle to axle, and the brace height from the grip's throat to the string: the "
      "setup has " +
      inches(brace.axle_to_axle) + " and " + inches(brace.brace_height) + ".";
  check.effort = 2.0;  // [min]
  check.checks = {{lengths[0].data(), 0.0, inch / 8.0}, {lengths[1].data(), 0.0, inch / 16.0}};
  return check;
}

}  // namespace nockwise::detail
