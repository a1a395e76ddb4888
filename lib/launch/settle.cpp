#include "launch/settle.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr int most_quarters = 4;
constexpr int most_unsure = 3;
constexpr double shortest_step = 1e-7;  // [s], as of what can be asked for
constexpr double agreed = 2e-5;         // [m]: what is left is less, since errors fall with the step's fourth power

}  // namespace

double hole_difference(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology,
                       const LeavingArrow& a, const LeavingArrow& b) {
  const int modes = topology.modes;
  const double* nock = arrow.shapes.rows;
  const double* point = nock + (topology.nodes - 1) * modes;
  double moved[2] = {0.0, 0.0};
  for (int plane = 0; plane < 2; ++plane) {
    for (int k = 0; k < modes; ++k) {
      moved[plane] += std::fabs((nock[k] - point[k]) * (a.place[plane][k] - b.place[plane][k])) +
                      arrow.hole_rate[k] * std::fabs(a.rate[plane][k] - b.rate[plane][k]);
    }
  }
  return std::hypot(moved[0], moved[1]);
}

bool is_smooth(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology,
               const FlownLaunch& flown) {
  const Launch& shot = flown.launch;
  if (shot.ended_by != LaunchEnd::arrow_clear) {
    return true;  // there is no hole
  }
  constexpr double roughest = 0.06;  // [m]: sweeps about the demo bows stay below
  constexpr double most_travel = 0.018;
  constexpr double most_angle = 0.045;
  constexpr double most_rate = 4.5;
  constexpr double least_efficiency = 0.7;
  // A bare shaft slides past a fixed launcher so close that a micrometre decides whether it touches again; so does any
  // that touches it again while it is still pushed.
  const bool fixed = !kernel::has_arm(topology.rest);
  const int most_bounces = fixed && topology.vanes == 0 ? 0 : 2;
  constexpr double least_damping = 0.003;  // of critical, of the shaft's first bending mode
  const auto touches = [](const Event& e) { return e.kind == EventKind::rest_contact_made; };
  const auto bounces = std::count_if(shot.events.begin(), shot.events.end(), touches);
  const auto leaves = std::find_if(shot.events.begin(), shot.events.end(),
                                   [](const Event& e) { return e.kind == EventKind::nock_left_string; });
  const bool pushed = fixed && std::any_of(shot.events.begin(), leaves, touches);
  const double damping = 0.5 * arrow.damping_time * std::sqrt(weakest(arrow.around) * arrow.stiffness[2]);
  return damping >= least_damping && bounces <= most_bounces && !pushed && flown.roughness <= roughest &&
         std::max(shot.nock_travel_y, shot.nock_travel_z) <= most_travel &&
         std::max(std::fabs(shot.exit.pitch), std::fabs(shot.exit.yaw)) <= most_angle &&
         std::max(std::fabs(shot.exit.pitch_rate), std::fabs(shot.exit.yaw_rate)) <= most_rate &&
         shot.efficiency >= least_efficiency;
}

bool StepSearch::shorten() {
  if (too_long_ == most_quarters) {
    return false;
  }
  ++too_long_;
  step_ *= 0.25;
  return true;
}

bool StepSearch::settled(const kernel::ArrowConstants<double>& arrow, const kernel::Topology& topology,
                         const FlownLaunch& flown) {
  check_efficiency(flown.launch);
  const bool clear = flown.launch.ended_by == LaunchEnd::arrow_clear;
  const bool shortest = 0.25 * step_ < shortest_step;
  if (not_sure_ == 0 ? (usual_ && is_smooth(arrow, topology, flown)) || shortest
                     : clear && hole_difference(arrow, topology, coarser_, flown.leaving) <= agreed) {
    return true;
  }
  if (not_sure_ == most_unsure || shortest) {
    throw SolverError(
        "launch",
        "the hole does not settle: at steps of " + format_quantity(1e6 * step_, Quantity::dimensionless) +
            " µs, four times as long ones leave it off by " +
            display(hole_difference(arrow, topology, coarser_, flown.leaving), Quantity::length, "mm", 2) +
            ": the arrow is thrown about, or a part rattles, so that no two such shots would tear alike; look "
            "for what is far out of place, or too light or undamped for its stiffness");
  }
  coarser_ = flown.leaving;
  ++not_sure_;
  step_ *= 0.25;
  return false;
}

}  // namespace nockwise::detail
