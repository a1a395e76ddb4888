#include "target/long_flight.hpp"

#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "numerics/random_numbers.hpp"

#include <Eigen/Geometry>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double farthest = 200.0;          // [m]
constexpr double largest_incidence = 0.35;  // [rad]: beyond it vanes stall, and linear forces mean nothing
constexpr double slowest = 5.0;             // [m/s]
enum : std::size_t { at_place = 0, at_velocity = 3, at_nose = 6, at_rate = 9, at_spin = 12, at_roll = 13 };

using State = LongFlight::State;
Eigen::Map<const Vector> part(const State& s, std::size_t at) { return Eigen::Map<const Vector>(s.data() + at); }
void put(State& s, std::size_t at, const Vector& value) { Eigen::Map<Vector>(s.data() + at) = value; }

/// Inertia about the long axis: shaft and what is in it as a tube, vanes at half their height.
double axial_inertia(const Arrow& arrow, double mass) {
  const double vanes = arrow.fletching.count * arrow.fletching.mass_each;
  const double radius = 0.5 * arrow.diameter;
  const double of_vane = radius + 0.5 * arrow.fletching.height;
  constexpr double tube = 0.8;  // of a wall a tenth of the diameter thick: (1 + 0.8²) / 2 = 0.82
  return (mass - vanes) * tube * radius * radius + vanes * of_vane * of_vane;
}

}  // namespace

Gusts::Gusts(const FlightConditions& conditions, double distance) {
  if (conditions.gust == 0.0) {
    return;
  }
  const auto count = static_cast<std::size_t>(distance / spacing) + 3;
  const double kept = std::exp(-spacing / conditions.gust_length);
  const double fresh = std::sqrt(1.0 - kept * kept);
  const auto draw = [&](const char* name, double deviation) {
    RandomNumbers numbers = random_numbers_of(conditions.gust_seed, name, 0);
    std::vector<double> values(count);
    values[0] = deviation * numbers.normal();
    for (std::size_t i = 1; i < count; ++i) {
      values[i] = kept * values[i - 1] + fresh * deviation * numbers.normal();
    }
    return values;
  };
  along_ = draw("gust along", conditions.gust);
  right_ = draw("gust right", conditions.gust);
  up_ = draw("gust up", 0.5 * conditions.gust);
}

Vector Gusts::at(double x) const {
  const double place = std::clamp(x / spacing, 0.0, static_cast<double>(along_.size()) - 1.001);
  const auto i = static_cast<std::size_t>(place);
  const double share = place - static_cast<double>(i);
  const auto between = [&](const std::vector<double>& v) { return v[i] + share * (v[i + 1] - v[i]); };
  return {between(along_), between(up_), between(right_)};
}

LongFlight::LongFlight(const Model& model, const Launch& launch, double distance, const FlightConditions& conditions,
                       const TargetFlightOptions& options)
    : forces_{},
      modes_(model, launch.free),
      gusts_(conditions, distance),
      conditions_(conditions),
      options_(options),
      free_(launch.free),
      centre_(mass_centre(model, launch.free)),
      distance_(distance) {
  const Setup& setup = model.setup();
  const Arrow& arrow = setup.arrow;
  const ArrowProperties properties = model.arrow();
  const bool own_air = conditions.temperature || conditions.altitude;
  const Air standard = air_at(conditions.temperature.value_or(288.15), conditions.altitude.value_or(0.0));
  const double density = own_air ? standard.density : setup.surroundings.air_density;
  forces_ = air_forces(model, density);
  mass_ = properties.mass;
  length_ = arrow.length;
  balance_ = properties.balance_point;
  reynolds_per_speed_ = density * arrow.diameter / standard.viscosity;
  cross_ = 0.5 * density * conditions.cross_flow_drag * length_ * arrow.diameter;
  cross_arm_ = 0.5 * length_ - balance_;
  head_ = 0.5 * density * conditions.head_area * conditions.head_slope;
  axial_inertia_ = axial_inertia(arrow, mass_);
  roll_force_ = 2.0 * forces_.vanes;  // every vane turns it, half of them hold it in one plane
  roll_arm_ = 0.5 * (arrow.diameter + arrow.fletching.height);
  cant_ = conditions.vane_cant + options.fault.vane_cant;
  const double slope_per_length = 8.0 * options.fault.bend / (length_ * length_);
  bend_at_point_ = -slope_per_length * 0.5 * length_;
  bend_at_vanes_ = -slope_per_length * (arrow.fletching.distance - 0.5 * length_);
  eye_ = setup.rest.height + conditions.eye_height;
  wind_ = {conditions.wind_along, conditions.wind_up, conditions.wind_right};
  gravity_ = forces_.gravity * Vector(-std::sin(conditions.slope), -std::cos(conditions.slope), 0.0);
  if (!(distance > free_.nock_x + length_ && distance <= farthest)) {
    throw InputError("distance", format_quantity(distance, Quantity::length, "m"),
                     "must be beyond the arrow's point as it leaves the bow, more than " +
                         display(free_.nock_x + length_, Quantity::length, "m", 2) + ", and at most 200 m");
  }
}

