// One bow, one launch: what each step costs on one core.
#include "kernel/right_hand_side.hpp"
#include "launch/initial_state.hpp"
#include "nockwise/nockwise.hpp"
#include "source_folder.hpp"
#include "statics/model_access.hpp"

#include <benchmark/benchmark.h>

#include <string>
#include <variant>

namespace {

nockwise::Setup larkspur() { return nockwise::read_setup(nockwise::source_folder("examples/setups/larkspur.toml")); }

void right_hand_side(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  const auto& data = nockwise::detail::data_of(model);
  const auto& constants = std::get<nockwise::kernel::Constants<double, 1>>(data.constants);
  const auto release = nockwise::detail::prepare_release(data, constants);
  auto run_directions = release.run_directions;
  nockwise::detail::Coordinates q = release.q;
  const nockwise::detail::Coordinates v{};
  nockwise::detail::Coordinates a{};
  for (auto _ : state) {
    q[5] += 1e-9;  // a little further each time, as in a launch
    benchmark::DoNotOptimize(nockwise::kernel::accelerations(release.constants, release.topology, 1.0, q.data(),
                                                             v.data(), a.data(), run_directions));
    benchmark::DoNotOptimize(a.data());
  }
}
BENCHMARK(right_hand_side);

void compile_and_brace(benchmark::State& state) {
  const nockwise::Setup setup = larkspur();
  for (auto _ : state) {
    benchmark::DoNotOptimize(nockwise::Model(setup));
  }
}
BENCHMARK(compile_and_brace)->Unit(benchmark::kMicrosecond);

void draw_cycle_of_120_positions(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  for (auto _ : state) {
    benchmark::DoNotOptimize(nockwise::draw_cycle(model));
  }
}
BENCHMARK(draw_cycle_of_120_positions)->Unit(benchmark::kMicrosecond);

/// Full draw included, arrow of 24 nodes and 6 modes, to the tail past the rest.
void full_launch(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  nockwise::LaunchOptions options;
  options.step = 1e-6 * static_cast<double>(state.range(0));
  std::size_t evaluations = 0;
  for (auto _ : state) {
    const auto shot = nockwise::launch(model, options);
    evaluations = shot.evaluations;
  }
  state.counters["evaluations"] = static_cast<double>(evaluations);
}
BENCHMARK(full_launch)->Arg(225)->Arg(100)->Arg(50)->ArgName("step_us")->Unit(benchmark::kMicrosecond);

void full_draw_alone(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  const auto& constants = std::get<nockwise::kernel::Constants<double, 1>>(nockwise::detail::data_of(model).constants);
  for (auto _ : state) {
    benchmark::DoNotOptimize(nockwise::detail::prepare_release(nockwise::detail::data_of(model), constants));
  }
}
BENCHMARK(full_draw_alone)->Unit(benchmark::kMicrosecond);

void flight_and_paper(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  const auto shot = nockwise::launch(model);
  for (auto _ : state) {
    benchmark::DoNotOptimize(nockwise::paper_tear(model, shot));
  }
}
BENCHMARK(flight_and_paper)->Unit(benchmark::kMicrosecond);

}  // namespace
