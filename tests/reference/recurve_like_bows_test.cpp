// Energy of measured recurve-like bows against the bows that the builder and the hinged limbs make.
//
// Tuijn & Kooi 1992, Eur. J. Phys. 13, Table I: four bows, effective draw (brace to full draw), peak force, energy by
// the trapezoid rule on the measured curve.
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace nockwise {
namespace {

struct MeasuredBow {
  double draw, peak_force, energy;  // [m, N, J]
};

constexpr MeasuredBow table_one[] = {
    {0.430, 170.5, 42.6}, {0.509, 170.0, 50.3}, {0.440, 178.0, 45.6}, {0.429, 130.0, 33.2}};

double fullness(const MeasuredBow& bow) { return bow.energy / (bow.peak_force * bow.draw); }

/// A symmetric bow of two rigid limbs on torsion springs and an inextensible string straight between their tips: at a
/// limb angle b from the riser's line, with the string's half s, the nock stands x behind the tips' line.
struct HingedBow {
  double riser = 0.30, limb = 0.45, brace_angle = 0.35;  // half riser [m], limb [m], angle at brace [rad]

  [[nodiscard]] double string_half() const { return riser + limb * std::cos(brace_angle); }
  [[nodiscard]] double nock(double angle) const {
    const double height = riser + limb * std::cos(angle);
    return limb * std::sin(angle) + std::sqrt(std::max(0.0, string_half() * string_half() - height * height));
  }
};

/// W / (F d) of the hinged bow drawn by `draw` [m]; the spring's preload is `bend` [rad] at brace. Its stiffness drops
/// out.
double hinged_fullness(const HingedBow& bow, double draw, double bend) {
  const double brace = bow.nock(bow.brace_angle);
  double angle = bow.brace_angle;
  while (bow.nock(angle) < brace + draw) {
    angle += 1e-5;
  }
  const double end = angle - bow.brace_angle + bend;
  const double energy = end * end - bend * bend;  // two limbs, k = 1
  constexpr double nudge = 1e-6;
  const double lever = (bow.nock(angle + nudge) - bow.nock(angle - nudge)) / (2.0 * nudge);
  return energy / (2.0 * end / lever * draw);
}

TEST(RecurveLikeBows, MeasuredOnesStoreJustOverHalf) {
  for (const MeasuredBow& bow : table_one) {
    EXPECT_GT(fullness(bow), 0.5);
    EXPECT_LT(fullness(bow), 0.6);
  }
}

TEST(RecurveLikeBows, AHingedBowStoresJustOverHalf) {
  for (const MeasuredBow& measured : table_one) {
    const double share = hinged_fullness(HingedBow{}, measured.draw, 0.5);
    EXPECT_GT(share, 0.5);
    EXPECT_LT(share, 0.6);
    EXPECT_NEAR(share, fullness(measured), 0.06);
  }
}

/// A cam can be made that draws like a recurve: a curve without let-off that still rises at the wall. It then stores
/// what the recurve stores.
TEST(RecurveLikeBows, TheBuilderDrawsACurveLikeTheirs) {
  const MeasuredBow& measured = table_one[1];
  BowMeasurements m;
  m.axle_to_axle = 1.0;
  m.brace_height = 0.219;
  m.draw_length = m.brace_height + measured.draw + draw_length_allowance;
  // F = a s + b s³ from brace with the measured peak and energy.
  const double linear = 4.0 * fullness(measured) - 1.0;
  for (double share = 0.04; share < 1.0001; share += 0.04) {
    const double force = measured.peak_force * (linear * share + (1.0 - linear) * share * share * share);
    m.draw_curve.push_back({m.brace_height + draw_length_allowance + share * measured.draw, force});
  }
  nockwise::Setup base;
  base.rest.position_x = 0.0;
  const BuiltBow bow = build_bow(m, base);
  const DrawCycle cycle = draw_cycle(Model(bow.setup), {200, DrawHold::draw_board});
  EXPECT_NEAR(cycle.stored_energy, measured.energy, 0.01 * measured.energy);
  EXPECT_NEAR(cycle.stored_energy / (cycle.peak_force * cycle.power_stroke), fullness(measured), 0.01);
}

TEST(RecurveLikeBows, CompoundsStoreMore) {
  for (const char* name : {"larkspur.toml", "alder.toml", "wheelwright.toml"}) {
    const DrawCycle cycle =
        draw_cycle(Model(read_setup(nockwise::source_folder(std::string("examples/setups/") + name))));
    EXPECT_GT(cycle.stored_energy / (cycle.peak_force * cycle.power_stroke), 0.65) << name;
  }
}

}  // namespace
}  // namespace nockwise
