// What a launch keeps of its steps: the trace, extremes, the rest's report. Private.
#pragma once

#include "launch_stepper.hpp"
#include "release.hpp"

#include <algorithm>
#include <limits>

namespace nockwise::detail {

/// Rigid-body line and bending of one plane of the arrow, from nodal values.
struct PlaneFit {
  double centre = 0.0, slope = 0.0, deviation = 0.0;
};

template <int Links>
PlaneFit fit_plane(const kernel::Constants<double, Links>& c, int nodes, const double* y) {
  double mass = 0.0;
  double first = 0.0;
  double second = 0.0;
  PlaneFit fit;
  for (int i = 0; i < nodes; ++i) {
    mass += c.arrow.mass[i];
    first += c.arrow.mass[i] * i * c.arrow.spacing;
    fit.centre += c.arrow.mass[i] * y[i];
  }
  fit.centre /= mass;
  const double balance = first / mass;
  for (int i = 0; i < nodes; ++i) {
    const double arm = i * c.arrow.spacing - balance;
    second += c.arrow.mass[i] * arm * arm;
    fit.slope += c.arrow.mass[i] * arm * y[i];
  }
  fit.slope /= second;
  for (int i = 0; i < nodes; ++i) {
    fit.deviation = std::max(fit.deviation, std::fabs(y[i] - fit.centre - fit.slope * (i * c.arrow.spacing - balance)));
  }
  return fit;
}

/// Momentum of the axially rigid arrow: its mass centre moves slower than the nock while the bend flattens
/// (lib/README.md, Eq. 24).
template <int Links>
double centre_speed(const kernel::Constants<double, Links>& c, int nodes, const double* y, const double* rate,
                    double nock_speed) {
  double shortening = 0.0;
  for (int i = 0; i < nodes - 1; ++i) {
    shortening += c.arrow.mass_ahead[i] * (y[i + 1] - y[i]) * (rate[i + 1] - rate[i]) / c.arrow.spacing;
  }
  return nock_speed - shortening / c.arrow.total_mass;
}

template <int Links>
ArrowState arrow_state(const Release<Links>& r, const State& x, double time) {
  using L = kernel::Layout<Links>;
  const int n = r.topology.nodes;
  const L layout{n};
  const int size = layout.size();
  const double* q = x.data();
  const double* v = q + size;
  ArrowState a;
  a.time = time;
  a.nock_x = q[L::arrow_x];
  a.speed = centre_speed(r.constants, n, q + L::arrow_y, v + L::arrow_y, v[L::arrow_x]);
  const auto y = fit_plane(r.constants, n, q + L::arrow_y);
  const auto z = fit_plane(r.constants, n, q + layout.arrow_z());
  const auto y_rate = fit_plane(r.constants, n, v + L::arrow_y);
  const auto z_rate = fit_plane(r.constants, n, v + layout.arrow_z());
  a.velocity_y = y_rate.centre;
  a.velocity_z = z_rate.centre;
  a.nock_velocity_y = v[L::arrow_y];
  a.nock_velocity_z = v[layout.arrow_z()];
  a.pitch = y.slope;
  a.yaw = z.slope;
  a.pitch_rate = y_rate.slope;
  a.yaw_rate = z_rate.slope;
  a.bending_y = y.deviation;
  a.bending_z = z.deviation;
  a.y.assign(q + L::arrow_y, q + L::arrow_y + n);
  a.z.assign(q + layout.arrow_z(), q + layout.arrow_z() + n);
  a.velocity_y_nodes.assign(v + L::arrow_y, v + L::arrow_y + n);
  a.velocity_z_nodes.assign(v + layout.arrow_z(), v + layout.arrow_z() + n);
  return a;
}

template <int Links>
class Recorder {
 public:
  using L = kernel::Layout<Links>;

  Recorder(const Release<Links>& release, const LaunchOptions& options, double fletching_from, double fletching_to,
           double vane_height)
      : release_(release),
        layout_{release.topology.nodes},
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
      range_y_.add(q[L::arrow_y]);
      range_z_.add(q[layout_.arrow_z()]);
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
    t.nock_x.push_back(q[L::arrow_x]);
    t.nock_y.push_back(q[L::arrow_y]);
    t.nock_z.push_back(q[layout_.arrow_z()]);
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
    t.nodes = static_cast<std::size_t>(layout_.nodes);
    t.arrow_y.insert(t.arrow_y.end(), q + L::arrow_y, q + L::arrow_y + layout_.nodes);
    t.arrow_z.insert(t.arrow_z.end(), q + layout_.arrow_z(), q + layout_.arrow_z() + layout_.nodes);
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
