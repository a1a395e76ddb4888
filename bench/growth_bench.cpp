// How the cost of a launch grows: with nodes and modes of the arrow, segments of the limbs, samples, threads.
// bench/plots.py draws it; what sets each slope is told in README.md.
#include "bows.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"

#include <benchmark/benchmark.h>

#include <atomic>
#include <stdexcept>

namespace {

using namespace nockwise;

constexpr std::size_t usual_count = 128;

void sweep_like(benchmark::State& state, const Setup& bow, std::size_t wanted, int threads) {
  const std::size_t count = bench::sample_count(wanted);
  std::atomic<std::size_t> evaluations{0};
  SweepOptions options;
  options.threads = threads;
  for (auto _ : state) {
    sweep(
        count, [&](std::size_t index) { return bench::shared_draw_sample(bow, index); },
        [&](const SweepSample& sample) {
          if (sample.launch == nullptr) {
            throw std::runtime_error(sample.failure);
          }
          benchmark::DoNotOptimize(paper_tear(*sample.model, *sample.launch, 2.0, 2));
          evaluations += sample.launch->evaluations;
        },
        options);
  }
  const auto launches = static_cast<double>(count) * static_cast<double>(state.iterations());
  state.counters["evaluations"] = static_cast<double>(evaluations.load()) / launches;
  state.counters["us_per_launch"] =
      benchmark::Counter(1e-6 * launches, benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

void alone(benchmark::State& state, const Setup& bow) {
  std::size_t evaluations = 0;
  for (auto _ : state) {
    const Model model(bow);
    const Launch shot = launch(model);
    benchmark::DoNotOptimize(paper_tear(model, shot, 2.0, 2));
    evaluations = shot.evaluations;
  }
  state.counters["evaluations"] = static_cast<double>(evaluations);
  state.counters["us_per_launch"] = benchmark::Counter(1e-6 * static_cast<double>(state.iterations()),
                                                       benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

Setup with_nodes(int nodes) {
  Setup bow = bench::demo_bow("larkspur");
  bow.arrow.nodes = nodes;
  return bow;
}
Setup with_modes(int modes) {
  Setup bow = bench::demo_bow("larkspur");
  bow.arrow.nodes = 48;
  bow.arrow.modes = modes;
  return bow;
}
Setup with_segments(int segments) {
  Setup bow = bench::demo_bow("larkspur");
  bow.limbs.upper.segments = bow.limbs.lower.segments = segments;
  return bow;
}

void growth_nodes(benchmark::State& state) {
  sweep_like(state, with_nodes(static_cast<int>(state.range(0))), usual_count, 1);
}
BENCHMARK(growth_nodes)->Arg(12)->Arg(16)->Arg(24)->Arg(32)->Arg(48)->Arg(64)->Unit(benchmark::kMillisecond);

void growth_nodes_alone(benchmark::State& state) { alone(state, with_nodes(static_cast<int>(state.range(0)))); }
BENCHMARK(growth_nodes_alone)->Arg(12)->Arg(16)->Arg(24)->Arg(32)->Arg(48)->Arg(64)->Unit(benchmark::kMillisecond);

void growth_modes(benchmark::State& state) {
  sweep_like(state, with_modes(static_cast<int>(state.range(0))), usual_count, 1);
}
BENCHMARK(growth_modes)->Arg(2)->Arg(4)->Arg(5)->Arg(6)->Arg(7)->Unit(benchmark::kMillisecond);

void growth_modes_alone(benchmark::State& state) { alone(state, with_modes(static_cast<int>(state.range(0)))); }
BENCHMARK(growth_modes_alone)->Arg(2)->Arg(4)->Arg(5)->Arg(6)->Arg(7)->Unit(benchmark::kMillisecond);

void growth_segments(benchmark::State& state) {
  sweep_like(state, with_segments(static_cast<int>(state.range(0))), usual_count, 1);
}
BENCHMARK(growth_segments)->DenseRange(1, 4)->Unit(benchmark::kMillisecond);

void growth_segments_alone(benchmark::State& state) { alone(state, with_segments(static_cast<int>(state.range(0)))); }
BENCHMARK(growth_segments_alone)->DenseRange(1, 4)->Unit(benchmark::kMillisecond);

void growth_samples(benchmark::State& state) {
  sweep_like(state, bench::demo_bow("larkspur"), static_cast<std::size_t>(state.range(0)), 1);
}
BENCHMARK(growth_samples)->RangeMultiplier(4)->Range(1, 4096)->Unit(benchmark::kMillisecond);

void growth_threads(benchmark::State& state) {
  sweep_like(state, bench::demo_bow("larkspur"), 1024, static_cast<int>(state.range(0)));
}
BENCHMARK(growth_threads)->Arg(1)->Arg(2)->Arg(4)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
