#include "nockwise/sweep.hpp"

#include "base/threads.hpp"
#include "launch/result.hpp"
#include "sweep/preparation.hpp"
#include "sweep/sweep_on.hpp"

#include <exception>
#include <memory>
#include <vector>

namespace nockwise {

namespace detail {

namespace {

/// One thread's share of a sweep. Lanes of a pack must be of one topology; what does not fit the engine that runs is
/// set aside for the next.
class SweepWorker {
 public:
  explicit SweepWorker(SweepRun& run) : run_(run), preparation_(run) {}

  void work() {
    while (pull()) {
      if (!preparation_.queue<1>().empty()) {
        run_engine<1>(run_.machine.run1);
      }
      if (!preparation_.queue<2>().empty()) {
        run_engine<2>(run_.machine.run2);
      }
    }
  }

 private:
  static constexpr std::size_t most_aside = 32;

  /// Prepare samples until there is one for a lane; false when there are no more.
  bool pull() {
    while (preparation_.waiting() == 0) {
      if (!preparation_.prepare()) {
        return false;
      }
    }
    return true;
  }

  /// What the engine under way calls back with.
  template <int Links>
  struct InFlight {
    SweepWorker* worker;
    kernel::Topology topology;
    std::vector<std::unique_ptr<Ready<Links>>> launches;
    std::vector<std::size_t> free;
  };

  template <int Links>
  void run_engine(RunLanes<Links> run) {
    InFlight<Links> pending{this, preparation_.queue<Links>().front()->release.topology, {}, {}};
    const LaneOptions options{run_.options.launch.time_limit};
    run(pending.topology, options, {&pending, next_for_lane<Links>, done_in_lane<Links>});
  }

  template <int Links>
  static bool next_for_lane(void* context, std::size_t& ticket, LaneStart<Links>& start) {
    auto& pending = *static_cast<InFlight<Links>*>(context);
    std::unique_ptr<Ready<Links>> ready = pending.worker->template find<Links>(pending.topology);
    if (!ready) {
      return false;
    }
    start = {&ready->release.constants, ready->release.q.data(), &ready->release.run_directions,
             vanes_of(ready->model->setup().arrow), ready->step};
    if (pending.free.empty()) {
      ticket = pending.launches.size();
      pending.launches.push_back(std::move(ready));
    } else {
      ticket = pending.free.back();
      pending.free.pop_back();
      pending.launches[ticket] = std::move(ready);
    }
    return true;
  }

  /// The next launch of this topology, prepared if need be; null when there is none or too much is set aside.
  template <int Links>
  std::unique_ptr<Ready<Links>> find(const kernel::Topology& topology) {
    ReadyQueue<Links>& waiting = preparation_.queue<Links>();
    while (true) {
      for (auto it = waiting.begin(); it != waiting.end(); ++it) {
        if ((*it)->release.topology == topology) {
          std::unique_ptr<Ready<Links>> found = std::move(*it);
          waiting.erase(it);
          return found;
        }
      }
      if (preparation_.waiting() >= most_aside || !preparation_.prepare()) {
        return nullptr;
      }
    }
  }

  template <int Links>
  static void done_in_lane(void* context, std::size_t ticket, const LaneResult<Links>& result) {
    auto& pending = *static_cast<InFlight<Links>*>(context);
    std::unique_ptr<Ready<Links>> ready = std::move(pending.launches[ticket]);
    pending.free.push_back(ticket);
    pending.worker->finish(std::move(ready), result);
  }

  template <int Links>
  void finish(std::unique_ptr<Ready<Links>> ready, const LaneResult<Links>& result) {
    if (result.diverged) {
      again(std::move(ready));
      return;
    }
    if (result.overflowed) {
      alone_after_lane(*ready);
      return;
    }
    try {
      std::vector<Event> events;
      for (int i = 0; i < result.event_count; ++i) {
        const EventRecord& seen = result.event[i];
        EventKind kind{};
        if (event_of(seen.watch, seen.positive, kind)) {
          events.push_back({kind, seen.time});
        }
      }
      Launch launch = make_launch(ready->release, result.record, std::move(events));
      add_cautions(ready->release.constants.arrow.total_mass, ready->release.peak_force, launch);
      run_.give({ready->index, &*ready->model, &launch, ""});
    } catch (const StepTooLong&) {
      again(std::move(ready));
    } catch (const Error& error) {
      run_.give({ready->index, &*ready->model, nullptr, error.what()});
    } catch (...) {
      run_.break_off();
    }
  }
  /// The step was too long: fly again with a quarter of it, as the launch alone does.
  template <int Links>
  void again(std::unique_ptr<Ready<Links>> ready) {
    if (ready->quarters == most_quarters) {
      alone_after_lane(*ready);
      return;
    }
    ++ready->quarters;
    ready->step *= 0.25;
    preparation_.queue<Links>().push_back(std::move(ready));
  }
  /// What a lane cannot do: the launch alone does, or says why not.
  template <int Links>
  void alone_after_lane(const Ready<Links>& ready) {
    preparation_.shoot_alone(ready.index, *ready.model);
  }

  SweepRun& run_;
  SweepPreparation preparation_;
};

}  // namespace

void sweep_on(const LaneBackend& machine, std::size_t count, const SweepSetup& setup_of, const SweepTake& take,
              const SweepOptions& options) {
  check_options(options.launch);
  if (options.threads < 0) {
    throw InputError("threads", std::to_string(options.threads), "must be 0 (all) or more");
  }
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
