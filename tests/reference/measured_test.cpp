/// @file
/// What was measured, or is traded as a figure, of arrows, shims, strings and nocks.
#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <tuple>

namespace nockwise {
namespace {

constexpr double inch = 0.0254;
constexpr double grain = 64.79891e-6;
constexpr double foot = 0.3048;

using testing::demo_bow;

PaperTear tear_of(const nockwise::Setup& setup, double distance) {
  const Model model(setup);
  return paper_tear(model, launch(model), distance);
}

/// Built from its parts: shaft of 29 in, 9 gr/in; insert 28, bushing 10, nock 9, three vanes 18 gr together.
nockwise::Setup weighed_arrow(double point) {
  nockwise::Setup setup = demo_bow("larkspur");
  Arrow& arrow = setup.arrow;
  arrow.length = 29.0 * inch;
  arrow.linear_density = 9.0 * grain / inch;
  arrow.point_mass = point * grain;
  arrow.insert_mass = 28.0 * grain;
  arrow.nock_mass = 19.0 * grain;
  arrow.fletching.count = 3;
  arrow.fletching.mass_each = 6.0 * grain;
  return setup;
}

TEST(Measured, FiveArrowsWeighAndBalanceAsBuilt) {
  const Source weighed{"S. Hafvenstein, \"Arrow Speed vs. Weight. Which Matters?\": five arrows weighed and balanced",
                       "S"};
  struct Row {
    double point, mass, balance;
  };
  constexpr Row rows[] = {{100.0, 429.45, 10.77},
                          {125.0, 454.67, 12.82},
                          {150.0, 479.23, 14.65},
                          {175.0, 504.82, 16.31},
                          {200.0, 529.51, 17.80}};
  double first = 0.0;
  double last = 0.0;
  for (const Row& row : rows) {
    const ArrowProperties found = Model(weighed_arrow(row.point)).arrow();
    const std::string which = ", arrow with a point of " + std::to_string(static_cast<int>(row.point)) + " gr";
    check_absolute("mass" + which, weighed, row.mass, found.mass / grain, 4.0, "gr");
    check_absolute("front of centre" + which, weighed, row.balance, 100.0 * found.front_of_center, 1.0, "%");
    (row.point < 110.0 ? first : last) = 100.0 * found.front_of_center;
  }
  check_absolute("front of centre with 200 gr less that with 100 gr", weighed, 7.03, last - first, 0.7, "%");
}

/// One centre shot, one bow: what both cams are shimmed by until the hole at 15 ft is clean sideways.
double clean_shim(nockwise::Setup setup, double spine, double front) {
  setup.set("arrow.spine", spine * inch);
  setup.arrow.point_mass = front * grain - setup.arrow.insert_mass;
  const auto right = [&](double shim) {
    setup.cams.upper.shim = shim;
    setup.cams.lower.shim = shim;
    return tear_of(setup, 15.0 * foot).right;
  };
  double a = -1e-3;
  double b = 1e-3;
  double at_a = right(a);
  double at_b = right(b);
  for (int i = 0; i < 8 && std::fabs(at_b) > 1e-4 && at_b != at_a; ++i) {
    const double next = b - at_b * (b - a) / (at_b - at_a);
    a = b;
    at_a = at_b;
    b = std::clamp(next, -0.015, 0.015);
    at_b = right(b);
  }
  EXPECT_LE(std::fabs(at_b), 1e-3) << "spine " << spine << ", " << front << " gr";
  return b;
}

TEST(Measured, ShimsAloneCleanEverySpineSideways) {
  const Source litke{
      "T. Litke, \"Arrow Ballistics Study 2026\": 34 builds made a clean hole at 15 ft by the limbs' place alone, one "
      "centre shot",
      "S"};
  for (const char* bow : {"larkspur", "alder"}) {
    for (const double spine : {0.2, 0.25, 0.3, 0.34}) {
      for (const double front : {125.0, 350.0}) {
        const double shim = clean_shim(demo_bow(bow), spine, front);
        check_range("shim of both cams that makes a clean hole sideways at 15 ft, spine " +
                        std::to_string(static_cast<int>(1000 * spine + 0.5)) + ", " +
                        std::to_string(static_cast<int>(front)) + " gr in front, " + bow,
                    litke, -3.0, 3.0, 1e3 * shim, "mm");
      }
    }
  }
}

TEST(Measured, StringsAreAsStiffAsOneMeasured) {
  const Source meyer{"H. O. Meyer, arXiv:1511.02250, second-hand: 179 kN, a recurve's string; within a factor of two",
                     "S2, C"};
  for (const char* bow : {"larkspur", "alder", "wheelwright", "withy", "coppice"}) {
    check_range(std::string("axial rigidity of the string, ") + bow, meyer, 90.0, 358.0,
                1e-3 * demo_bow(bow).string.axial_rigidity, "kN");
  }
}

/// How near the string's push brings a shaft to buckling: the largest push, and the mean over the shaft's length of the
/// share of it that what is ahead takes, in units of the shaft's Euler load.
double buckling_index(const nockwise::Setup& setup) {
  LaunchOptions options;
  options.trace = true;
  const Launch shot = launch(Model(setup), options);
  const double push = *std::max_element(shot.trace.axial_push.begin(), shot.trace.axial_push.end());
  const Arrow& arrow = setup.arrow;
  const double mass = Model(setup).arrow().mass;
  const double ahead = arrow.point_mass + arrow.insert_mass + 0.5 * arrow.linear_density * arrow.length;
  constexpr double pi = 3.14159265358979;
  return push * (ahead / mass) / (pi * pi * arrow.bending_stiffness / (arrow.length * arrow.length));
}

/// By how many pounds of peak an index grows as much as by 25 gr of point [lbf].
double point_against_pounds(const nockwise::Setup& setup, double (*index)(const nockwise::Setup&)) {
  nockwise::Setup heavy = setup;
  heavy.arrow.point_mass += 25.0 * grain;
  nockwise::Setup strong = setup;
  for (Limb* limb : {&strong.limbs.upper, &strong.limbs.lower}) {
    limb->torsion_stiffness *= 1.03;
  }
  const double pounds = (draw_cycle(Model(strong)).peak_force - draw_cycle(Model(setup)).peak_force) / 4.4482216;
  const double here = index(setup);
  return (index(heavy) - here) / ((index(strong) - here) / pounds);
}

TEST(Measured, PointsAndPoundsAreTradedAsAShaftMakerDoes) {
  const Source chart{"a shaft maker's selection chart, 2015: 25 gr of point count as 3 lbf of peak; factor of two",
                     "S"};
  for (const char* bow : {"larkspur", "alder"}) {
    const nockwise::Setup setup = demo_bow(bow);
    check_range(std::string("buckling index by 25 gr of point over that by 1 lbf of peak, ") + bow, chart, 1.5, 6.0,
                point_against_pounds(setup, buckling_index), "lbf");
  }
}

/// Largest distance of the shaft from the line through its ends, sideways, until the arrow leaves [m].
double side_bend(const nockwise::Setup& setup) {
  LaunchOptions options;
  options.trace = true;
  const Launch shot = launch(Model(setup), options);
  const Trace& trace = shot.trace;
  const std::size_t nodes = trace.arrow_z.size() / trace.time.size();
  double most = 0.0;
  for (std::size_t i = 0; i < trace.time.size(); ++i) {
    const double* z = &trace.arrow_z[i * nodes];
    for (std::size_t n = 0; n < nodes; ++n) {
      const double line = z[0] + (z[nodes - 1] - z[0]) * static_cast<double>(n) / static_cast<double>(nodes - 1);
      most = std::max(most, std::fabs(z[n] - line));
    }
  }
  return most;
}

/// A release bends the shaft sideways by a tenth of a millimetre or two, and how a stronger bow changes that has no
/// sign: the chart's rule lives in fingers, or in what nearly buckles, not in the side bend of a released string.
TEST(Measured, TheSideBendIsNotTradedSo) {
  const Source chart{"a shaft maker's selection chart, 2015: 25 gr of point count as 3 lbf of peak", "S"};
  for (const char* bow : {"larkspur", "alder", "withy", "coppice"}) {
    const nockwise::Setup setup = demo_bow(bow);
    check_range(std::string("largest side bend by 25 gr of point over that by 1 lbf of peak (rule: 3 lbf), ") + bow,
                disagreement(chart), -9.0, 9.0, point_against_pounds(setup, side_bend), "lbf");
    EXPECT_LT(side_bend(setup), 0.3e-3) << bow;
  }
}

TEST(Measured, APeepCostsWhatRetailersSay) {
  const Source guide{"\"Fast arrows or slow arrows\", retail guide: a peep costs 3 to 6 ft/s; factor of two", "S"};
  for (const char* bow : {"larkspur", "alder", "coppice"}) {
    const nockwise::Setup setup = demo_bow(bow);
    nockwise::Setup peep = setup;
    peep.string.serving_and_loop_mass += 15.0 * grain;
    check_range(std::string("speed lost by 15 gr at the nock, as a peep with its serving, ") + bow, guide, 1.5, 12.0,
                (launch(Model(setup)).exit_speed - launch(Model(peep)).exit_speed) / foot, "ft/s");
  }
}

/// A shop's test: an arrow follows the string for about half an inch before it drops off, some 27 N.
TEST(Measured, HoldOfTheNock) {
  const Source shop{"\"How should my nocks fit\": an arrow follows the string for about 1/2 in; F = 4 T y / L", "S, C"};
  const Source study{"nock hold of 5 to 30 N, our own sweep", "O"};
  for (const char* bow : {"larkspur", "alder", "wheelwright", "withy", "coppice"}) {
    nockwise::Setup setup = demo_bow(bow);
    const std::string name = std::string(", ") + bow;
    const BraceState brace = Model(setup).brace();
    check_range("pull that half an inch of the string makes at brace" + name, shop, 13.0, 80.0,
                setup.arrow.nock_hold * 0.5 * inch / brace.nock_pull_off, "N");
    const auto shot = [&](double hold) {
      setup.arrow.nock_hold = hold;
      const Model model(setup);
      const Launch launched = launch(model);
      const PaperTear tear = paper_tear(model, launched);
      return std::array<double, 3>{tear.up / inch, tear.right / inch, launched.exit_speed / foot};
    };
    const auto loose = shot(5.0);
    const auto tight = shot(30.0);
    check_range("tear up with a hold of 30 N less that with 5 N" + name, study, -0.05, 0.05, tight[0] - loose[0], "in");
    check_range("tear right with a hold of 30 N less that with 5 N" + name, study, -0.01, 0.01, tight[1] - loose[1],
                "in");
    check_range("speed with a hold of 30 N less that with 5 N" + name, study, -0.2, 0.0, tight[2] - loose[2], "ft/s");
  }
}

/// A tight nock: friction of a string that 150 N press into a throat of 1.2 mm with a coefficient of 0.3, and a grip of
/// 4 mm of a string under 500 N.
TEST(Measured, ANockThatGrips) {
  const Source study{"a nock that grips the string, our own sweep", "O"};
  for (const char* bow : {"larkspur", "alder", "wheelwright", "withy", "coppice"}) {
    const nockwise::Setup setup = demo_bow(bow);
    const PaperTear free = tear_of(setup, 12.0 * foot);
    const std::string name = std::string(", ") + bow;
    for (const auto& [what, stiffness, friction] :
         {std::tuple{"friction of 0.05 N·m", 0.0, 0.05}, std::tuple{"stiffness of 2 N·m/rad", 2.0, 0.0}}) {
      nockwise::Setup grips = setup;
      grips.arrow.nock_stiffness = stiffness;
      grips.arrow.nock_friction = friction;
      const PaperTear held = tear_of(grips, 12.0 * foot);
      check_range(std::string("tear up by a nock with a ") + what + name, study, -0.15, 0.15,
                  (held.up - free.up) / inch, "in");
      check_range(std::string("tear right by a nock with a ") + what + name, study, -0.01, 0.01,
                  (held.right - free.right) / inch, "in");
    }
  }
}

}  // namespace
}  // namespace nockwise
