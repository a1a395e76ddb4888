#include "nockwise/sweep.hpp"

#include "base/threads.hpp"
#include "launch/settle.hpp"
#include "sweep/preparation.hpp"
#include "sweep/run.hpp"

#include <exception>
#include <memory>
#include <vector>

namespace nockwise {

namespace detail {

namespace {

/// One thread's share of a sweep. All lanes of an engine are of one topology; samples of another wait for the next
/// engine.
class SweepWorker {
 public:
  explicit SweepWorker(SweepRun& run) : run_(run), preparation_(run) {}

  void work() {
    while (prepare_some()) {
      if (!preparation_.ready<1>().empty()) {
        run_engine<1>(run_.machine.run1);
      }
      if (!preparation_.ready<2>().empty()) {
        run_engine<2>(run_.machine.run2);
      }
    }
  }

 private:
  static constexpr std::size_t most_waiting = 32;

  /// Prepare samples until there is one for a lane; false when there are no more.
  bool prepare_some() {
    while (preparation_.ready_count() == 0) {
      if (!preparation_.prepare()) {
        return false;
      }
    }
    return true;
  }

  /// The engine under way, as it calls back: the sample in each of its lanes.
  template <int Links>
  struct Engine {
    SweepWorker* worker;
    kernel::Topology topology;
    SampleQueue<Links> lanes;

    static bool start(void* context, int lane, LaneStart<Links>& start) {
      auto& engine = *static_cast<Engine*>(context);
      std::unique_ptr<Sample<Links>>& sample = engine.lanes[lane];
      sample = engine.worker->template next_sample<Links>(engine.topology);
      if (!sample) {
        return false;
      }
      const Release<Links>& release = *sample->release;
      start = {&release.constants, release.q.data(), release.v.data(), &release.run_directions, sample->step.step()};
      return true;
    }
    static void end(void* context, int lane, const LaneResult<Links>& result) {
      auto& engine = *static_cast<Engine*>(context);
      engine.worker->end_launch(std::move(engine.lanes[lane]), result);
    }
  };

  template <int Links>
  void run_engine(RunLanes<Links> run) {
    Engine<Links> engine{this, preparation_.ready<Links>().front()->release->topology,
                         SampleQueue<Links>(run_.machine.lanes)};
    run(engine.topology, {run_.options.launch.time_limit}, {&engine, Engine<Links>::start, Engine<Links>::end});
  }

  /// The next sample of this topology, prepared if need be; null when there is none, or too many of others wait.
  template <int Links>
  std::unique_ptr<Sample<Links>> next_sample(const kernel::Topology& topology) {
    SampleQueue<Links>& ready = preparation_.ready<Links>();
    while (true) {
      for (auto it = ready.begin(); it != ready.end(); ++it) {
        if ((*it)->release->topology == topology) {
          std::unique_ptr<Sample<Links>> found = std::move(*it);
          ready.erase(it);
          return found;
        }
      }
      if (preparation_.ready_count() >= most_waiting || !preparation_.prepare()) {
        return nullptr;
      }
    }
  }

  /// From what a lane recorded to the sample's launch.
  template <int Links>
  void end_launch(std::unique_ptr<Sample<Links>> sample, const LaneResult<Links>& result) {
    if (result.diverged) {
      shorten_step(std::move(sample));
      return;
    }
    if (result.overflowed) {
      preparation_.shoot_alone(sample->index, *sample->model);
      return;
    }
    try {
      std::vector<Event> events;
      for (int i = 0; i < result.event_count; ++i) {
        const EventRecord& seen = result.event[i];
        EventKind kind{};
        if (event_of(seen.function, seen.positive, kind)) {
          events.push_back({kind, seen.time});
        }
      }
      const Release<Links>& release = *sample->release;
      FlownLaunch all = flown(release, result.record, std::move(events));
      if (!sample->step.settled(release.constants.arrow, release.topology, all)) {
        preparation_.ready<Links>().push_back(std::move(sample));
        return;
      }
      Launch& launch = all.launch;
      add_cautions(release.constants.arrow.total_mass, release.peak_force, launch);
      run_.deliver({sample->index, &*sample->model, &launch, ""});
    } catch (const StepTooLong&) {
      shorten_step(std::move(sample));
    } catch (const Error& error) {
      run_.deliver({sample->index, &*sample->model, nullptr, error.what()});
    } catch (...) {
      run_.break_off();
    }
  }
  /// The step was too long: launch again with a quarter of it, as the launch alone does; at last alone, which says why
  /// it fails.
  template <int Links>
  void shorten_step(std::unique_ptr<Sample<Links>> sample) {
    if (!sample->step.shorten()) {
      preparation_.shoot_alone(sample->index, *sample->model);
      return;
    }
    preparation_.ready<Links>().push_back(std::move(sample));
  }

  SweepRun& run_;
  SweepPreparation preparation_;
};

}  // namespace

void sweep_on(const LaneBackend& machine, std::size_t count, const SweepSetup& setup_of, const SweepTake& take,
              const SweepOptions& options) {
  check_options(options.launch);
  check_threads(options.threads);
  const std::size_t threads = thread_count(options.threads, count);
  SweepRun run{machine, count, setup_of, take, options, threads, {}, {}, {}, {}};
  for_each_index(threads, static_cast<int>(threads), [&run](std::size_t) { SweepWorker(run).work(); });
  if (run.failure) {
    std::rethrow_exception(run.failure);
  }
}

}  // namespace detail

void sweep(std::size_t count, const SweepSetup& setup_of, const SweepTake& take, const SweepOptions& options) {
  detail::sweep_on(detail::lane_backend(), count, setup_of, take, options);
}

}  // namespace nockwise
