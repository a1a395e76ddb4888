/// @file
/// The ideal hinged bow (rigid limbs, massless inextensible string): statics in closed form, launch by quadrature and
/// by time stepping, and its known property that the arrow takes all of the energy.
///
/// It is put together from the kernel's parts: the string comes from tracks of 1 nm, the cams are too heavy to turn,
/// the cables so long that they never pull, and the arrow is the string's point. The string is elastic, so that every
/// result tends to the reference with 1/EA.
#include "check_table.hpp"
#include "kernel/right_hand_side.hpp"
#include "statics/statics.hpp"
#include "wheelwright_bow.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <string>

namespace nockwise {
namespace {

constexpr double limb = 0.45;
constexpr double hinge = 0.15;
constexpr double spring = 120.0;
constexpr double half_string = 0.5624318125;
constexpr double brace = 0.18;
constexpr double arrow_mass = 0.025;
constexpr double full_draw = 0.65;

const Source worked{"ideal hinged bow, worked example", "C×2"};

class HingedBow {
 public:
  using L = kernel::Layout<1>;
  using Constants = kernel::Constants<double, 1>;
  using Coordinates = detail::Coordinates;

  HingedBow(double axial_rigidity, double limb_inertia)
      : data_(detail::compile(wheelwright_setup("symmetric"))), c_(std::get<Constants>(data_->constants)) {
    kernel::TrackTable<double> point;
    point.radius = 1e-9;
    for (auto& half : c_.half) {
      half.base_x = 0.0;
      half.base_y = hinge;
      half.links[0] = {0.0, limb, spring, 0.0, 0.0, limb_inertia / (limb * limb), 0.0};
      half.cam_mass = 0.0;
      half.cam_inertia = 1e9;
      half.string_track = half.take_up_track = point;
      half.stop.stiffness = 0.0;
    }
    for (int h = 0; h < 2; ++h) {
      c_.string[h] = {half_string, axial_rigidity / half_string, 0.0};
      c_.cable[h].natural = 100.0;
    }
    c_.riser.mass = c_.riser.pitch_inertia = 1e12;
    c_.hand.kx = c_.hand.ky = c_.hand.k_pitch = 0.0;
    c_.nock_mass = arrow_mass;
    topology_ = data_->topology;
  }

  struct Stand {
    double angle, force, tension, energy;
    Coordinates q;
    kernel::RunDirections<double> run_directions;
  };

  /// Equilibrium with the nock held `nock` behind the hinges: the limbs' angle by Newton's method.
  [[nodiscard]] Stand stand(double nock) const {
    Stand s{};
    s.q[L::string_x] = -nock;
    double beta = angle_of_inextensible(nock);
    for (int i = 0; i < 50; ++i) {
      const double moment = moment_at(beta, s);
      const double step = 1e-7;
      Stand other = s;
      // Backward, to the side where the string is taut.
      const double change = moment / ((moment - moment_at(beta - step, other)) / step);
      beta -= change;
      if (std::fabs(change) < 1e-14) {
        break;
      }
    }
    moment_at(beta, s);
    return s;
  }

  /// Acceleration of the nock on release with the string's length held: J β̈ = −k β − T ∂L/∂β, m ẍ = −2 T ∂L/∂x,
  /// d²L/dt² = 0 from rest; directions and arms are the kernel's.
  [[nodiscard]] double constrained_acceleration(const Stand& s) const {
    const kernel::HalfMotion<double, 1> m = motion(s.q);
    kernel::LineLoads<double, 1> loads = line_loads(s);
    const auto d = loads.string[0].direction;
    const double by_angle = -kernel::dot(d, kernel::quarter_turn(m.axle() - m.joint[0]));
    const double by_nock = d.x;
    const double inertia = c_.half[0].links[0].mass * limb * limb;
    // T = −∂L/∂β k β/J / ((∂L/∂β)²/J + 2 (∂L/∂x)²/m)
    const double tension =
        -by_angle * spring * s.angle / (by_angle * by_angle + 2.0 * by_nock * by_nock * inertia / arrow_mass);
    return -2.0 * tension * by_nock / arrow_mass;
  }

  struct Shot {
    double time, speed;
  };

