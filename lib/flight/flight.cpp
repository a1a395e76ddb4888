#include "nockwise/flight.hpp"

#include "compile/model_data.hpp"
#include "kernel/arrow_beam.hpp"
#include "nockwise/units.hpp"
#include "statics/model_access.hpp"

#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>

#include <cmath>
#include <numbers>

namespace nockwise {

namespace {

constexpr double flight_step = 2.0e-3;  // the pitch swings four times a second: this is exact to some nanometres
enum { at_x, at_v, at_y };              // then ẏ, θ, θ̇; the lateral plane follows at_y + 4

constexpr int plane(int p) { return at_y + 4 * p; }

FlightPoint point_of(const std::array<double, 10>& s, double time) {
  return {time, s[at_x], s[2], s[6], s[at_v], s[3], s[7], s[4], s[8], s[5], s[9]};
}

}  // namespace

FreeFlight::FreeFlight(const Model& model, const Launch& launch, double farthest_x) {
  if (launch.ended_by != LaunchEnd::arrow_clear) {
    throw InputError("launch", name_of(launch.ended_by),
                     "must have ended with arrow_clear: there is no flight to follow");
  }
  const detail::ModelData& data = detail::data_of(model);
  const Setup& setup = model.setup();
  const Arrow& arrow = setup.arrow;
  const ArrowState& free = launch.free;
  const ArrowProperties properties = model.arrow();
  balance_ = properties.balance_point;
  length_ = arrow.length;
  nodes_ = arrow.nodes;
  spacing_ = data.nodal.spacing;
  start_ = free.time;
  if (!(farthest_x > free.nock_x + length_)) {
    throw InputError("distance", format_quantity(farthest_x, Quantity::length, "m"),
                     "must be beyond the arrow's point as it leaves the bow, more than " +
                         display(free.nock_x + length_, Quantity::length, "m", 4));
  }
  const double pressure = 0.5 * setup.surroundings.air_density;
  const double section = 0.25 * std::numbers::pi * arrow.diameter * arrow.diameter;
  const Fletching& vanes = arrow.fletching;
  forces_.drag = pressure * section * arrow.drag_coefficient;
  forces_.body = pressure * section * arrow.body_normal_force_slope;
  forces_.vanes = pressure * 0.5 * vanes.count * vanes.length * vanes.height * vanes.normal_force_slope;
  forces_.body_arm = length_ - balance_;
  forces_.vane_arm = vanes.distance - balance_;
  forces_.inverse_mass = 1.0 / properties.mass;
  forces_.inverse_inertia = 1.0 / properties.transverse_inertia;
  forces_.gravity = setup.surroundings.gravity;

  const detail::ArrowModes& modes = data.modes;
  const double damping_time = data.nodal.damping_time;
  const Eigen::VectorXd mass = Eigen::Map<const Eigen::VectorXd>(data.nodal.mass, arrow.nodes);
  const auto project = [&](const std::vector<double>& nodal, Eigen::Index k) {
    return modes.shapes.col(k).cwiseProduct(mass).dot(Eigen::Map<const Eigen::VectorXd>(nodal.data(), arrow.nodes));
  };
  // The launch moved in its lowest modes alone.
  modes_.reserve(data.topology.modes);
  for (Eigen::Index k = 2; k < data.topology.modes; ++k) {
    Mode mode;
    mode.frequency = modes.frequency[k];
    mode.damping = 0.5 * damping_time * mode.frequency;
    mode.amplitude[0] = project(free.y, k);
    mode.amplitude[1] = project(free.z, k);
    mode.rate[0] = project(free.velocity_y_nodes, k);
    mode.rate[1] = project(free.velocity_z_nodes, k);
    mode.shape.assign(modes.shapes.col(k).begin(), modes.shapes.col(k).end());
    modes_.push_back(std::move(mode));
  }
  const double first = modes.shapes(0, 0);
  Rigid state{free.nock_x + balance_, free.speed, 0.0,          free.velocity_y, free.pitch, free.pitch_rate, 0.0,
              free.velocity_z,        free.yaw,   free.yaw_rate};
  state[2] = project(free.y, 0) * first;
  state[6] = project(free.z, 0) * first;
  const double steps = 1.1 * (farthest_x - free.nock_x) / (flight_step * std::fmax(free.speed, 1.0));
  const auto expected = static_cast<std::size_t>(std::fmin(steps, 1000.0)) + 8;
  samples_.reserve(expected);
  points_.reserve(expected);
  samples_.push_back(state);
  points_.push_back(point_of(state, start_));
  while (samples_.back()[at_x] - balance_ < farthest_x) {
    if (!(samples_.back()[at_v] > 1.0) || samples_.size() > 20000) {
      throw SolverError("flight at " + display(samples_.back()[at_x], Quantity::length, "m", 2),
                        "the arrow does not get there");
    }
    samples_.push_back(step(samples_.back(), flight_step));
    points_.push_back(point_of(samples_.back(), start_ + flight_step * static_cast<double>(samples_.size() - 1)));
  }
}

void FreeFlight::derivative(const Rigid& s, Rigid& rate) const {
  const double v = s[at_v];
  const double slowness = 1.0 / v;
  const double body_force = forces_.body * v * v;  // per radian
  const double vane_force = forces_.vanes * v * v;
  rate[at_x] = v;
  rate[at_v] = -forces_.drag * forces_.inverse_mass * v * v;
  for (int p = 0; p < 2; ++p) {
    const int i = plane(p);
    const double sideways = s[i + 1];
    const double angle = s[i + 2];
    const double turning = s[i + 3];
    // Local incidence (Eq. 48): the section's slope less the slope of its own path.
    const double at_point = angle - slowness * (sideways + forces_.body_arm * turning);
    const double at_vanes = angle - slowness * (sideways + forces_.vane_arm * turning);
    const double body = body_force * at_point;
    const double vanes = vane_force * at_vanes;
    rate[i] = sideways;
    rate[i + 1] = forces_.inverse_mass * (body + vanes) - (p == 0 ? forces_.gravity : 0.0);
    rate[i + 2] = turning;
    rate[i + 3] = forces_.inverse_inertia * (body * forces_.body_arm + vanes * forces_.vane_arm);
  }
}

FreeFlight::Rigid FreeFlight::step(const Rigid& from, double interval) const {
  boost::numeric::odeint::runge_kutta4<Rigid> stepper;
  Rigid state = from;
  stepper.do_step([this](const Rigid& s, Rigid& rate, double) { derivative(s, rate); }, state, 0.0, interval);
  return state;
}

FreeFlight::Rigid FreeFlight::rigid_at(double time) const {
  const double position = (time - start_) / flight_step;
  if (!(position >= -1e-9) || position > static_cast<double>(samples_.size())) {
    throw InputError("time", format_quantity(time, Quantity::dimensionless) + " s", "must lie in the computed flight");
  }
  const auto index = std::min(static_cast<std::size_t>(std::max(position, 0.0)), samples_.size() - 1);
  return step(samples_[index], time - start_ - flight_step * static_cast<double>(index));
}

FlightPoint FreeFlight::at(double time) const { return point_of(rigid_at(time), time); }

void FreeFlight::elastic(double time, double from_nock, double (&offset)[2]) const {
  const double t = time - start_;
  offset[0] = offset[1] = 0.0;
  const auto foot = kernel::stencil(from_nock, spacing_, nodes_);
  for (const Mode& mode : modes_) {
    // Eq. (51). Kelvin–Voigt damping grows with frequency; the highest modes do not swing at all.
    const double decay = mode.damping * mode.frequency;
    const double swing = mode.frequency * std::sqrt(std::fabs(1.0 - mode.damping * mode.damping));
    const bool swings = mode.damping < 1.0;
    const double fade = swings ? std::exp(-decay * t) : 0.5 * std::exp((swing - decay) * t);
    const double shrink = swings ? 0.0 : std::exp(-2.0 * swing * t);
    const double even = swings ? std::cos(swing * t) : 1.0 + shrink;
    const double odd = (swings ? std::sin(swing * t) : 1.0 - shrink) / swing;
    const double shape = foot.value(mode.shape.data());
    for (int p = 0; p < 2; ++p) {
      offset[p] += shape * fade * (mode.amplitude[p] * even + (mode.rate[p] + decay * mode.amplitude[p]) * odd);
    }
  }
}

Crossing FreeFlight::crossing(double from_nock, double plane_x) const {
  if (!(from_nock >= 0.0 && from_nock <= length_)) {
    throw InputError("from_nock", format_quantity(from_nock, Quantity::length, "m"), "must lie on the arrow");
  }
  // The speed hardly changes over a sample, so Newton from the bracketing sample is exact in a few iterations.
  const double centre = plane_x + balance_ - from_nock;
  std::size_t index = 0;
  while (index + 1 < samples_.size() && samples_[index + 1][at_x] < centre) {
    ++index;
  }
  double time = start_ + flight_step * static_cast<double>(index);
  Rigid state = samples_[index];
  for (int i = 0; i < 8; ++i) {
    const double ahead = (centre - state[at_x]) / state[at_v];
    time += ahead;
    state = rigid_at(time);
    if (std::fabs(ahead) < 1e-13) {
      break;
    }
  }
  double offset[2];
  elastic(time, from_nock, offset);
  const double arm = from_nock - balance_;
  return {time, state[2] + state[4] * arm + offset[0], state[6] + state[8] * arm + offset[1]};
}

Impact target_impact(const Model& model, const Launch& launch, std::optional<double> distance) {
  const double x = distance.value_or(model.setup().surroundings.target_distance);
  const FreeFlight flight(model, launch, x);
  const Crossing point = flight.crossing(model.setup().arrow.length, x);
  const FlightPoint state = flight.at(point.time);
  return {point.time, point.y, point.z, state.speed, state.pitch, state.yaw};
}

double chronograph_speed(const Model& model, const Launch& launch, double x) {
  const FreeFlight flight(model, launch, x);
  return flight.at(flight.crossing(model.setup().arrow.length, x).time).speed;
}

}  // namespace nockwise