Eigen::Matrix3d LongFlight::turned(const Sight& sight) const {
  using Eigen::AngleAxisd;
  // The sight turns the bow in its own frame, cant turns both about the line of sight, and aim all three.
  const Eigen::Matrix3d set =
      (AngleAxisd(-sight.windage, Vector::UnitY()) * AngleAxisd(sight.elevation, Vector::UnitZ())).toRotationMatrix();
  const Eigen::Matrix3d canted = AngleAxisd(options_.aim.cant, Vector::UnitX()).toRotationMatrix();
  const Eigen::Matrix3d aimed =
      (AngleAxisd(-options_.aim.right, Vector::UnitY()) * AngleAxisd(options_.aim.up, Vector::UnitZ()))
          .toRotationMatrix();
  return aimed * canted * set;
}

LongFlight::State LongFlight::start(const Eigen::Matrix3d& turned) const {
  const Vector nose = Vector(1.0, free_.pitch, free_.yaw).normalized();
  const Vector swing(0.0, free_.pitch_rate, free_.yaw_rate);
  State state{};
  // The eye stays where it is: what turns is the bow about the line of sight, above its grip.
  const Vector place(free_.nock_x + balance_, centre_[0] - eye_, centre_[1]);
  put(state, at_place, turned * place);
  put(state, at_velocity, turned * Vector(free_.speed, free_.velocity_y, free_.velocity_z));
  put(state, at_nose, turned * nose);
  put(state, at_rate, turned * nose.cross(swing));
  return state;
}

void LongFlight::derivative(const State& s, State& rate) const {
  const auto velocity = part(s, at_velocity);
  const auto nose = part(s, at_nose);
  const auto turning = part(s, at_rate);
  const double spin = s[at_spin];
  Vector air = velocity - wind_;
  if (gusts_.any()) {
    air -= gusts_.at(s[at_place]);
  }
  const double speed = air.norm();
  // Of a section one metre ahead of the mass centre, and so square to the shaft already.
  const Vector swing = turning.cross(nose);
  const Vector across = air - nose * nose.dot(air);
  Vector at_point = across + forces_.body_arm * swing;
  Vector at_vanes = across + forces_.vane_arm * swing;
  const Vector at_middle = across + cross_arm_ * swing;
  if (options_.fault.bend != 0.0) {
    const Vector up = (Vector::UnitY() - nose * nose.y()).normalized();
    const double angle = s[at_roll] + options_.fault.bend_angle;
    const Vector bulge = std::cos(angle) * up + std::sin(angle) * nose.cross(up);
    at_point -= speed * bend_at_point_ * bulge;
    at_vanes -= speed * bend_at_vanes_ * bulge;
  }
  const double reynolds = std::fmax(reynolds_per_speed_ * speed, 1.0);
  const double beyond = std::log(reynolds / conditions_.transition_reynolds) / conditions_.transition_width;
  const double turbulent = 1.0 / (1.0 + std::exp(-beyond));
  const double drag = conditions_.drag_laminar + (conditions_.drag_turbulent - conditions_.drag_laminar) * turbulent;
  const Vector body = -(forces_.body + head_) * speed * at_point;
  const Vector vanes = -forces_.vanes * speed * at_vanes;
  const Vector cross = -cross_ * at_middle.norm() * at_middle;
  const Vector force = body + vanes + cross - forces_.section * drag * speed * air;
  const Vector moment = nose.cross(forces_.body_arm * body + forces_.vane_arm * vanes + cross_arm_ * cross);
  put(rate, at_place, velocity);
  put(rate, at_velocity, gravity_ + forces_.inverse_mass * force);
  put(rate, at_nose, swing);
  put(rate, at_rate, forces_.inverse_inertia * (moment - axial_inertia_ * spin * swing));
  const double roll = roll_force_ * roll_arm_ * speed * (cant_ * speed - spin * roll_arm_);
  rate[at_spin] = roll / axial_inertia_;
  rate[at_roll] = spin;
}

LongFlight::State LongFlight::step(const State& from, double interval) const {
  boost::numeric::odeint::runge_kutta4<State> stepper;
  State state = from;
  stepper.do_step([this](const State& s, State& rate, double) { derivative(s, rate); }, state, 0.0, interval);
  put(state, at_nose, part(state, at_nose).normalized());
  return state;
}

