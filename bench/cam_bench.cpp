// Own cams: a sweep of a bow whose string grooves are measured points against one with the same splines (wanted: no
// slower), one fit of a groove, one bow fitted to its cams, and twenty cams side by side.

#include "bows.hpp"
#include "nockwise/cam_fit.hpp"
#include "nockwise/cam_table.hpp"
#include "nockwise/sweep.hpp"

#include <benchmark/benchmark.h>

#include <cmath>
#include <numbers>

namespace {

using nockwise::bench::demo_bow;

/// Points of an eccentric circle, `shift` [m] larger than Larkspur's own.
nockwise::GrooveTrack groove(double shift) {
  nockwise::GrooveTrack points;
  constexpr int count = 180;
  for (int i = 0; i < count; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / count;
    points.points.push_back({0.018 + (0.052 + shift) * std::cos(angle), (0.052 + shift) * std::sin(angle)});
  }
  return points;
}

void sweep_of_grooves(benchmark::State& state) {
  nockwise::Setup bow = demo_bow("larkspur");
  const nockwise::GrooveTrack points = groove(0.0);
  for (const nockwise::Side side : {nockwise::Side::upper, nockwise::Side::lower}) {
    bow.cams[side].string_track = points;
    if (state.range(0) == 0) {
      bow.cams[side].string_track = nockwise::spline_from_groove(points);
    }
  }
  constexpr std::size_t samples = 240;
  nockwise::SweepOptions options;
  options.threads = 1;
  for (auto run : state) {
    nockwise::sweep(
        samples,
        [&](std::size_t i) {
          nockwise::Setup setup = bow;
          setup.cables.upper.twists += 0.002 * static_cast<double>(i);
          return setup;
        },
        [](const nockwise::SweepSample& sample) { benchmark::DoNotOptimize(sample.launch); }, options);
  }
  state.counters["launches"] =
      benchmark::Counter(static_cast<double>(samples * state.iterations()), benchmark::Counter::kIsRate);
}
BENCHMARK(sweep_of_grooves)->ArgName("points")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

void fit_of_a_groove(benchmark::State& state) {
  const nockwise::GrooveTrack points = groove(0.0);
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::spline_from_groove(points));  // always anew: only compiled grooves are kept
  }
}
BENCHMARK(fit_of_a_groove)->Unit(benchmark::kMillisecond);

void bow_fitted_to_its_cams(benchmark::State& state) {
  const nockwise::Setup bow = demo_bow("larkspur");
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::fit_to_cam(bow, nockwise::CamTracks{}));
  }
}
BENCHMARK(bow_fitted_to_its_cams)->Unit(benchmark::kMillisecond);

void twenty_cams_side_by_side(benchmark::State& state) {
  const nockwise::Setup bow = demo_bow("larkspur");
  std::vector<nockwise::NamedCam> cams;
  for (int i = 0; i < 20; ++i) {
    cams.push_back({"cam " + std::to_string(i), {}});
    cams.back().tracks.string_track = groove(-0.001 + 1e-4 * i);
  }
  nockwise::CamTableOptions options;
  options.aims.brace_by = nockwise::BraceRule::move_pockets;
  options.threads = 1;
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::compare_cams(bow, cams, options));
  }
}
BENCHMARK(twenty_cams_side_by_side)->Unit(benchmark::kMillisecond);

}  // namespace
