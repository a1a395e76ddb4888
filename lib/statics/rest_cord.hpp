// The cord of a drop-away rest along the draw (lib/README.md, "Rest"). Private.
#pragma once

#include "compile/model_data.hpp"
#include "kernel/rest.hpp"
#include "nockwise/caution.hpp"
#include "nockwise/units.hpp"

#include <string>

namespace nockwise::detail {

/// Above it a cord carries a load that neither it nor the rest was made for [N]; an ordinary one pulls 10 to 40 N.
inline constexpr double most_cord_force = 100.0;

inline Caution cord_caution(double force, const char* where) {
  return {CautionKind::rest_cord,
          "The rest's cord pulls with " + display(force, Quantity::force, "N", 0) + " (" +
              display(force, Quantity::force, "lbf", 0) + ") " + where +
              ": it carries a load that is the limb's or the cable's. It can break, bend the rest, or pull the cable "
              "aside. Let the cord out until the arm is only just fully up, and keep to the maker's manual."};
}

/// State of the cord with the arm at `arm`, bow and arm at rest.
template <int Links>
kernel::RestState<double> cord_at(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                                  const kernel::HalfMotion<double, Links> (&m)[2],
                                  const kernel::LineLoads<double, Links>& lines, double arm) {
  const Coordinates still{};
  const auto riser = kernel::riser_motion<double, Links>(still.data(), still.data());
  const auto side = kernel::in_side_frame(riser, topology.cord_half);
  kernel::LineLoads<double, Links> ignored = lines;
  kernel::RestState<double> rest;
  if (topology.rest == RestKind::limb_driven) {
    kernel::add_limb_cord(c.rest, topology, side, m, c.half, {arm, 0.0}, ignored, rest);
  } else {
    kernel::add_cable_cord(c.rest, topology, side, m, {arm, 0.0}, ignored, rest);
  }
  return rest;
}

/// How far the cord is stretched with the arm on its upper stop [m]; negative: slack.
template <int Links>
double cord_stretch(const kernel::Constants<double, Links>& c, const kernel::Topology& topology,
                    const kernel::HalfMotion<double, Links> (&m)[2], const kernel::LineLoads<double, Links>& lines) {
  // The stretch is straight in the arm's angle: an arm that winds up much more cord keeps it taut.
  constexpr double much = 100.0;  // [rad]
  const double wind = topology.rest == RestKind::limb_driven ? 1.0 : -1.0;
  const double taut = cord_at(c, topology, m, lines, c.rest.up_angle + wind * much).cord_tension;
  return taut / c.rest.cord_stiffness - c.rest.cord_lever * much;
}

}  // namespace nockwise::detail
