/// @file
/// Whether every number of a result is finite: what must hold for whatever the library did not refuse.
#pragma once

#include "nockwise/draw.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/paper.hpp"

#include <cmath>
#include <initializer_list>
#include <string>
#include <utility>

namespace nockwise::testing {

/// Collects the name of the first number that is not finite.
class FiniteCheck {
 public:
  void operator()(const char* name, double value) {
    if (first_.empty() && !std::isfinite(value)) {
      first_ = name;
    }
  }
  void operator()(const char* name, const std::vector<double>& values) {
    for (const double value : values) {
      (*this)(name, value);
    }
  }
  void operator()(std::initializer_list<std::pair<const char*, double>> values) {
    for (const auto& [name, value] : values) {
      (*this)(name, value);
    }
  }
  [[nodiscard]] const std::string& first() const { return first_; }

 private:
  std::string first_;
};

/// Name of the first number of the draw that is not finite, or nothing.
inline std::string not_finite(const DrawCycle& cycle) {
  FiniteCheck check;
  for (const DrawPoint& p : cycle.points) {
    check({{"draw.nock_x", p.nock_x}, {"draw.nock_y", p.nock_y}, {"draw.force", p.draw_force}});
    check({{"draw.force_x", p.force_x}, {"draw.force_y", p.force_y}, {"draw.energy", p.stored_energy}});
    for (int h = 0; h < 2; ++h) {
      check({{"draw.limb", p.limb_angle[h]}, {"draw.cam", p.cam_angle[h]}, {"draw.gap", p.stop_gap[h].value_or(0.0)}});
      check({{"draw.string", p.string_tension[h]}, {"draw.cable", p.cable_tension[h]}});
    }
  }
  check({{"peak", cycle.peak_force}, {"holding", cycle.holding_force}, {"let_off", cycle.let_off}});
  check({{"energy", cycle.stored_energy},
         {"draw_length", cycle.draw_length},
         {"gap", cycle.late_stop_gap.value_or(0.0)}});
  check({{"nock_travel", cycle.static_nock_travel}, {"axle_to_axle", cycle.full_axle_to_axle}});
  return check.first();
}

/// Name of the first number of the launch that is not finite, or nothing.
inline std::string not_finite(const Launch& shot) {
  FiniteCheck check;
  for (const Event& event : shot.events) {
    check("event", event.time);
  }
  check({{"exit_time", shot.exit_time}, {"exit_speed", shot.exit_speed}, {"efficiency", shot.efficiency}});
  check({{"stored_energy", shot.stored_energy}, {"full_draw_force", shot.full_draw_force}});
  check({{"peak_acceleration", shot.peak_acceleration}, {"dissipated", shot.dissipated}});
  check({{"nock_travel_y", shot.nock_travel_y}, {"nock_travel_z", shot.nock_travel_z}});
  check({{"energy_start", shot.energy_start.total()}, {"energy_exit", shot.energy_exit.total()}});
  check({{"lean_upper", shot.lean_full_draw[0]}, {"lean_lower", shot.lean_full_draw[1]}});
  for (const ArrowState* arrow : {&shot.exit, &shot.free}) {
    check({{"arrow.time", arrow->time}, {"arrow.nock_x", arrow->nock_x}, {"arrow.speed", arrow->speed}});
    check({{"arrow.velocity_y", arrow->velocity_y}, {"arrow.velocity_z", arrow->velocity_z}});
    check({{"arrow.nock_velocity_y", arrow->nock_velocity_y}, {"arrow.nock_velocity_z", arrow->nock_velocity_z}});
    check({{"arrow.pitch", arrow->pitch}, {"arrow.yaw", arrow->yaw}});
    check({{"arrow.pitch_rate", arrow->pitch_rate}, {"arrow.yaw_rate", arrow->yaw_rate}});
    check("arrow.y", arrow->y);
    check("arrow.z", arrow->z);
    check("arrow.velocity_y_nodes", arrow->velocity_y_nodes);
    check("arrow.velocity_z_nodes", arrow->velocity_z_nodes);
  }
  const RestReport& rest = shot.rest;
  check("rest.force", rest.largest_force);
  for (const auto& [name, value] :
       {std::pair{"rest.drop_start", rest.drop_start}, std::pair{"rest.drop_end", rest.drop_end},
        std::pair{"rest.last_contact", rest.last_contact}, std::pair{"rest.shaft", rest.shaft_clearance},
        std::pair{"rest.fletching", rest.fletching_clearance}, std::pair{"cable", shot.cable_clearance}}) {
    check(name, value.value_or(0.0));
  }
  return check.first();
}

/// Name of the first number of the tear that is not finite, or nothing.
inline std::string not_finite(const PaperTear& tear) {
  FiniteCheck check;
  check({{"tear.up", tear.up}, {"tear.right", tear.right}, {"tear.point_y", tear.point_y}});
  check({{"tear.point_z", tear.point_z}, {"tear.time", tear.tail_time}, {"tear.speed", tear.speed}});
  check("tear.section_up", tear.section_up);
  check("tear.section_right", tear.section_right);
  return check.first();
}

/// The same for the impact on the target.
inline std::string not_finite(const Impact& impact) {
  FiniteCheck check;
  check({{"impact.time", impact.time}, {"impact.y", impact.y}, {"impact.z", impact.z}, {"impact.speed", impact.speed}});
  return check.first();
}

}  // namespace nockwise::testing
