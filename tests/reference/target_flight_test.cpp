/// @file
/// The flight to a target against closed forms, published figures, and SciPy on the same equations in another form
/// (tests/reference/target_flight/make_reference.py) and CasADi on Lagrange's (lagrange_flight.py there).
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "free_arrow.hpp"
#include "nockwise/target.hpp"
#include "nockwise/units.hpp"
#include "source_folder.hpp"
#include "target/long_flight.hpp"

#include <Eigen/Eigenvalues>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <numbers>

namespace nockwise {
namespace {

using nlohmann::json;
using nockwise::testing::demo_bow;
using nockwise::testing::free_arrow;

/// The Larkspur's arrow as a point: no force but drag, with one coefficient.
nockwise::Setup point_mass() {
  nockwise::Setup setup = demo_bow("larkspur");
  setup.arrow.body_normal_force_slope = 0.0;
  setup.arrow.fletching.normal_force_slope = 0.0;
  return setup;
}

FlightConditions one_drag(double coefficient) {
  FlightConditions conditions;
  conditions.drag_laminar = conditions.drag_turbulent = coefficient;
  conditions.cross_flow_drag = 0.0;
  return conditions;
}

/// k of v = v0 exp(−k x) [1/m].
double decay(const Model& model, double coefficient, double density = 1.225) {
  const double d = model.setup().arrow.diameter;
  return density * coefficient * 0.25 * std::numbers::pi * d * d / (2.0 * model.arrow().mass);
}

TEST(TargetFlight, FallsOnTheParabolaWithItsDrag) {
  const Source closed{"flat fire with quadratic drag: y = −(g/(4 k² v0²)) (exp(2kx) − 1 − 2kx); first order in k", "C"};
  const Model model(point_mass());
  const Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  const FlightConditions conditions = one_drag(2.0);
  const double eye = model.setup().rest.height + conditions.eye_height;
  const double g = model.setup().surroundings.gravity;
  const double k = decay(model, 2.0);
  for (const double distance : {18.288, 45.72, 91.44}) {
    const double x = distance - 0.03 - model.setup().arrow.length;
    const double v = shot.free.speed;
    const double parabola = g * x * x / (2.0 * v * v);
    const double exact = g / (4.0 * k * k * v * v) * (std::exp(2.0 * k * x) - 1.0 - 2.0 * k * x);
    const double drop = -(fly_to(model, shot, distance, {}, conditions).up + eye);
    const std::string at = " to " + display(distance, Quantity::length, "yd", 0);
    // Steeper paths are longer: flat fire leaves out the slope's square, half of the drop over the way squared.
    check_relative("drop" + at + " with drag", closed, exact, drop, 2e-3, "m");
    check_absolute("drop" + at + " over that without air, less 1", closed, 2.0 * k * x / 3.0, drop / parabola - 1.0,
                   k * k * x * x / 3.0 + 2e-3);
  }
}

TEST(TargetFlight, AWindDriftsByTheLagOfTheArrow) {
  const Source didion{"I. Didion, Traité de balistique (1860): drift = W (t − x / v0), arrow heading into the wind",
                      "C"};
  const Model point(point_mass());
  const Model arrow(demo_bow("larkspur"));
  FlightConditions conditions = one_drag(2.0);
  conditions.wind_right = 5.0;
  const double distance = 64.008;
  const double x = distance - 0.03 - point.setup().arrow.length;
  const Launch as_point = free_arrow(point, 0.0, 0.0, 0.0);
  const Launch as_arrow = free_arrow(arrow, 0.0, 0.0, 0.0);
  const auto drift = [&](const Model& model, const Launch& shot, double& time) {
    const Arrival with = fly_to(model, shot, distance, {}, conditions);
    FlightConditions calm = conditions;
    calm.wind_right = 0.0;
    time = with.time - shot.free.time;
    return with.right - fly_to(model, shot, distance, {}, calm).right;
  };
  double time = 0.0;
  const double of_point = drift(point, as_point, time);
  check_relative("drift of a point in a wind of 5 m/s across, 70 yd", didion, 5.0 * (time - x / 80.0), of_point, 2e-3,
                 "m");
  const double of_arrow = drift(arrow, as_arrow, time);
  // It is let go along the line, not into the wind: what the vanes' force carries it along, its swing gives back.
  const double multiple = of_arrow / (5.0 * (time - x / 80.0));
  check_range("drift of an arrow let go along the line, as a multiple of Didion's", didion, 0.95, 1.05, multiple);
}

TEST(TargetFlight, SlowsAsPublished) {
  const Source ortiz{
      "Ortiz et al. 2020, Proceedings 49(1):56: 56.4 m/s, about 8 % lost in flight at a mean Re of 1.8e4",
      "S, distance taken as 70 m"};
  nockwise::Setup setup = demo_bow("larkspur");
  Arrow& arrow = setup.arrow;
  arrow.diameter = 0.0055;
  const double now = Model(setup).arrow().mass;
  arrow.linear_density *= (0.020 - now + arrow.length * arrow.linear_density) / (arrow.length * arrow.linear_density);
  const Model model(setup);
  ASSERT_NEAR(model.arrow().mass, 0.020, 1e-9);
  Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  shot.free.speed = 56.4;
  const Arrival arrival = fly_to(model, shot, 70.0);
  check_range("speed lost by an arrow of 20 g and 5.5 mm over 70 m", ortiz, 7.0, 9.0,
              100.0 * (1.0 - arrival.speed / 56.4), "%");
  // Level, without gravity, over 20 m, in which the Reynolds number hardly changes.
  setup.surroundings.gravity = 0.0;
  const Model weightless(setup);
  const auto coefficient = [&](double speed) {
    Launch level = free_arrow(weightless, 0.0, 0.0, 0.0);
    level.free.speed = speed;
    return std::log(speed / fly_to(weightless, level, 20.0).speed) / (decay(weightless, 1.0) * (20.0 - 0.7539));
  };
  check_range("drag coefficient of an arrow of 20 g and 5.5 mm at Re 2.8e4, from its loss",
              {"turbulent 2.6, Miyazaki, KAKENHI 18K03943 (2020)", "S"}, 2.5, 2.65, coefficient(75.0));
  check_range("drag coefficient of an arrow of 20 g and 5.5 mm at Re 1.5e4, from its loss",
              {"laminar 1.3 to 1.6, Miyazaki, KAKENHI 18K03943 (2020); Ortiz et al. 2020", "S"}, 1.3, 1.6,
              coefficient(40.0));
}

TEST(TargetFlight, LosesSpeedAsAChronographSaw) {
  // The arrow of that page is unknown; no arrow of ordinary diameter and drag slows so much.
  const Source page{"\"Fun with the chronograph\", a forum: 277, 266, 255 ft/s at 20, 30, 40 yd", "S, disagrees"};
  const Model model(demo_bow("larkspur"));
  Launch shot = free_arrow(model, 0.0, 0.0, 0.0);
  shot.free.speed = to_si(277.0, Quantity::speed, "ft/s");
  const double left = from_si(fly_to(model, shot, 18.288 + 0.7539).speed, Quantity::speed, "ft/s");
  check_range("speed lost in 20 yd from 277 ft/s (page: 22)", page, 8.0, 14.0, 277.0 - left, "ft/s");
}

TEST(TargetFlight, PitchesInWavesOfLinearTheory) {
  const Source theory{"eigenvalue of the linear equations of path and angle", "C"};
  nockwise::Setup setup = demo_bow("larkspur");
  setup.surroundings.gravity = 0.0;
  const Model model(setup);
  FlightConditions conditions = one_drag(0.0);
  conditions.vane_cant = 0.0;
  Launch shot = free_arrow(model, 0.0, 0.0, 0.002);
  shot.free.speed = 80.0;
  const auto points = flight_to(model, shot, 90.0, {}, conditions, {.step = 5e-4});
  std::vector<double> zeros;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double a = points[i - 1].nose_z;
    const double b = points[i].nose_z;
    if (a * b < 0.0) {
      zeros.push_back(points[i - 1].x + (points[i].x - points[i - 1].x) * a / (a - b));
    }
  }
  ASSERT_GE(zeros.size(), 3U);
  const double wave = zeros[2] - zeros[0];
  const detail::AirForces f = detail::air_forces(model, 1.225);
  const double im = f.inverse_mass;
  const double ii = f.inverse_inertia;
  const double force = f.body + f.vanes;
  const double first = f.body_arm * f.body + f.vane_arm * f.vanes;
  const double second = f.body_arm * f.body_arm * f.body + f.vane_arm * f.vane_arm * f.vanes;
  // Per metre of way: slope of the path, angle, its rate.
  Eigen::Matrix3d rates;
  rates << -im * force, im * force, -im * first, 0.0, 0.0, 1.0, -ii * first, ii * first, -ii * second;
  const Eigen::Vector3cd values = Eigen::EigenSolver<Eigen::Matrix3d>(rates).eigenvalues();
  double turn = 0.0;
  for (const auto& value : values) {
    turn = std::max(turn, value.imag());
  }
  check_relative("wavelength of the Larkspur's arrow's yaw", theory, 2.0 * std::numbers::pi / turn, wave, 1e-3, "m");
  const Source simple{"λ = 2π √(2I/(ρ A d CMα)), without damping and path", "C"};
  check_relative("wavelength of that yaw by the moment alone", simple, 2.0 * std::numbers::pi / std::sqrt(-ii * first),
                 wave, 0.05, "m");
}

TEST(TargetFlight, RunsBackToWhereItStarted) {
  const Model model(demo_bow("larkspur"));
  const Launch shot = launch(model);
  FlightConditions conditions;
  conditions.wind_right = 3.0;
  conditions.vane_cant = 0.0;  // spin settles within metres: backward, its errors would grow as fast
  const detail::LongFlight flight(model, shot, 45.72, conditions, {});
  using State = detail::LongFlight::State;
  const auto points = flight_to(model, shot, 45.72, {}, conditions);
  const TargetPoint& p = points.front();
  const State start{p.x,      p.y,      p.z,      p.velocity_x, p.velocity_y, p.velocity_z, p.nose_x,
                    p.nose_y, p.nose_z, p.rate_x, p.rate_y,     p.rate_z,     p.spin,       p.roll};
  State state = start;
  boost::numeric::odeint::runge_kutta4<State> stepper;
  const auto rhs = [&](const State& s, State& rate, double) { flight.derivative(s, rate); };
  constexpr double step = 2.5e-4;
  for (int i = 0; i < 2000; ++i) {
    stepper.do_step(rhs, state, 0.0, step);
  }
  EXPECT_GT(state[0], 30.0);
  for (int i = 0; i < 2000; ++i) {
    stepper.do_step(rhs, state, 0.0, -step);
  }
  for (std::size_t i = 0; i < state.size(); ++i) {
    EXPECT_NEAR(state[i], start[i], 1e-6 * (1.0 + std::fabs(start[i]))) << i;
  }
}

TEST(TargetFlight, BreathesTheStandardAtmosphere) {
  const Source iso{"ISO 2533:1975, table of the standard atmosphere", "M"};
  const double height[] = {0.0, 1000.0, 2000.0};
  const double density[] = {1.2250, 1.1117, 1.0066};
  for (int i = 0; i < 3; ++i) {  // four digits, and of geometric heights: 0.6 m of 2,000 m
    const Air air = air_at(288.15 - 0.0065 * height[i], height[i]);
    check_relative("density at " + std::to_string(static_cast<int>(height[i])) + " m", iso, density[i], air.density,
                   2e-4, "kg/m³");
  }
  check_relative("viscosity at 288.15 K", iso, 1.7894e-5, air_at(288.15, 0.0).viscosity, 1e-4, "Pa·s");
  const Source page{"T. Litke 2026: 5,670 ft above the sea, 1.034 kg/m³", "S, C"};
  check_range("temperature at which that air is so dense", page, -5.0, 25.0,
              air_at(288.15, 1728.2).density * 288.15 / 1.034 - 273.15, "°C");
}

TEST(TargetFlight, MeetsSciPyOnTheSameEquations) {
  const Source scipy{"SciPy: DOP853 on a quaternion in the arrow's own frame", "O"};
  std::ifstream stream(nockwise::source_folder("tests/reference/target_flight/reference.json"));
  const json document = json::parse(stream);
  const json& arrow = document.at("arrow");
  const nockwise::Setup setup = demo_bow("larkspur");
  const Model model(setup);
  ASSERT_NEAR(model.arrow().mass, arrow.at("mass").get<double>(), 1e-12);
  ASSERT_NEAR(model.arrow().balance_point, arrow.at("balance").get<double>(), 1e-12);
  ASSERT_NEAR(model.arrow().transverse_inertia, arrow.at("inertia").get<double>(), 1e-12);
  int number = 0;
  for (const json& flight : document.at("flights")) {
    const auto given = [&](const char* name) { return flight.at("case").at(name).get<double>(); };
    const auto expected = [&](const char* name) { return flight.at("arrival").at(name).get<double>(); };
    Launch shot = free_arrow(model, given("pitch"), 0.0, given("yaw"));
    shot.free.speed = given("speed");
    FlightConditions conditions;
    conditions.eye_height += arrow.at("rest_height").get<double>() - setup.rest.height;  // the eye stays where it was
    conditions.wind_right = given("wind");
    conditions.vane_cant = given("cant");
    conditions.slope = given("slope");
    TargetFlightOptions options;
    options.fault.bend = given("bend");
    options.step = 1e-3;
    const Arrival arrival = fly_to(model, shot, given("distance"), {}, conditions, options);
    const std::string name = "flight " + std::to_string(++number) + ": ";
    check_absolute(name + "time", scipy, 1e3 * expected("time"), 1e3 * (arrival.time - shot.free.time), 1e-6, "ms");
    check_absolute(name + "height", scipy, 1e3 * expected("up"), 1e3 * arrival.up, 1e-4, "mm");
    check_absolute(name + "right", scipy, 1e3 * expected("right"), 1e3 * arrival.right, 1e-4, "mm");
    check_absolute(name + "speed", scipy, expected("speed"), arrival.speed, 1e-7, "m/s");
    check_absolute(name + "spin", scipy, expected("spin"), arrival.spin, 1e-6, "rad/s");
  }
}

TEST(TargetFlight, MeetsLagrangesEquationsByCasADi) {
  // Angles and roll as coordinates, forces by their virtual work, neither moment nor gyroscopic term written down. The
  // library's roll is the spin's integral alone and leaves out how up itself turns about the shaft: 0.13 µm with a bend
  // and a swing (flight 7), the reason for half a micrometre in height and right.
  const Source casadi{"CasADi and CVODES: Lagrange's equations, over the way of the point", "O"};
  std::ifstream stream(nockwise::source_folder("tests/reference/target_flight/lagrange.json"));
  const json document = json::parse(stream);
  const nockwise::Setup setup = demo_bow("larkspur");
  const Model model(setup);
  ASSERT_NEAR(model.arrow().mass, document.at("arrow").at("mass").get<double>(), 1e-12);
  int number = 0;
  for (const json& flight : document.at("flights")) {
    const auto given = [&](const char* name) { return flight.at("case").at(name).get<double>(); };
    const auto expected = [&](const char* name) { return flight.at("arrival").at(name).get<double>(); };
    Launch shot = free_arrow(model, given("pitch"), given("pitch_rate"), given("yaw"));
    shot.free.speed = given("speed");
    shot.free.yaw_rate = given("yaw_rate");
    for (std::size_t i = 0; i < shot.free.velocity_z_nodes.size(); ++i) {
      const double from_nock = static_cast<double>(i) * setup.arrow.length / (setup.arrow.nodes - 1);
      shot.free.velocity_z_nodes[i] = given("yaw_rate") * (from_nock - model.arrow().balance_point);
    }
    FlightConditions conditions;
    conditions.eye_height += document.at("arrow").at("rest_height").get<double>() - setup.rest.height;
    for (const FlightNumber& each : flight_numbers()) {
      if (flight.at("case").contains(each.name)) {
        each.set(conditions, given(each.name.c_str()));
      }
    }
    TargetFlightOptions options;
    options.fault.bend = given("bend");
    options.fault.bend_angle = given("bend_angle");
    options.step = 1e-3;
    const Arrival arrival = fly_to(model, shot, given("distance"), {}, conditions, options);
    const std::string name = "flight by Lagrange " + std::to_string(++number) + ": ";
    check_absolute(name + "time", casadi, 1e3 * expected("time"), 1e3 * (arrival.time - shot.free.time), 1e-6, "ms");
    check_absolute(name + "height", casadi, 1e3 * expected("up"), 1e3 * arrival.up, 5e-4, "mm");
    check_absolute(name + "right", casadi, 1e3 * expected("right"), 1e3 * arrival.right, 5e-4, "mm");
    check_absolute(name + "speed", casadi, expected("speed"), arrival.speed, 1e-7, "m/s");
    check_absolute(name + "spin", casadi, expected("spin"), arrival.spin, 1e-6, "rad/s");
  }
}

}  // namespace
}  // namespace nockwise
