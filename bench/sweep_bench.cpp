// Many launches on the vectors of this machine, from setup to hole in the paper; and one launch alone.
#include "bows.hpp"
#include "launch/launch_alone.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"
#include "statics/model_access.hpp"
#include "sweep/run.hpp"

#include <benchmark/benchmark.h>

#include <atomic>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

namespace {

using namespace nockwise;

using Sample = Setup (*)(const Setup& bow, std::size_t index);
constexpr double paper = 2.0;  // [m] ahead of the grip: nearly nothing but the launch
constexpr int point_and_tail = 2;

/// Compile, draw, shoot and fly every sample; throws when a shot fails. Returns a sum of tears, so that none is idle.
double shoot(const detail::LaneBackend& machine, const Setup& bow, Sample sample, std::size_t count, int threads,
             std::optional<double> distance) {
  std::atomic<double> sum{0.0};
  SweepOptions options;
  options.threads = threads;
  detail::sweep_on(
      machine, count, [&](std::size_t index) { return sample(bow, index); },
      [&](const SweepSample& shot) {
        if (shot.launch == nullptr) {
          throw std::runtime_error(shot.failure);
        }
        sum += paper_tear(*shot.model, *shot.launch, distance, point_and_tail).up;
      },
      options);
  return sum;
}

void sweep_of(benchmark::State& state, const detail::LaneBackend& machine, const Setup& bow, Sample sample, int threads,
              std::optional<double> distance) {
  const std::size_t count = bench::sample_count(512);
  for (auto _ : state) {
    benchmark::DoNotOptimize(shoot(machine, bow, sample, count, threads, distance));
  }
  state.counters["launches"] = benchmark::Counter(static_cast<double>(count) * static_cast<double>(state.iterations()),
                                                  benchmark::Counter::kIsRate);
}

struct Kind {
  const char* name;
  Sample sample;
};
constexpr Kind kinds[] = {{"shared_draw", bench::shared_draw_sample}, {"new_bow", bench::new_bow_sample}};

const int registered = [] {
  for (const char* bow : {"larkspur", "alder"}) {
    for (const detail::LaneBackend* machine : detail::lane_backends()) {
      for (const Kind& kind : kinds) {
        for (const int threads : {1, 2}) {
          const std::string name = std::string("sweep/") + bow + "/" + kind.name + "/" + machine->name +
                                   "/threads:" + std::to_string(threads);
          // Alone on a core the processor's time counts, so that a busy machine disturbs it less.
          auto* registered_one =
              benchmark::RegisterBenchmark(name.c_str(), [bow, machine, kind, threads](benchmark::State& state) {
                sweep_of(state, *machine, bench::demo_bow(bow), kind.sample, threads, paper);
              });
          registered_one->Unit(benchmark::kMillisecond);
          if (threads > 1) {
            registered_one->UseRealTime();
          }
        }
      }
    }
  }
  return 0;
}();

/// The setup's own distance, 12 ft: what the longer flight costs.
void sweep_to_twelve_feet(benchmark::State& state) {
  sweep_of(state, detail::lane_backend(), bench::demo_bow("larkspur"), bench::shared_draw_sample, 1, {});
}
BENCHMARK(sweep_to_twelve_feet)->Unit(benchmark::kMillisecond);

/// Wanted: 0.5 ms.
void one_launch_from_full_draw(benchmark::State& state) {
  const Setup bow = bench::demo_bow("larkspur");
  const Model model(bow);
  const auto& constants = std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants);
  const auto draw = detail::run_to_end(detail::draw_to_the_wall(detail::data_of(model), constants));
  const LaunchOptions options;
  std::size_t evaluations = 0;
  for (auto _ : state) {
    const auto release = detail::prepare_release(detail::data_of(model), constants, draw);
    const Launch shot = detail::launch_alone(release, options);
    evaluations = shot.evaluations;
  }
  state.counters["evaluations"] = static_cast<double>(evaluations);
}
BENCHMARK(one_launch_from_full_draw)->Unit(benchmark::kMicrosecond);

/// Compiled bow, brace known: draw, launch, flight.
void one_launch_with_its_draw(benchmark::State& state) {
  const Model model(bench::demo_bow("larkspur"));
  for (auto _ : state) {
    benchmark::DoNotOptimize(paper_tear(model, launch(model), paper, point_and_tail));
  }
}
BENCHMARK(one_launch_with_its_draw)->Unit(benchmark::kMicrosecond);

/// From the setup: compile, brace, draw, launch, flight. Wanted: 1 ms.
void one_launch_from_the_setup(benchmark::State& state) {
  const Setup bow = bench::demo_bow("larkspur");
  for (auto _ : state) {
    const Model model(bow);
    benchmark::DoNotOptimize(paper_tear(model, launch(model), paper, point_and_tail));
  }
}
BENCHMARK(one_launch_from_the_setup)->Unit(benchmark::kMicrosecond);

}  // namespace
