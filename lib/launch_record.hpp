// What a launch keeps of its steps: the trace, extremes, the rest's report. Private.
#pragma once

#include "launch_stepper.hpp"
#include "release.hpp"

#include <algorithm>
#include <limits>

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

/// Nock groove from the arrow's coordinates.
template <int Links>
kernel::NockMotion<double> nock_of(const Release<Links>& r, const double* q, const double* v) {
  using L = kernel::Layout<Links>;
  double shape[kernel::max_modes];
  kernel::thrust_shape(r.constants.arrow, r.topology.modes, q + L::arrow_y, shape);
  return kernel::nock_motion(r.constants.arrow, r.topology.modes, shape, q[L::arrow_x], v[L::arrow_x], q + L::arrow_y,
                             v + L::arrow_y);
}

template <int Links>
ArrowState arrow_state(const Release<Links>& r, const State& x, double time) {
  using L = kernel::Layout<Links>;
  const auto& arrow = r.constants.arrow;
  const int modes = r.topology.modes;
  const auto nodes = static_cast<std::size_t>(r.topology.nodes);
  const L layout{modes};
  const double* q = x.data();
  const double* v = q + layout.size();
  const double* y = q + L::arrow_y;
  const double* z = q + layout.arrow_z();
  const double* y_rate = v + L::arrow_y;
  const double* z_rate = v + layout.arrow_z();
  ArrowState a;
  a.time = time;
  const auto nock = nock_of(r, q, v);
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
class Recorder {
 public:
  using L = kernel::Layout<Links>;

  Recorder(const Release<Links>& release, const LaunchOptions& options, double fletching_from, double fletching_to,
           double vane_height)
      : release_(release),
        layout_{release.topology.modes},
        size_(layout_.size()),
        keep_(options.trace),
        interval_(options.trace_interval),
        fletching_from_(fletching_from),
        fletching_to_(fletching_to),
        vane_height_(vane_height) {}

  void observe(double time, const State& x, const kernel::Diagnostics<double>& d, bool always) {
    const double* q = x.data();
    if (attached_) {
      largest_acceleration_ = std::max(largest_acceleration_, d.axial_acceleration);
      range_y_.add(nock_y(q));
      range_z_.add(nock_z(q));
    }
    observe_rest(time, d);
    if (keep_ && (always || time >= last_kept_ + interval_)) {
      append(time, x, d);
      last_kept_ = time;
    }
  }
  void note_exit() { attached_ = false; }
  void note_tail(double /*time*/) { passed_ = true; }

  void report(Launch& result) {
    result.peak_acceleration = largest_acceleration_;
    result.nock_travel_y = range_y_.width();
    result.nock_travel_z = range_z_.width();
    rest_.shaft_clearance = shaft_.low < infinity ? shaft_.low : 0.0;
    rest_.fletching_clearance = fletching_.low < infinity ? fletching_.low : 0.0;
    rest_.fletching_contact = fletching_.low < 0.0;
    for (const Event& e : result.events) {
      if (e.kind == EventKind::drop_started && rest_.drop_start == 0.0) {
        rest_.drop_start = e.time;
      } else if (e.kind == EventKind::drop_ended && rest_.drop_end == 0.0) {
        rest_.drop_end = e.time;
      }
    }
    result.rest = rest_;
    result.trace = std::move(trace_);
  }

 private:
  static constexpr double infinity = std::numeric_limits<double>::infinity();

  struct Range {
    double low = infinity;
    double high = -infinity;
    void add(double value) {
      low = std::min(low, value);
      high = std::max(high, value);
    }
    [[nodiscard]] double width() const { return high > low ? high - low : 0.0; }
  };

  void observe_rest(double time, const kernel::Diagnostics<double>& d) {
    if (release_.topology.rest == RestKind::none || passed_ || !(d.rest.reach > 0.0)) {
      return;
    }
    rest_.largest_force = std::max(rest_.largest_force, d.rest.contact);
    if (d.rest.contact > 0.0) {
      rest_.last_contact = time;
      shaft_ = {};
    } else {
      shaft_.add(d.rest.gap);
    }
    if (vane_height_ > 0.0 && d.rest.reach >= fletching_from_ && d.rest.reach <= fletching_to_) {
      fletching_.add(d.rest.gap - vane_height_);
    }
  }

  void append(double time, const State& x, const kernel::Diagnostics<double>& d) {
    const double* q = x.data();
    const double* v = q + size_;
    Trace& t = trace_;
    t.time.push_back(time);
    t.nock_x.push_back(nock_of(release_, q, v).position.x);
    t.nock_y.push_back(nock_y(q));
    t.nock_z.push_back(nock_z(q));
    t.speed.push_back(v[L::arrow_x]);
    t.acceleration.push_back(d.axial_acceleration);
    t.riser_x.push_back(q[L::riser_x]);
    t.riser_y.push_back(q[L::riser_y]);
    t.riser_z.push_back(q[L::riser_z]);
    t.riser_pitch.push_back(q[L::riser_pitch]);
    t.riser_yaw.push_back(q[L::riser_yaw]);
    t.riser_roll.push_back(q[L::riser_roll]);
    for (int h = 0; h < 2; ++h) {
      double bend = 0.0;
      for (int j = 0; j < Links; ++j) {
        bend += q[L::joint(h, j)];
      }
      t.limb_angle[h].push_back(bend);
      t.cam_angle[h].push_back(q[L::cam(h)]);
      t.lean[h].push_back(q[L::lean(h)]);
      t.string_tension[h].push_back(d.string_tension[h]);
      t.cable_tension[h].push_back(d.cable_tension[h]);
      t.stop_gap[h].push_back(d.stop_gap[h]);
    }
    t.rest_gap.push_back(d.rest.gap);
    t.rest_force.push_back(d.rest.contact);
    t.rest_arm.push_back(q[L::rest_arm]);
    t.cord_tension.push_back(d.rest.cord_tension);
    t.axial_push.push_back(attached_ ? d.separation - release_.constants.arrow.nock_hold : 0.0);
    t.nodes = static_cast<std::size_t>(release_.topology.nodes);
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
  int size_;
  bool keep_;
  double interval_;
  double fletching_from_, fletching_to_, vane_height_;
  bool attached_ = true;
  bool passed_ = false;
  double last_kept_ = -1.0;
  double largest_acceleration_ = 0.0;
  Range range_y_, range_z_, shaft_, fletching_;
  RestReport rest_;
  Trace trace_;
};

}  // namespace nockwise::detail
