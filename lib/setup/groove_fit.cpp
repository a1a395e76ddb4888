#include "nockwise/groove.hpp"
#include "setup/fitted_groove.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <vector>

namespace nockwise {

namespace {

constexpr double full_turn = 2.0 * std::numbers::pi;
/// As in the fit (track_groove.cpp): deeper inside, a point lies in a hollow [m].
constexpr double depth_of_a_hollow = 3e-4;

/// How far inside the groove a point lies [m]: least of p(φ) − v·n(φ) over φ. Negative: outside.
double depth_of(const std::array<double, 2>& point, const CompiledTrack& track) {
  const auto depth = [&](double angle) {
    return track.evaluate(angle).distance - point[0] * std::cos(angle) - point[1] * std::sin(angle);
  };
  constexpr int grid = 360;
  double best = 0.0;
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i < grid; ++i) {
    const double angle = full_turn * i / grid;
    if (const double here = depth(angle); here < least) {
      least = here;
      best = angle;
    }
  }
  // Golden section between the neighbours of the grid: the depth has one minimum there.
  constexpr double golden = 0.3819660112501051;
  double low = best - full_turn / grid;
  double high = best + full_turn / grid;
  for (int i = 0; i < 40; ++i) {
    const double left = low + golden * (high - low);
    const double right = high - golden * (high - low);
    if (depth(left) < depth(right)) {
      high = right;
    } else {
      low = left;
    }
  }
  return std::min(least, depth(0.5 * (low + high)));
}

void measure_points(const GrooveTrack& groove, const CompiledTrack& track, GrooveFit& fit) {
  double squares = 0.0;
  std::size_t counted = 0;
  for (std::size_t i = 0; i < groove.points.size(); ++i) {
    const double depth = depth_of(groove.points[i], track);
    if (depth > depth_of_a_hollow) {
      ++fit.points_in_hollows;
      if (depth > fit.deepest) {
        fit.deepest = depth;
        fit.deepest_point = i;
      }
      continue;
    }
    squares += depth * depth;
    ++counted;
    if (std::abs(depth) > fit.farthest) {
      fit.farthest = std::abs(depth);
      fit.farthest_point = i;
    }
  }
  fit.scatter = counted > 0 ? std::sqrt(squares / static_cast<double>(counted)) : 0.0;
}

void measure_gaps(const GrooveTrack& groove, GrooveFit& fit) {
  std::vector<std::size_t> order(groove.points.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto direction = [&](std::size_t i) { return std::atan2(groove.points[i][1], groove.points[i][0]); };
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return direction(a) < direction(b); });
  for (std::size_t i = 0; i < order.size(); ++i) {
    const bool last = i + 1 == order.size();
    const double gap = direction(order[last ? 0 : i + 1]) - direction(order[i]) + (last ? full_turn : 0.0);
    if (gap > fit.widest_gap) {
      fit.widest_gap = gap;
      fit.gap_after = order[i];
    }
  }
}

}  // namespace

GrooveFit fit_groove(const GrooveTrack& groove) {
  GrooveFit fit;
  fit.spline = detail::fitted_groove(groove)->spline;  // kept, for the track too
  const CompiledTrack track(groove);
  fit.smallest_radius = track.smallest_radius();
  measure_points(groove, track, fit);
  measure_gaps(groove, fit);
  return fit;
}

}  // namespace nockwise
