// What of a string moves with the nock, for tests. Private to them.
#pragma once

#include "nockwise/setup.hpp"
#include "statics/brace.hpp"
#include "statics/model_access.hpp"

namespace nockwise {

/// Share of the string that is free at brace.
inline double free_share(const Setup& setup) {
  const Model model(setup);
  return detail::with_constants(detail::data_of(model), [&](const auto& c) {
    const auto free = detail::free_at_brace(detail::data_of(model), c);
    const double whole = setup.string.axial_rigidity * (1.0 / c.string[0].stiffness + 1.0 / c.string[1].stiffness);
    return (free[0] + free[1]) / whole;
  });
}

/// The bow whose string puts as much mass at the nock as if all of `mass` [kg] were free: what oracles that know a lump
/// only are told.
inline Setup with_free_string(Setup setup, double mass) {
  setup.string.mass = mass / free_share(setup);
  return setup;
}

}  // namespace nockwise
