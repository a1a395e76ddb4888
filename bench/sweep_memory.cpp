// Peak memory of a sweep: nockwise_sweep_memory SAMPLES [vectors] [new]
// Also the plain program to count instructions of: `valgrind --tool=callgrind nockwise_sweep_memory 64 avx2`.
#include "bows.hpp"
#include "nockwise/paper.hpp"
#include "sweep/run.hpp"

#include <sys/resource.h>

#include <atomic>
#include <cstdio>
#include <string>

int main(int argc, char** argv) {
  using namespace nockwise;
  const std::size_t count = argc > 1 ? std::stoul(argv[1]) : 1000;
  const detail::LaneBackend* machine = &detail::lane_backend();
  bool new_bows = false;
  for (int i = 2; i < argc; ++i) {
    new_bows = new_bows || std::string(argv[i]) == "new";
    for (const detail::LaneBackend* each : detail::lane_backends()) {
      machine = std::string(argv[i]) == each->name ? each : machine;
    }
  }
  const Setup bow = bench::demo_bow("larkspur");
  std::atomic<std::size_t> flown{0};
  std::atomic<std::size_t> evaluations{0};
  const auto setup_of = [&](std::size_t i) {
    return new_bows ? bench::new_bow_sample(bow, i) : bench::shared_draw_sample(bow, i);
  };
  const auto take = [&](const SweepSample& sample) {
    if (sample.launch != nullptr && paper_tear(*sample.model, *sample.launch, 2.0, 2).tail_time > 0.0) {
      ++flown;
      evaluations += sample.launch->evaluations;
    }
  };
  detail::sweep_on(*machine, count, setup_of, take, {.threads = 1});
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::printf("%zu launches on %s, %zu evaluations, peak memory %ld kB\n", flown.load(), machine->name,
              evaluations.load(), used.ru_maxrss);
  return flown == count ? 0 : 1;
}
