// A track as the kernels read it: exact circle, or rows of a uniform-grid cubic spline.
#pragma once

#include "kernel/scalar.hpp"

namespace nockwise::kernel {

template <class S>
struct TrackValue {
  S p, slope, area;
};

/// Rows are c0 c1 c2 c3 P0 per interval (see CompiledTrack). The table does not own them; the Model does.
template <class S>
struct TrackTable {
  bool is_circle = true;
  S radius{}, eccentricity{}, angle{};
  S first{}, step{}, inverse_step{};
  int intervals = 0;
  const double* rows = nullptr;
};

/// p, p′ and P at the normal angle `phi`. `excursion` grows to the largest overshoot of a spline's range [rad]: the
/// caller checks it after the step, so that the hot path has no branch on a value.
inline TrackValue<double> evaluate(const TrackTable<double>& track, double phi, double& excursion) {
  if (track.is_circle) {
    double sine = 0.0;
    double cosine = 0.0;
    sine_cosine(phi - track.angle, sine, cosine);
    return {track.radius + track.eccentricity * cosine, -track.eccentricity * sine,
            track.radius * phi + track.eccentricity * sine};
  }
  const double position = (phi - track.first) * track.inverse_step;
  const auto intervals = static_cast<double>(track.intervals);
  excursion = maximum(excursion, track.step * maximum(-position, position - intervals));
  const int row = static_cast<int>(minimum(maximum(position, 0.0), intervals - 1.0));
  const double* c = track.rows + 5 * row;
  const double t = phi - track.first - static_cast<double>(row) * track.step;
  const double p = c[0] + t * (c[1] + t * (c[2] + t * c[3]));
  const double slope = c[1] + t * (2.0 * c[2] + 3.0 * t * c[3]);
  const double area = c[4] + t * (c[0] + t * (0.5 * c[1] + t * (c[2] / 3.0 + 0.25 * t * c[3])));
  return {p, slope, area};
}

}  // namespace nockwise::kernel
