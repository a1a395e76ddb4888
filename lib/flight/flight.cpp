#include "nockwise/flight.hpp"

#include "flight/air_forces.hpp"
#include "flight/ringing_modes.hpp"
#include "nockwise/units.hpp"

#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>

#include <cmath>

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
  const Setup& setup = model.setup();
  const ArrowState& free = launch.free;
  balance_ = model.arrow().balance_point;
  length_ = setup.arrow.length;
  start_ = free.time;
  if (!(farthest_x > free.nock_x + length_)) {
    throw InputError("distance", format_quantity(farthest_x, Quantity::length, "m"),
                     "must be beyond the arrow's point as it leaves the bow, more than " +
                         display(free.nock_x + length_, Quantity::length, "m", 4));
  }
  forces_ = std::make_shared<const detail::AirForces>(detail::air_forces(model, setup.surroundings.air_density));
  modes_ = std::make_shared<const detail::RingingModes>(model, free);
  const std::array<double, 2> centre = detail::mass_centre(model, free);
  Rigid state{free.nock_x + balance_, free.speed, centre[0],       free.velocity_y, free.pitch,
              free.pitch_rate,        centre[1],  free.velocity_z, free.yaw,        free.yaw_rate};
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
  const double body_force = forces_->body * v * v;  // per radian
  const double vane_force = forces_->vanes * v * v;
  rate[at_x] = v;
  rate[at_v] = -forces_->drag * forces_->inverse_mass * v * v;
  for (int p = 0; p < 2; ++p) {
    const int i = plane(p);
    const double sideways = s[i + 1];
    const double angle = s[i + 2];
    const double turning = s[i + 3];
    // Local incidence (Eq. 48): the section's slope less the slope of its own path.
    const double at_point = angle - slowness * (sideways + forces_->body_arm * turning);
    const double at_vanes = angle - slowness * (sideways + forces_->vane_arm * turning);
    const double body = body_force * at_point;
    const double vanes = vane_force * at_vanes;
    rate[i] = sideways;
    rate[i + 1] = forces_->inverse_mass * (body + vanes) - (p == 0 ? forces_->gravity : 0.0);
    rate[i + 2] = turning;
    rate[i + 3] = forces_->inverse_inertia * (body * forces_->body_arm + vanes * forces_->vane_arm);
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
  const std::array<double, 2> offset = modes_->offset(time - start_, from_nock);
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
