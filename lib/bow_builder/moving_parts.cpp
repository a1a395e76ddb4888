#include "bow_builder/moving_parts.hpp"

#include "nockwise/flight.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

/// One parameter of light and of heavy parts.
struct Part {
  const char* path;
  double light, heavy;  // [SI]
};

constexpr Part bow_parts[] = {
    {"string.mass", 0.0050, 0.0075},
    {"string.serving_and_loop_mass", 0.0010, 0.0026},
    {"string.damping", 2.0, 6.0},
};
constexpr Part half_parts[][2] = {
    {{"limbs.upper.effective_mass", 0.028, 0.060}, {"limbs.lower.effective_mass", 0.028, 0.060}},
    {{"limbs.upper.damping", 0.01, 0.05}, {"limbs.lower.damping", 0.01, 0.05}},
    {{"cams.upper.mass", 0.070, 0.110}, {"cams.lower.mass", 0.070, 0.110}},
    {{"cams.upper.inertia", 5.0e-5, 1.5e-4}, {"cams.lower.inertia", 5.0e-5, 1.5e-4}},
    {{"cables.upper.damping", 4.0, 12.0}, {"cables.lower.damping", 4.0, 12.0}},
};

/// Bowstring fibre has 112 to 137 N/tex, and an assembled string about half: 285 kN for 24 strands of 190 tex.
constexpr Part lines[] = {
    {"string.axial_rigidity", 3.4e5, 2.0e5},
    {"cables.upper.axial_rigidity", 3.6e5, 2.2e5},
    {"cables.lower.axial_rigidity", 3.6e5, 2.2e5},
};

void set(Setup& setup, const Part& part, double heaviness) {
  setup.set(part.path, part.light * std::pow(part.heavy / part.light, heaviness));
}

}  // namespace

void set_moving_masses(Setup& setup, double heaviness) {
  for (const Part& part : bow_parts) {
    set(setup, part, heaviness);
  }
  for (const auto& pair : half_parts) {
    set(setup, pair[0], heaviness);
    set(setup, pair[1], heaviness);
  }
  setup.cams.upper.bearing_damping = 0.0;
  setup.cams.lower.bearing_damping = 0.0;
}

void set_moving_parts(Setup& setup, double heaviness) {
  set_moving_masses(setup, heaviness);
  for (const Part& part : lines) {
    set(setup, part, heaviness);
  }
}

Setup with_arrow_of(Setup setup, double mass) {
  Arrow& arrow = setup.arrow;
  const double parts = arrow.insert_mass + arrow.nock_mass + arrow.fletching.count * arrow.fletching.mass_each;
  constexpr double lightest_point = 0.0032;
  constexpr double heaviest_point = 0.0130;
  constexpr double lightest_shaft = 0.006;  // [kg/m]
  const double point = mass - parts - arrow.linear_density * arrow.length;
  arrow.point_mass = std::clamp(point, lightest_point, heaviest_point);
  if (point != arrow.point_mass) {
    arrow.linear_density = (mass - parts - arrow.point_mass) / arrow.length;
  }
  if (arrow.linear_density < lightest_shaft) {  // lighter than any arrow that is sold: everything in proportion
    arrow.linear_density = lightest_shaft;
    const double share = mass / (parts + arrow.point_mass + arrow.linear_density * arrow.length);
    for (double* part :
         {&arrow.linear_density, &arrow.point_mass, &arrow.insert_mass, &arrow.nock_mass, &arrow.fletching.mass_each}) {
      *part *= share;
    }
  }
  return setup;
}

double speed_of(const Setup& setup) {
  const Model model(setup);
  return chronograph_speed(model, launch(model));
}

}  // namespace nockwise::detail
