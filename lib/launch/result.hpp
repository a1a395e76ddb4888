// From what a launch alone or in a lane leaves behind to the result; the trace. Private.
#pragma once

#include "kernel/energy.hpp"
#include "kernel/static_loads.hpp"
#include "launch/events.hpp"
#include "launch/initial_state.hpp"
#include "launch/nock.hpp"
#include "launch/record.hpp"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

namespace nockwise::detail {

/// Values at the shaft's nodes from modal coordinates.
template <int Links>
void nodal_values(const kernel::Constants<double, Links>& c, const kernel::Topology& topology, const double* modal,
                  double* nodal) {
  for (int i = 0; i < topology.nodes; ++i) {
    nodal[i] = kernel::modal_sum(topology.modes, c.arrow.shapes.rows + i * topology.modes, modal);
  }
}

/// Largest distance of a node from the rigid-body line, which the first two modes are.
template <int Links>
double bending(const kernel::Constants<double, Links>& c, const kernel::Topology& topology, const double* modal) {
  double largest = 0.0;
  for (int i = 0; i < topology.nodes; ++i) {
    const double* row = c.arrow.shapes.rows + i * topology.modes;
    const double off = kernel::modal_sum(topology.modes, row, modal) - row[0] * modal[0] - row[1] * modal[1];
    largest = std::max(largest, std::fabs(off));
  }
  return largest;
}

template <int Links>
ArrowState arrow_state(const Release<Links>& r, const Snapshot<Links>& at) {
  using L = kernel::Layout<Links>;
  const auto& arrow = r.constants.arrow;
  const int modes = r.topology.modes;
  const auto nodes = r.topology.nodes;
  const L layout{modes};
  const double* q = at.q;
  const double* v = at.v;
  const double* y = q + L::arrow_y;
  const double* z = q + layout.arrow_z();
  const double* y_rate = v + L::arrow_y;
  const double* z_rate = v + layout.arrow_z();
  ArrowState a;
  a.time = at.time;
  const auto nock = nock_of(r.constants, modes, q, v);
  a.nock_x = nock.position.x;
  a.speed = v[L::arrow_x];
  a.velocity_y = y_rate[0] / arrow.root_mass;
  a.velocity_z = z_rate[0] / arrow.root_mass;
  a.nock_velocity_y = nock.velocity.y;
  a.nock_velocity_z = kernel::modal_sum(modes, arrow.nock_shape, z_rate);
  a.pitch = y[1] / arrow.root_inertia;
  a.yaw = z[1] / arrow.root_inertia;
  a.pitch_rate = y_rate[1] / arrow.root_inertia;
  a.yaw_rate = z_rate[1] / arrow.root_inertia;
  a.bending_y = bending(r.constants, r.topology, y);
  a.bending_z = bending(r.constants, r.topology, z);
  for (auto [modal, nodal] : {std::pair{y, &a.y}, std::pair{z, &a.z}, std::pair{y_rate, &a.velocity_y_nodes},
                              std::pair{z_rate, &a.velocity_z_nodes}}) {
    nodal->resize(nodes);
    nodal_values(r.constants, r.topology, modal, nodal->data());
  }
  return a;
}

template <int Links>
Energy energy_at(const Release<Links>& r, double attached, const double* q, const double* v,
                 const kernel::RunDirections<double>& run_directions) {
  const auto e = r.chain.pieces > 1 ? kernel::energy(r.constants, r.topology, attached, q, v, run_directions, r.chain)
                                    : kernel::energy(r.constants, r.topology, attached, q, v, run_directions);
  return {e.arrow, e.mechanism, e.limbs, e.lines, e.contacts, e.gravity, e.hand};
}

/// The state that a launch starts from.
template <int Links>
Snapshot<Links> at_full_draw(const Release<Links>& r) {
  Snapshot<Links> start;
  std::copy(r.q.begin(), r.q.end(), start.q);
  std::copy(r.v.begin(), r.v.end(), start.v);
  const int bow = kernel::Layout<Links>{r.topology.modes}.size();
  std::copy_n(r.chain_q.begin(), r.chain.coordinates(), start.q + bow);
  return start;
}

/// A fixed step that some part of the bow is too quick for; a shorter one may do.
class StepTooLong : public SolverError {
 public:
  StepTooLong(double time, const std::string& sign)
      : SolverError("launch at " + std::to_string(1e3 * time) + " ms",
                    sign + "; a part may be too stiff or too light for the step (try a smaller step)") {}
};

/// Dampers only take energy, so more of it than at the start means that the step was too long for some part, even where
/// no number is out of bounds.
inline void check_energy(const Energy& start, const Energy& now, double stored, double time) {
  constexpr double allowed = 1e-3;  // of the stored energy; an ordinary bow loses some
  if (!(now.total() - start.total() <= allowed * std::fabs(stored))) {
    throw StepTooLong(time, "the integration made energy out of nothing");
  }
}

inline double width(double low, double high) { return high > low ? high - low : 0.0; }

/// None where nothing was struck.
inline std::optional<VaneStrike> strike_of(const Struck<double>& s) {
  return s.force > 0.0 ? std::optional(VaneStrike{s.time, s.force, s.impulse_up, s.impulse_aside, s.depth})
                       : std::nullopt;
}

inline RestReport rest_report(const Extremes<double>& e, const std::vector<Event>& events) {
  constexpr double none = Extremes<double>::infinity;
  RestReport rest;
  if (e.contact > 0.0) {
    rest.last_contact = e.last_contact;
  }
  rest.largest_force = e.contact;
  if (e.shaft_gap < none) {
    rest.shaft_clearance = e.shaft_gap;
  }
  if (e.fletching_gap < none) {
    rest.fletching_clearance = e.fletching_gap;
  }
  rest.vane_strike = strike_of(e.launcher);
  rest.fletching_contact = e.fletching_gap < 0.0 || rest.vane_strike;
  for (const Event& event : events) {
    if (event.kind == EventKind::drop_started && !rest.drop_start) {
      rest.drop_start = event.time;
    } else if (event.kind == EventKind::drop_ended && !rest.drop_end) {
      rest.drop_end = event.time;
    }
  }
  return rest;
}

/// The result, but for its trace and its cautions.
/// \throws StepTooLong when there is more energy than at the start
template <int Links>
Launch make_launch(const Release<Links>& release, const LaunchRecord<Links>& record, std::vector<Event> events) {
  using L = kernel::Layout<Links>;
  Launch result;
  const Snapshot<Links> start = at_full_draw(release);
  result.ended_by = record.ended_by;
  result.full_draw_nock_x = release.q[L::string_x];
  result.full_draw_force = release.full_draw_force;
  result.stored_energy = release.stored_energy;
  result.late_stop_gap = release.late_stop_gap;
  result.cable_clearance = release.cable_clearance;
  result.lean_full_draw = {release.q[L::lean(0)], release.q[L::lean(1)]};
  result.energy_start = energy_at(release, 1.0, start.q, start.v, record.start_run_directions);
  result.peak_acceleration = record.extremes.acceleration;
  result.nock_travel_y = width(record.extremes.y_low, record.extremes.y_high);
  result.nock_travel_z = width(record.extremes.z_low, record.extremes.z_high);
  result.rest = rest_report(record.extremes, events);
  result.rest.cord_force = release.cord_force;
  result.cable_strike = strike_of(record.extremes.cables);
  result.free = arrow_state<Links>(release, record.end);
  result.steps = record.steps;
  result.evaluations = record.evaluations;
  result.events = std::move(events);
  if (record.separated) {
    const Snapshot<Links>& exit = record.exit;
    result.energy_exit = energy_at(release, 1.0, exit.q, exit.v, exit.run_directions);
    check_energy(result.energy_start, result.energy_exit, release.stored_energy, exit.time);
    result.exit_time = exit.time;
    result.exit = arrow_state<Links>(release, exit);
    const double mass = release.constants.arrow.total_mass;
    result.exit_speed = result.exit.speed;
    result.efficiency = 0.5 * mass * result.exit_speed * result.exit_speed / result.stored_energy;
    result.dissipated = result.energy_start.total() - result.energy_exit.total();
  }
  const Snapshot<Links>& end = record.end;
  check_energy(result.energy_start, energy_at(release, record.separated ? 0.0 : 1.0, end.q, end.v, end.run_directions),
               release.stored_energy, end.time);
  return result;
}

/// \throws SolverError where a bow hardly shoots at all
inline void check_efficiency(const Launch& shot) {
  constexpr double least = 0.25;  // of the stored energy
  if (shot.exit_time > 0.0 && !(shot.efficiency >= least)) {
    throw SolverError("launch", "the arrow leaves with " + display(shot.efficiency, Quantity::percent, "%", 1) +
                                    " of the stored energy: no bow that can be shot keeps so much to itself; look for "
                                    "cams, limbs or dampers that are too heavy");
  }
}

/// \throws InputError for an option out of range
void check_options(const LaunchOptions& options);
/// Say what could hurt.
void add_cautions(double arrow_mass, double peak_force, Launch& result);

// Compiled in lib/launch/links_*.cpp.
#define NOCKWISE_RESULT(extern_or_nothing, links) \
  extern_or_nothing template Launch make_launch(const Release<links>&, const LaunchRecord<links>&, std::vector<Event>);
#define NOCKWISE_EXTERN(links) NOCKWISE_RESULT(extern, links)
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_EXTERN)
#undef NOCKWISE_EXTERN

