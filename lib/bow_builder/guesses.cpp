#include "bow_builder/guesses.hpp"

#include "bow_builder/moving_parts.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/parameters.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <span>

namespace nockwise::detail {

namespace {

constexpr double degree = std::numbers::pi / 180.0;

/// From where to where a guess is plausible; the middle is the central bow's.
struct Span {
  double Guesses::*at;
  double low, high;
};

/// Of a factor on a parameter of the setup around the bow: as plausible anywhere as its width says.
Span factor(double Guesses::*at, const char* path) {
  const double most = std::numbers::sqrt3 * parameter(path).known.width.value;
  return {at, 1.0 - most, 1.0 + most};
}

/// Independent of each other but for what scales with the bow: closing with the power stroke, a limb's length with the
/// axle-to-axle length.
std::span<const Span> common_spans() {
  static const Span all[] = {
      {&Guesses::limb_length, 0.25, 0.33},
      {&Guesses::brace_angle, 0.60, 1.10},
      {&Guesses::growth, 0.15, 0.55},
      {&Guesses::let_out_radius, 0.011, 0.025},
      {&Guesses::fullness, 0.30, 0.80},
      {&Guesses::corners, 0.85, 1.15},
      {&Guesses::heaviness, 0.30, 0.90},
      {&Guesses::guard_raised, -0.02, 0.02},
      {&Guesses::guard_offset, 0.7, 1.3},
      factor(&Guesses::twist_stiffness, "limbs.upper.twist_stiffness"),
      factor(&Guesses::riser_mass, "riser.mass"),
  };
  return all;
}
/// Cams that a cable ties to each other, on short stiff limbs: the string leaves close by the axle at brace.
constexpr Span tied_cams[] = {
    {&Guesses::cam_turn, 165.0 * degree, 205.0 * degree},
    {&Guesses::closing, 0.022, 0.037},
    {&Guesses::eccentricity, 0.28, 0.64},
    {&Guesses::string_direction, -20.0 * degree, 45.0 * degree},
};
/// Cams on two yokes: an older kind, on limbs that travel farther, without which the cams would turn apart.
constexpr Span yoked_cams[] = {
    {&Guesses::cam_turn, 165.0 * degree, 215.0 * degree},
    {&Guesses::closing, 0.032, 0.048},
    {&Guesses::eccentricity, 0.08, 0.46},
    {&Guesses::string_direction, -50.0 * degree, 35.0 * degree},
};

/// Scales what goes with the size of the bow, and takes over what the sheet fixes.
Guesses fitted(const BowMeasurements& m, Guesses g) {
  const double stroke = m.draw_length - draw_length_allowance - m.brace_height;
  constexpr double ordinary_stroke = 0.53;
  constexpr double ordinary_height = 0.84;
  g.closing *= stroke / ordinary_stroke;
  g.limb_length *= std::clamp(std::sqrt(m.axle_to_axle / ordinary_height), 0.85, 1.15);
  if (m.limb.brace_angle) {
    g.brace_angle = *m.limb.brace_angle;
  }
  // The limbs' pivots stay clear of the hand.
  constexpr double nearest_pivot = 0.09;
  const double room = 0.5 * m.axle_to_axle - nearest_pivot - std::fabs(m.center_above_grip);
  g.limb_length = std::min(g.limb_length, room / std::cos(g.brace_angle));
  if (m.limb.effective_length) {
    g.limb_length = *m.limb.effective_length;
  }
  if (m.limb.travel) {
    g.closing = g.limb_length * (std::cos(g.brace_angle) - std::cos(g.brace_angle + *m.limb.travel));
  }
  g.let_out_radius = m.cam.let_out_radius.value_or(g.let_out_radius);
  g.string_direction = m.cam.string_direction.value_or(g.string_direction);
  return g;
}

std::span<const Span> kind_of_cams(const BowMeasurements& m) {
  return m.cabling == Cabling::yoke ? std::span<const Span>(yoked_cams) : std::span<const Span>(tied_cams);
}

}  // namespace

void set_hidden_parts(Setup& setup, const Guesses& guesses) {
  set_moving_parts(setup, guesses.heaviness);
  setup.cable_guard.height += guesses.guard_raised;
  setup.cable_guard.offset *= guesses.guard_offset;
  setup.limbs.upper.twist_stiffness *= guesses.twist_stiffness;
  setup.limbs.lower.twist_stiffness *= guesses.twist_stiffness;
  Riser& riser = setup.riser;
  for (double* part : {&riser.mass, &riser.pitch_inertia, &riser.yaw_inertia, &riser.roll_inertia}) {
    *part *= guesses.riser_mass;
  }
}

std::size_t count_of_guesses() {
  static_assert(std::size(tied_cams) == std::size(yoked_cams));
  return common_spans().size() + std::size(tied_cams);
}

Guesses guesses_at(const BowMeasurements& measurements, const std::vector<double>& places) {
  Guesses guesses;
  auto place = places.begin();
  for (const std::span<const Span> some : {common_spans(), kind_of_cams(measurements)}) {
    for (const Span& span : some) {
      guesses.*span.at = span.low + (span.high - span.low) * *place++;
    }
  }
  return fitted(measurements, guesses);
}

std::vector<double> drawn_places(std::uint64_t seed, std::uint64_t index) {
  RandomNumbers own(seed);
  RandomNumbers random(static_cast<std::uint64_t>(own.between(0.0, 4503599627370496.0)) +
                       0x632be59bd9b4e019ULL * index);
  std::vector<double> places(count_of_guesses());
  for (double& place : places) {
    place = random.between(0.0, 1.0);
  }
  return places;
}

Guesses central_guesses(const BowMeasurements& measurements) {
  return guesses_at(measurements, std::vector<double>(count_of_guesses(), 0.5));
}

Guesses drawn_guesses(const BowMeasurements& measurements, std::uint64_t seed, std::uint64_t index) {
  return guesses_at(measurements, drawn_places(seed, index));
}

}  // namespace nockwise::detail