  /// Release, and step with the classical Runge–Kutta method until the nock passes brace.
  [[nodiscard]] Shot launch(double step) const {
    const Stand s = stand(full_draw);
    Coordinates q = s.q;
    Coordinates v{};
    kernel::RunDirections<double> run_directions = s.run_directions;
    const auto slope = [&](const Coordinates& at, const Coordinates& rate) {
      Coordinates a{};
      kernel::accelerations(c_, topology_, 0.0, at.data(), rate.data(), a.data(), run_directions);
      return a;
    };
    const auto plus = [](const Coordinates& x, double k, const Coordinates& y) {
      Coordinates sum = x;
      for (std::size_t i = 0; i < used; ++i) {
        sum[i] += k * y[i];
      }
      return sum;
    };
    for (double time = 0.0; time < 0.05; time += step) {
      const Coordinates a1 = slope(q, v);
      const Coordinates v2 = plus(v, 0.5 * step, a1);
      const Coordinates a2 = slope(plus(q, 0.5 * step, v), v2);
      const Coordinates v3 = plus(v, 0.5 * step, a2);
      const Coordinates a3 = slope(plus(q, 0.5 * step, v2), v3);
      const Coordinates v4 = plus(v, step, a3);
      const Coordinates a4 = slope(plus(q, step, v3), v4);
      const Coordinates before = q;
      const Coordinates rate_before = v;
      for (std::size_t i = 0; i < used; ++i) {
        q[i] += step / 6.0 * (v[i] + 2.0 * v2[i] + 2.0 * v3[i] + v4[i]);
        v[i] += step / 6.0 * (a1[i] + 2.0 * a2[i] + 2.0 * a3[i] + a4[i]);
      }
      if (q[L::string_x] > -brace) {
        const double share = (-brace - before[L::string_x]) / (q[L::string_x] - before[L::string_x]);
        return {time + share * step, rate_before[L::string_x] + share * (v[L::string_x] - rate_before[L::string_x])};
      }
    }
    return {0.0, 0.0};
  }

 private:
  static constexpr std::size_t used = L::rest_arm;  // the vertical plane without rest and arrow

  static double angle_of_inextensible(double nock) {
    double low = 0.0;
    double high = 1.4;
    for (int i = 0; i < 60; ++i) {
      const double beta = 0.5 * (low + high);
      const double length = std::hypot(nock - limb * std::sin(beta), hinge + limb * std::cos(beta));
      (length > half_string ? low : high) = beta;
    }
    return low;
  }
  [[nodiscard]] kernel::HalfMotion<double, 1> motion(const Coordinates& q) const {
    const Coordinates still{};
    const auto riser = kernel::riser_motion<double, 1>(q.data(), still.data());
    return kernel::half_motion(c_.half[0], riser, q.data() + L::joint(0, 0), still.data(), 0.0, 0.0);
  }
  [[nodiscard]] kernel::LineLoads<double, 1> line_loads(const Stand& s) const {
    detail::Statics<1> statics(c_, topology_);
    statics.set_run_directions(s.run_directions);
    kernel::HalfMotion<double, 1> m[2];
    return statics.loads(s.q, m);
  }
  /// Moment on the upper limb about its hinge; `s` receives the state.
  double moment_at(double beta, Stand& s) const {
    s.angle = beta;
    s.q[L::joint(0, 0)] = s.q[L::joint(1, 0)] = beta;
    detail::Statics<1> statics(c_, topology_);
    EXPECT_TRUE(statics.settle(s.q));
    s.run_directions = statics.run_directions();
    kernel::LineLoads<double, 1> loads = line_loads(s);
    const kernel::HalfMotion<double, 1> m = motion(s.q);
    const Coordinates still{};
    kernel::add_passive_loads(c_.half[0], m, s.q.data() + L::joint(0, 0), still.data(), 0.0, {0.0, 0.0}, loads.half[0]);
    s.force = loads.nock_force.x;
    s.tension = loads.string_tension[0];
    s.energy = kernel::bow_strain(c_, loads, s.q.data()).total();
    return kernel::generalised(m, loads.half[0]).own[0];
  }

