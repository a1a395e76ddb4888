// A track as the kernels read it: exact circle, or rows of a uniform-grid cubic spline (lib/README.md, "Tracks").
#pragma once

#include "numerics/scalar.hpp"

namespace nockwise::kernel {

/// Support distance p at a normal angle, its first two derivatives, and the area's P = ∫p.
template <class S>
struct TrackValue {
  S p, slope, curve, area;
};

/// Rows are c0 c1 c2 c3 P0 per interval (see CompiledTrack). The table does not own them; the Model does.
template <class S>
struct TrackTable {
  per_lane<S, bool> is_circle = all_lanes<S>(true);          // alike in all lanes of a pack
  S radius{0.0}, eccentricity{0.0}, cosine{1.0}, sine{0.0};  // of a circle; of the angle of its centre
  S first{0.0}, step{0.0}, inverse_step{0.0}, intervals{0.0};
  per_lane<S, const double*> rows = all_lanes<S>(static_cast<const double*>(nullptr));
};

/// A circle whose centre stands `eccentricity` from the axle, at `angle` in the cam's frame.
inline TrackTable<double> circle_table(double radius, double eccentricity, double angle) {
  TrackTable<double> table;
  table.radius = radius;
  table.eccentricity = eccentricity;
  table.cosine = std::cos(angle);
  table.sine = std::sin(angle);
  return table;
}

template <class S>
using TrackWindow = RowWindow<S, 5>;

template <class S>
TrackValue<S> evaluate_spline(const TrackTable<S>& track, S normal, TrackWindow<S>& window, S& excursion) {
  const S position = (normal - track.first) * track.inverse_step;
  excursion = maximum(excursion, track.step * maximum(-position, position - track.intervals));
  const S row = whole_part(minimum(positive(position), track.intervals - S(1.0)));
  const S t = normal - track.first - row * track.step;
  const S* c = row_of(track.rows, row, window);
  TrackValue<S> value;
  value.p = c[0] + t * (c[1] + t * (c[2] + t * c[3]));
  value.slope = c[1] + t * (S(2.0) * c[2] + S(3.0) * t * c[3]);
  value.curve = S(2.0) * c[2] + S(6.0) * t * c[3];
  value.area = c[4] + t * (c[0] + t * (S(0.5) * c[1] + t * (S(1.0 / 3.0) * c[2] + S(0.25) * t * c[3])));
  return value;
}

/// Value at the normal angle `normal`; a circle is read by the cosine and sine of the angle from its centre's direction
/// to the normal, which the caller has without trigonometry. `excursion` grows to the largest overshoot of a spline's
/// range [rad]: the caller checks it after the step, so that the hot path has no branch on a value.
template <class S>
TrackValue<S> evaluate(const TrackTable<S>& track, S normal, S cosine, S sine, TrackWindow<S>& window, S& excursion) {
  if (uniform(track.is_circle)) {
    const S x = track.eccentricity * cosine;
    const S y = track.eccentricity * sine;
    return {track.radius + x, -y, -x, track.radius * normal + y};
  }
  return evaluate_spline(track, normal, window, excursion);
}

/// Value at a normal angle whose cosine and sine nobody knows yet.
inline TrackValue<double> evaluate(const TrackTable<double>& track, double normal, double& excursion) {
  const Turn<double> at(normal);
  TrackWindow<double> window;
  return evaluate(track, normal, at.cosine * track.cosine + at.sine * track.sine,
                  at.sine * track.cosine - at.cosine * track.sine, window, excursion);
}

/// A track on a cam that has turned: the direction of a circle's centre in the side frame.
template <class S>
struct PlacedTrack {
  const TrackTable<S>* table;
  S turn, cosine, sine;

  PlacedTrack(const TrackTable<S>& track, const Turn<S>& cam) : table(&track), turn(cam.angle), cosine(0.0), sine(0.0) {
    if (uniform(track.is_circle)) {
      cosine = cam.cosine * track.cosine - cam.sine * track.sine;
      sine = cam.sine * track.cosine + cam.cosine * track.sine;
    }
  }
};

}  // namespace nockwise::kernel
