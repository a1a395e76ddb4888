// A flight to 50 yd, a default group (wanted: 0.1 s) and a large one (wanted: 10,000 shots in 2 s), on one core and
// two.

#include "nockwise/group.hpp"
#include "nockwise/setup_file.hpp"
#include "source_folder.hpp"

#include <benchmark/benchmark.h>

namespace {

constexpr double fifty_yards = 45.72;

nockwise::Setup larkspur() { return nockwise::read_setup(nockwise::source_folder("examples/setups/larkspur.toml")); }

void flight_to_fifty_yards(benchmark::State& state) {
  const nockwise::Model model(larkspur());
  const nockwise::Launch shot = nockwise::launch(model);
  const nockwise::Sight sight = nockwise::sight_in(model, shot, fifty_yards);
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::fly_to(model, shot, fifty_yards, sight));
  }
}
BENCHMARK(flight_to_fifty_yards)->Unit(benchmark::kMicrosecond);

void group_of_shots(benchmark::State& state) {
  const nockwise::Setup bow = larkspur();
  const nockwise::Scatter club = nockwise::scatter_of(nockwise::Archer::club);
  nockwise::GroupOptions options;
  options.distance = fifty_yards;
  options.shots = static_cast<std::size_t>(state.range(0));
  options.threads = static_cast<int>(state.range(1));
  for (auto run : state) {
    benchmark::DoNotOptimize(nockwise::group(bow, club, options));
  }
  state.SetItemsProcessed(state.iterations() * state.range(0));
}
BENCHMARK(group_of_shots)
    ->Args({240, 1})
    ->Args({240, 2})
    ->Args({2400, 1})
    ->Args({2400, 2})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace
