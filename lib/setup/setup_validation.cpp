// What must hold for a setup beyond the range of each parameter.

#include "base/quantity_text.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup.hpp"
#include "setup/parameter_table.hpp"

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

namespace nockwise {

namespace {

using detail::quantity_text;

[[noreturn]] void refuse(const Setup& setup, const std::string& path, const std::string& allowed) {
  const Parameter& wrong = parameter(path);
  throw InputError(path, quantity_text(wrong.get(setup), wrong.quantity, wrong.unit), allowed);
}

/// What a sweep looks at for every sample, side by side in memory.
struct Range {
  double minimum, maximum;
  bool whole;
  const Parameter* parameter;
};
std::vector<Range> ranges() {
  std::vector<Range> all;
  for (const Parameter& each : parameters()) {
    if (each.alias_of.empty()) {
      all.push_back({each.minimum, each.maximum, each.whole, &each});
    }
  }
  return all;
}

void check_ranges(const Setup& setup) {
  static const std::vector<Range> all = ranges();
  for (const Range& each : all) {
    const double value = each.parameter->get(setup);
    if (!(value >= each.minimum && value <= each.maximum) || each.whole) {
      each.parameter->check(value);
    }
  }
}

void check_let_out_tracks(const Setup& setup) {
  if (setup.cables.upper.end == CableEnd::let_out && !setup.cams.lower.let_out_track) {
    throw InputError("cams.lower.let_out_track", "", "must be given, because cables.upper.end is let_out");
  }
  if (setup.cables.lower.end == CableEnd::let_out && !setup.cams.upper.let_out_track) {
    throw InputError("cams.upper.let_out_track", "", "must be given, because cables.lower.end is let_out");
  }
}

void check_riser_and_limbs(const Setup& setup) {
  const Riser& riser = setup.riser;
  const bool flexing = riser.upper_end_compliance > 0.0 || riser.lower_end_compliance > 0.0;
  if (flexing && 2.0 * riser.end_inertia >= riser.pitch_inertia) {
    refuse(setup, "riser.end_inertia", "must be less than half of riser.pitch_inertia");
  }
  if (setup.limbs.lower.segments != setup.limbs.upper.segments) {
    refuse(setup, "limbs.lower.segments", "must equal limbs.upper.segments");
  }
}

/// A helix of strands: L² = L0² − (π d n)² must stay positive, and a line cannot be untwisted past straight strands,
/// where turning on would shorten it again.
void check_twists(const Setup& setup, const std::string& path, double length, double diameter, double lay,
                  double added) {
  const double turns = lay + added;
  if (turns < 0.0) {
    refuse(setup, path, "must not take out more than the " + format_quantity(lay, Quantity::twists) + " of its lay");
  }
  const double circumference = std::numbers::pi * diameter;
  if (length * length + circumference * circumference * (lay * lay - turns * turns) <= 0.0) {
    refuse(setup, path, "must leave the line some length");
  }
}

void check_cable(const Setup& setup, const Cable& cable, const std::string& path) {
  check_twists(setup, path + "twists", cable.length, cable.diameter, cable.lay_twists, cable.twists);
  if (cable.end != CableEnd::yoke) {
    return;
  }
  const Yoke& yoke = cable.yoke;
  const std::string yoke_path = path + "yoke.";
  check_twists(setup, yoke_path + "left_twists", yoke.leg_length, yoke.diameter, yoke.lay_twists, yoke.left_twists);
  check_twists(setup, yoke_path + "right_twists", yoke.leg_length, yoke.diameter, yoke.lay_twists, yoke.right_twists);
  if (yoke.half_width >= yoke.leg_length) {
    refuse(setup, yoke_path + "half_width", "must be less than " + yoke_path + "leg_length");
  }
  if (yoke.leg_length >= cable.length) {
    refuse(setup, yoke_path + "leg_length", "must be less than " + path + "length");
  }
}

void check_lines(const Setup& setup) {
  const BowString& string = setup.string;
  check_twists(setup, "string.twists", string.length, string.diameter, string.lay_twists, string.twists);
  if (std::abs(string.nocking_point) >= 0.5 * string.length) {
    refuse(setup, "string.nocking_point", "must lie between the ends of the string");
  }
  check_cable(setup, setup.cables.upper, "cables.upper.");
  check_cable(setup, setup.cables.lower, "cables.lower.");
}

void check_arrow(const Setup& setup) {
  const Fletching& vanes = setup.arrow.fletching;
  if (vanes.count == 0) {
    return;
  }
  if (vanes.distance < 0.5 * vanes.length || vanes.distance + 0.5 * vanes.length > setup.arrow.length) {
    refuse(setup, "arrow.fletching.distance",
           "must keep the vanes on the arrow, between half of arrow.fletching.length and arrow.length less that");
  }
}

void check_rest(const Setup& setup) {
  const RestArm& arm = setup.rest.arm;
  const bool upper = arm.cord_side == Side::upper;
  if (arm.up_angle <= arm.down_angle) {
    refuse(setup, "rest.arm.up_angle", "must be greater than rest.arm.down_angle");
  }
  const double limb_length = (upper ? setup.limbs.upper : setup.limbs.lower).effective_length;
  if (setup.rest.kind == RestKind::limb_driven && arm.cord_attachment > limb_length) {
    refuse(setup, "rest.arm.cord_attachment", "must not be greater than the limb's effective_length");
  }
  const double cable_length = (upper ? setup.cables.upper : setup.cables.lower).length;
  if (setup.rest.kind == RestKind::cable_driven && arm.cord_attachment > cable_length) {
    refuse(setup, "rest.arm.cord_attachment", "must not be greater than the cable's length");
  }
}

}  // namespace

void validate(const Setup& setup) {
  check_ranges(setup);
  check_riser_and_limbs(setup);
  check_let_out_tracks(setup);
  check_lines(setup);
  check_arrow(setup);
  check_rest(setup);
  detail::check_known(setup);
}

}  // namespace nockwise