  std::shared_ptr<const detail::ModelData> data_;
  Constants c_;
  kernel::Topology topology_;
};

struct Row {
  double nock, angle, force, tension, energy;
};

TEST(IdealHingedBow, HasTheTablesStatics) {
  const std::array<Row, 5> table{{{0.20, 0.41334316, 17.431709, 254.691967, 0.18077486},
                                  {0.25, 0.43032554, 49.321623, 222.722237, 1.90007517},
                                  {0.40, 0.53834013, 115.629606, 192.089597, 14.45567834},
                                  {0.60, 0.74869389, 216.510057, 207.312054, 46.94357198},
                                  {0.65, 0.81108742, 251.682800, 218.627952, 58.62200207}}};
  // EA = 1e10 N: the string stretches by 2e-8 of its length, and the deviations are of that order; the table has eight
  // digits.
  const HingedBow bow(1e10, 0.003);
  const double at_brace = bow.stand(brace).energy;
  check_relative("hinged bow, string tension at brace", worked, 274.344564, bow.stand(brace).tension, 1e-6, "N");
  for (const Row& row : table) {
    const HingedBow::Stand s = bow.stand(row.nock);
    char at[40];
    std::snprintf(at, sizeof at, "hinged bow, nock at %.2f m: ", row.nock);
    check_absolute(std::string(at) + "limb angle", worked, row.angle, s.angle, 1e-7, "rad");
    check_relative(std::string(at) + "draw force", worked, row.force, s.force, 2e-6, "N");
    check_relative(std::string(at) + "string tension", worked, row.tension, s.tension, 2e-6, "N");
    check_absolute(std::string(at) + "stored energy", worked, row.energy, s.energy - at_brace, 2e-6, "J");
  }
}

TEST(IdealHingedBow, TendsToTheTableWithTheStringsCompliance) {
  const auto error = [](double axial_rigidity) {
    return HingedBow(axial_rigidity, 0.003).stand(full_draw).force - 251.682800;
  };
  EXPECT_NEAR(error(1e6) / error(1e7), 10.0, 0.1);
}

TEST(IdealHingedBow, StartsWithTheConstrainedAcceleration) {
  // The table has seven digits.
  const HingedBow light(1e10, 1e-9);
  check_relative("hinged bow, initial acceleration, J = 0", worked, 10067.31,
                 light.constrained_acceleration(light.stand(full_draw)), 2e-6, "m/s²");
  const HingedBow heavy(1e10, 0.003);
  check_relative("hinged bow, initial acceleration, J = 0.003 kg·m²", worked, 7184.78,
                 heavy.constrained_acceleration(heavy.stand(full_draw)), 2e-6, "m/s²");
}

TEST(IdealHingedBow, GivesTheArrowAllOfTheEnergy) {
  // EA = 1e8 N; the errors fall with 1/EA, to 1e-8 s and 2e-3 m/s here. The table has six digits of the time.
  const HingedBow::Shot shot = HingedBow(1e8, 0.003).launch(2.5e-7);
  check_absolute("hinged bow, J = 0.003 kg·m², time to brace", worked, 0.0121461, shot.time, 1e-7, "s");
  check_relative("hinged bow, J = 0.003 kg·m², exit speed", worked, 68.4818236, shot.speed, 5e-5, "m/s");
  check_absolute("hinged bow, J = 0.003 kg·m², efficiency", worked, 1.0,
                 0.5 * arrow_mass * shot.speed * shot.speed / 58.62200207, 1e-4);
  const HingedBow::Shot soft = HingedBow(1e6, 0.003).launch(1e-6);
  const HingedBow::Shot stiff = HingedBow(1e7, 0.003).launch(1e-6);
  EXPECT_NEAR((soft.speed - 68.4818236) / (stiff.speed - 68.4818236), 10.0, 1.5);
  EXPECT_NEAR((soft.time - 0.0121461) / (stiff.time - 0.0121461), 10.0, 1.5);
}

TEST(IdealHingedBow, IsQuickerWithoutTheLimbsInertia) {
  // The kernel needs some; the time goes with it linearly.
  const HingedBow::Shot light = HingedBow(1e7, 3e-4).launch(5e-7);
  const HingedBow::Shot lighter = HingedBow(1e7, 1e-4).launch(5e-7);
  check_absolute("hinged bow, J → 0, time to brace", worked, 0.0108711, (3.0 * lighter.time - light.time) / 2.0, 2e-6,
                 "s");
  check_relative("hinged bow, J → 0, exit speed", worked, 68.4818236, lighter.speed, 5e-5, "m/s");
}

}  // namespace
}  // namespace nockwise
