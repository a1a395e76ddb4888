#include "kernel/taut_run.hpp"

#include "compile/model_data.hpp"
#include "nockwise/track.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

namespace nockwise::kernel {
namespace {

TrackTable<double> circle(double radius, double eccentricity, double angle) {
  return circle_table(radius, eccentricity, angle);
}

double centre_angle(const TrackTable<double>& circle) { return std::atan2(circle.sine, circle.cosine); }

/// A track that is no circle, over two turns.
const CompiledTrack& wavy() {
  static const CompiledTrack track = [] {
    SplineTrack spline{-6.5, 0.05, {}};
    for (int i = 0; i < 261; ++i) {
      const double angle = spline.first_angle + 0.05 * i;
      spline.distance.push_back(0.035 + 0.012 * std::cos(angle - 0.4) + 0.001 * std::cos(3.0 * angle));
    }
    return CompiledTrack(spline);
  }();
  return track;
}

/// What a run depends on: D = B − A, and both cams' turns.
using Place = std::array<double, 4>;
constexpr Place place{-0.31, -0.52, 0.7, 1.1};

struct TautRun {
  const char* name;
  TrackRole role;
  TrackTable<double> near;
  bool to_track;
  TrackTable<double> far;
};

std::vector<TautRun> runs() {
  const TrackTable<double> round = circle(0.04, 0.018, 0.5);
  const TrackTable<double> small = circle(0.02, 0.006, -0.3);
  const TrackTable<double> spline = detail::table_of(wavy());
  return {{"string from a circle to the nock", TrackRole::let_out, round, false, {}},
          {"string from a spline to the nock", TrackRole::let_out, spline, false, {}},
          {"cable from a circle to an axle", TrackRole::take_up, round, false, {}},
          {"cable from a spline to an axle", TrackRole::take_up, spline, false, {}},
          {"cable from a circle to a circle", TrackRole::take_up, round, true, small},
          {"cable from a circle to a spline", TrackRole::take_up, small, true, spline},
          {"cable from a spline to a circle", TrackRole::take_up, spline, true, small}};
}

template <TrackRole role>
Line<double> settled(const TautRun& run, const Place& p, RunDirection<double>& run_direction) {
  const Vector2<double> span{p[0], p[1]};
  const FarEnd<double> far{run.to_track ? &run.far : nullptr, p[3]};
  run_direction = aim(span);
  EXPECT_TRUE(settle_run_direction<role>(run_direction, run.near, p[2], far, span)) << run.name;
  double excursion = 0.0;
  const Line<double> line = solve_line<role>(run_direction, run.near, p[2], far, span, excursion);
  EXPECT_EQ(excursion, 0.0) << run.name;
  return line;
}

Line<double> settled(const TautRun& run, const Place& p) {
  RunDirection<double> run_direction{};
  return run.role == TrackRole::let_out ? settled<TrackRole::let_out>(run, p, run_direction)
                                        : settled<TrackRole::take_up>(run, p, run_direction);
}

/// ∂L/∂(D.x, D.y, α_A, α_B) against central differences.
TEST(Line, GradientOfTheLengthIsDirectionAndLevers) {
  constexpr double step = 1e-5;
  for (const TautRun& run : runs()) {
    const Line<double> line = settled(run, place);
    const std::array<double, 4> expected{line.direction.x, line.direction.y, -role_sign(run.role) * line.p_a,
                                         -line.p_b};
    for (std::size_t k = 0; k < 4; ++k) {
      Place up = place;
      Place down = place;
      up[k] += step;
      down[k] -= step;
      const double difference = (settled(run, up).length - settled(run, down).length) / (2.0 * step);
      // Rounding of a length of 0.6 m over 2e-5 leaves 1e-11, the third derivative about as much.
      EXPECT_NEAR(difference, expected[k], 2e-10) << run.name << ", " << k;
    }
    EXPECT_EQ(line.p_b == 0.0, !run.to_track) << run.name;
  }
}

TEST(Line, TouchesBothTracksAtItsTangentPoints) {
  for (const TautRun& run : runs()) {
    const Line<double> line = settled(run, place);
    const Vector2<double> a =
        run.role == TrackRole::let_out ? tangent_a<TrackRole::let_out>(line) : tangent_a<TrackRole::take_up>(line);
    const Vector2<double> b = tangent_b(line);
    EXPECT_NEAR(place[0] + b.x - a.x, line.straight * line.direction.x, 1e-14) << run.name;
    EXPECT_NEAR(place[1] + b.y - a.y, line.straight * line.direction.y, 1e-14) << run.name;
    if (run.near.is_circle) {
      const Vector2<double> centre{run.near.eccentricity * std::cos(centre_angle(run.near) + place[2]),
                                   run.near.eccentricity * std::sin(centre_angle(run.near) + place[2])};
      EXPECT_NEAR(std::hypot(a.x - centre.x, a.y - centre.y), run.near.radius, 1e-14) << run.name;
    }
    if (run.to_track && run.far.is_circle) {  // the far cam's frame is mirrored
      const Vector2<double> centre{run.far.eccentricity * std::cos(centre_angle(run.far) + place[3]),
                                   -run.far.eccentricity * std::sin(centre_angle(run.far) + place[3])};
      EXPECT_NEAR(std::hypot(b.x - centre.x, b.y - centre.y), run.far.radius, 1e-14) << run.name;
    }
  }
}

/// Closed form: a centred circle and a point. Free length √(D² − R²), wrapped arc R (φ − 0).
TEST(Line, OfACentredCircleIsElementaryGeometry) {
  const TautRun run{"centred", TrackRole::let_out, circle(0.03, 0.0, 0.0), false, {}};
  const Line<double> line = settled(run, place);
  const double distance = std::hypot(place[0], place[1]);
  EXPECT_NEAR(line.straight, std::sqrt(distance * distance - 0.03 * 0.03), 1e-15);
  EXPECT_NEAR(line.length, line.straight + 0.03 * line.normal_a, 1e-15);
}

template <TrackRole role>
double length_off_by(const TautRun& run, const Place& p, double error) {
  RunDirection<double> run_direction{};
  settled<role>(run, p, run_direction);
  const double u = run_direction.u + error;
  run_direction = {u, std::cos(u), std::sin(u)};
  double ignored = 0.0;
  const FarEnd<double> far{run.to_track ? &run.far : nullptr, p[3]};
  return solve_line<role, 0>(run_direction, run.near, p[2], far, Vector2<double>{p[0], p[1]}, ignored).length;
}

/// An error in the run direction enters the length at second order: L(u + e) = L(u) − ½ ℓ e², ℓ the free length.
TEST(Line, LengthIsOfSecondOrderInTheHeadingsError) {
  for (const TautRun& run : runs()) {
    const auto length = [&](double error) {
      return run.role == TrackRole::let_out ? length_off_by<TrackRole::let_out>(run, place, error)
                                            : length_off_by<TrackRole::take_up>(run, place, error);
    };
    const Line<double> line = settled(run, place);
    for (const double error : {1e-3, -1e-3}) {
      EXPECT_NEAR((length(error) - line.length) / (-0.5 * line.straight * error * error), 1.0, 2e-4) << run.name;
    }
  }
}

/// Two Newton iterations from a run direction a step's turn away (5 mrad at 100 rad/s and 50 µs) reach rounding.
TEST(Line, TwoIterationsFollowAStepsTurn) {
  for (const TautRun& run : runs()) {
    RunDirection<double> run_direction{};
    const FarEnd<double> far{run.to_track ? &run.far : nullptr, place[3]};
    const Vector2<double> span{place[0], place[1]};
    const double settled_length = settled(run, place).length;
    double ignored = 0.0;
    double length = 0.0;
    if (run.role == TrackRole::let_out) {
      settled<TrackRole::let_out>(run, place, run_direction);
      turn_run_direction(run_direction, 0.005);
      length = solve_line<TrackRole::let_out>(run_direction, run.near, place[2], far, span, ignored).length;
    } else {
      settled<TrackRole::take_up>(run, place, run_direction);
      turn_run_direction(run_direction, 0.005);
      length = solve_line<TrackRole::take_up>(run_direction, run.near, place[2], far, span, ignored).length;
    }
    EXPECT_NEAR(length, settled_length, 3e-16 + 1e-15 * std::fabs(settled_length)) << run.name;
  }
}

TEST(RunDirection, TurnsLikeSineAndCosine) {
  for (const double angle : {-0.1, -0.01, 0.0, 0.03, 0.1}) {
    RunDirection<double> run_direction{-1.2, std::cos(-1.2), std::sin(-1.2)};
    turn_run_direction(run_direction, angle);
    EXPECT_NEAR(run_direction.cosine, std::cos(-1.2 + angle), 1e-13);
    EXPECT_NEAR(run_direction.sine, std::sin(-1.2 + angle), 1e-13);
    EXPECT_NEAR(run_direction.cosine * run_direction.cosine + run_direction.sine * run_direction.sine, 1.0, 1e-15);
  }
}

TEST(Line, SaysHowFarItRanBeyondASpline) {
  SplineTrack spline{-0.2, 0.1, std::vector<double>(5, 0.03)};
  const CompiledTrack track(spline);
  double excursion = 0.0;
  const TrackTable<double> t = detail::table_of(track);
  evaluate(t, 0.0, excursion);
  EXPECT_EQ(excursion, 0.0);
  evaluate(t, 0.25, excursion);
  EXPECT_NEAR(excursion, 0.05, 1e-15);
  evaluate(t, -0.3, excursion);
  EXPECT_NEAR(excursion, 0.1, 1e-15);
}

}  // namespace
}  // namespace nockwise::kernel