double LongFlight::Incidence::angle() const { return std::atan2(square, along); }

LongFlight::Incidence LongFlight::incidence(const State& s) const {
  Vector air = part(s, at_velocity) - wind_;
  if (gusts_.any()) {
    air -= gusts_.at(s[at_place]);
  }
  const auto nose = part(s, at_nose);
  return {nose.dot(air), nose.cross(air).norm()};
}

void LongFlight::check(const State& s, const Incidence& incidence) const {
  const auto where = [&s] { return "flight at " + display(s[at_place], Quantity::length, "m", 1); };
  static const Incidence largest{std::cos(largest_incidence), std::sin(largest_incidence)};
  const bool known = std::isfinite(incidence.square) && !incidence.steeper_than(largest);
  if (forces_.section > 0.0 && !known) {  // without air there is none to hold it
    throw SolverError(where(), "the air meets the arrow at " + display(incidence.angle(), Quantity::angle, "deg", 0) +
                                   ", and what is known of its forces ends at " +
                                   display(largest_incidence, Quantity::angle, "deg", 0) +
                                   ": the wind or its own swing turns it");
  }
  if (!(s[at_velocity] > slowest)) {
    throw SolverError(where(), "the arrow does not get there");
  }
}

double LongFlight::step_length(double speed) const {
  // Pitch swings at ω; spin gains on a rate of its own, and is then as quick as the vanes let it be.
  const double pitch =
      speed * std::sqrt(forces_.inverse_inertia * (std::fabs(forces_.vane_arm) * forces_.vanes +
                                                   std::fabs(forces_.body_arm) * (forces_.body + head_)));
  const double gain = roll_force_ * roll_arm_ * roll_arm_ * speed / axial_inertia_;
  const double turns = options_.fault.bend == 0.0 || roll_arm_ == 0.0 ? 0.0 : std::fabs(cant_) * speed / roll_arm_;
  // A bend's force turns with the shaft, small: a step may be as long as a quarter of a turn.
  const double quickest = std::max({2.0 * pitch, gain, 0.5 * turns, 1.0});
  return std::min(options_.step, 0.8 / quickest);
}

Arrival LongFlight::shoot(const Sight& sight, std::vector<TargetPoint>* points) const {
  const Eigen::Matrix3d frame = turned(sight);
  State state = start(frame);
  double time = 0.0;
  Arrival arrival;
  const double ahead = length_ - balance_;
  const auto keep = [&](const State& s) {
    if (points != nullptr) {
      points->push_back({free_.time + time, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], s[8], s[9], s[10], s[11],
                         s[at_spin], s[at_roll]});
    }
  };
  const auto point_x = [&](const State& s) { return s[at_place] + ahead * s[at_nose]; };
  const double interval = step_length(part(state, at_velocity).norm());
  keep(state);
  State last = state;
  Incidence steepest;
  while (point_x(state) < distance_) {
    const Incidence here = incidence(state);
    steepest = here.steeper_than(steepest) ? here : steepest;
    check(state, here);
    last = state;
    state = step(last, interval);
    time += interval;
    if (point_x(state) < distance_) {
      keep(state);
    }
  }
  // Back into the last step, so that what is kept and what arrives lie on the same steps.
  time -= interval;
  double part_of_step = interval * (distance_ - point_x(last)) / (point_x(state) - point_x(last));
  for (int i = 0; i < 8; ++i) {
    state = step(last, part_of_step);
    const double closing = state[at_velocity] + ahead * part(state, at_rate).cross(part(state, at_nose)).x();
    const double missing = (distance_ - point_x(state)) / closing;
    if (std::fabs(missing) < 1e-13) {
      break;
    }
    part_of_step += missing;
  }
  time += part_of_step;
  keep(state);
  const std::array<double, 2> bent = modes_.offset(time, length_);
  const Vector point = part(state, at_place) + ahead * part(state, at_nose) + frame * Vector(0.0, bent[0], bent[1]);
  arrival.incidence = steepest.angle();
  arrival.time = free_.time + time;
  arrival.up = point.y();
  arrival.right = point.z();
  arrival.speed = part(state, at_velocity).norm();
  arrival.energy = 0.5 * mass_ * arrival.speed * arrival.speed;
  arrival.pitch = std::asin(std::clamp(state[at_nose + 1], -1.0, 1.0));
  arrival.yaw = std::atan2(state[at_nose + 2], state[at_nose]);
  arrival.spin = state[at_spin];
  return arrival;
}

}  // namespace nockwise::detail
