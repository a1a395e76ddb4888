// The tear matrix of all adjustments (wanted: at most 0.15 s) and explanation with plan (at most 2 s), on two cores.

#include "nockwise/explanation.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <benchmark/benchmark.h>

namespace {

nockwise::Setup larkspur() { return nockwise::read_setup(nockwise::source_folder("examples/setups/larkspur.toml")); }

void tear_matrix_of_all_adjustments(benchmark::State& state) {
  const nockwise::Setup bow = larkspur();
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::tear_matrix(bow, {.threads = static_cast<int>(state.range(0))}));
  }
}
BENCHMARK(tear_matrix_of_all_adjustments)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

void explanation_and_plan(benchmark::State& state) {
  nockwise::Case observed;
  observed.setup = larkspur();
  observed.tears.push_back({.up = 0.0127, .right = -0.00635});
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::explain(observed, {.threads = static_cast<int>(state.range(0))}));
  }
}
BENCHMARK(explanation_and_plan)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