/// Keeps the trajectory.
template <int Links>
class Tracer {
 public:
  using L = kernel::Layout<Links>;

  Tracer(const Release<Links>& release, const LaunchOptions& options)
      : release_(release), layout_{release.topology.modes}, keep_(options.trace), interval_(options.trace_interval) {}

  void observe(double time, const double* q, const double* v, const kernel::Diagnostics<double>& d, bool attached,
               bool always) {
    // The nock leaving the string is two states at one time.
    const bool kept_already = time == last_kept_ && attached == last_attached_;
    if (keep_ && !kept_already && (always || time >= last_kept_ + interval_)) {
      append(time, q, v, d, attached);
      last_kept_ = time;
      last_attached_ = attached;
    }
  }
  [[nodiscard]] Trace take() { return std::move(trace_); }

 private:
  void append(double time, const double* q, const double* v, const kernel::Diagnostics<double>& d, bool attached) {
    Trace& t = trace_;
    t.time.push_back(time);
    const double nock[3] = {nock_of(release_.constants, layout_.modes, q, v).position.x, nock_y(q), nock_z(q)};
    t.nock_x.push_back(nock[0]);
    t.nock_y.push_back(nock[1]);
    t.nock_z.push_back(nock[2]);
    t.string_x.push_back(attached ? nock[0] : q[L::string_x]);
    t.string_y.push_back(attached ? nock[1] : q[L::string_y]);
    t.string_z.push_back(attached ? nock[2] : q[L::string_z]);
    t.speed.push_back(v[L::arrow_x]);
    t.acceleration.push_back(d.axial_acceleration);
    t.riser_x.push_back(q[L::riser_x]);
    t.riser_y.push_back(q[L::riser_y]);
    t.riser_z.push_back(q[L::riser_z]);
    t.riser_pitch.push_back(q[L::riser_pitch]);
    t.riser_yaw.push_back(q[L::riser_yaw]);
    t.riser_roll.push_back(q[L::riser_roll]);
    kernel::HalfMotion<double, Links> half[2];
    kernel::static_motions(release_.constants, q, v, half);
    for (int h = 0; h < 2; ++h) {
      t.axle_x[h].push_back(q[L::riser_x] + half[h].axle().x);
      t.axle_y[h].push_back(q[L::riser_y] + kernel::half_sign[h] * half[h].axle().y);
      double bend = 0.0;
      for (int j = 0; j < Links; ++j) {
        bend += q[L::joint(h, j)];
      }
      t.limb_angle[h].push_back(bend);
      t.cam_angle[h].push_back(q[L::cam(h)]);
      t.lean[h].push_back(q[L::lean(h)]);
      t.string_tension[h].push_back(d.string_tension[h]);
      t.cable_tension[h].push_back(d.cable_tension[h]);
      if (release_.topology.stop[h] != StopKind::none) {
        t.stop_gap[h].push_back(d.stop_gap[h]);
      }
    }
    t.rest_gap.push_back(d.rest.gap);
    t.rest_force.push_back(d.rest.contact);
    t.rest_arm.push_back(q[L::rest_arm]);
    t.cord_tension.push_back(d.rest.cord_tension);
    // `separation` includes the nock's hold (Eq. 27).
    t.axial_push.push_back(attached ? d.separation - release_.constants.arrow.nock_hold : 0.0);
    t.nodes = release_.topology.nodes;
    const std::size_t row = t.arrow_y.size();
    t.arrow_y.resize(row + t.nodes);
    t.arrow_z.resize(row + t.nodes);
    nodal_values(release_.constants, release_.topology, q + L::arrow_y, t.arrow_y.data() + row);
    nodal_values(release_.constants, release_.topology, q + layout_.arrow_z(), t.arrow_z.data() + row);
  }

  [[nodiscard]] double nock_y(const double* q) const {
    return kernel::modal_sum(layout_.modes, release_.constants.arrow.nock_shape, q + L::arrow_y);
  }
  [[nodiscard]] double nock_z(const double* q) const {
    return kernel::modal_sum(layout_.modes, release_.constants.arrow.nock_shape, q + layout_.arrow_z());
  }

  const Release<Links>& release_;
  L layout_;
  bool keep_;
  double interval_;
  double last_kept_ = -1.0;
  bool last_attached_ = false;
  Trace trace_;
};

}  // namespace nockwise::detail
