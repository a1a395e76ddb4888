#include "nockwise/sweep.hpp"

#include "launch_record.hpp"
#include "launch_step.hpp"
#include "parallel.hpp"
#include "sweep_on.hpp"

#include <exception>
#include <memory>
#include <mutex>
#include <optional>
#include <variant>
#include <vector>

namespace nockwise {

namespace detail {

namespace {

/// What all threads of a sweep share.
struct SweepRun {
  const LaneMachine& machine;
  std::size_t count;
  const SweepSetup& setup_of;
  const SweepTake& take;
  const SweepOptions& options;
  std::atomic<std::size_t> next{0};
  std::atomic<bool> broken{false};
  std::mutex mutex;
  std::exception_ptr failure;

  [[nodiscard]] bool stopped() const {
    return broken.load(std::memory_order_relaxed) ||
           (options.stop != nullptr && options.stop->load(std::memory_order_relaxed));
  }
  void break_off() {
    const std::lock_guard lock(mutex);
    if (!failure) {
      failure = std::current_exception();
    }
    broken = true;
  }
  /// Hand a shot over; what `take` throws ends the sweep.
  void give(const SweepShot& shot) {
    try {
      take(shot);
    } catch (...) {
      break_off();
    }
  }
};

/// A launch at full draw, ready for a lane.
template <int Links>
struct Ready {
  std::size_t index = 0;
  std::optional<Model> model;
  Release<Links> release;
  double step = 0.0;  // [s]
  int quarters = 0;   // how often it was too long
};

/// One thread's share of a sweep. Lanes of a pack must be of one topology; what does not fit the engine that runs is
/// set aside for the next.
class SweepWorker {
 public:
  explicit SweepWorker(SweepRun& run) : run_(run) {}

  void work() {
    while (pull()) {
      if (!one_.empty()) {
        run_engine<1>(one_, run_.machine.run1);
      }
      if (!two_.empty()) {
        run_engine<2>(two_, run_.machine.run2);
      }
    }
  }

 private:
  static constexpr std::size_t most_aside = 32;

  template <int Links>
  using Queue = std::vector<std::unique_ptr<Ready<Links>>>;

  /// Prepare samples until there is one for a lane; false when there are no more.
  bool pull() {
    while (one_.empty() && two_.empty()) {
      if (!prepare_next()) {
        return false;
      }
    }
    return true;
  }

  /// Take the next sample: shoot it alone if it is not for lanes, queue it otherwise. False when there are none left.
  bool prepare_next() {
    if (run_.stopped()) {
      return false;
    }
    const std::size_t index = run_.next++;
    if (index >= run_.count) {
      return false;
    }
    std::optional<Model> model;
    try {
      const Setup setup = run_.setup_of(index);
      model.emplace(compile_and_brace(setup, like_.get()));
      prepare(index, *model);
    } catch (const Error& error) {
      run_.give({index, model ? &*model : nullptr, nullptr, error.what()});
    } catch (...) {
      run_.break_off();
    }
    return true;
  }
  void prepare(std::size_t index, const Model& model) {
    with_constants(model.data(), [&]<int Links>(const kernel::Constants<double, Links>& c) {
      if constexpr (Links <= 2) {
        const bool lump = model.setup().string.pieces == 1;  // lanes know no other string
        if (lump && run_.options.launch.integrator == Integrator::nystrom) {
          const FullDraw<Links>& draw = full_draw(model, c);
          auto ready = std::make_unique<Ready<Links>>(
              Ready<Links>{index, model, prepare_release(model.data(), c, draw), 0.0, 0});
          ready->step =
              holding_step(c.arrow, model.data().topology.modes, Integrator::nystrom, run_.options.launch.step);
          queue<Links>().push_back(std::move(ready));
          return;
        }
      }
      shoot_alone(index, model);
    });
  }
  /// Samples of one bow share its full draw: what depends on the bow alone is computed once while they follow each
  /// other.
  template <int Links>
  const FullDraw<Links>& full_draw(const Model& model, const kernel::Constants<double, Links>& c) {
    auto* kept = std::get_if<FullDraw<Links>>(&draw_);
    if (kept == nullptr || like_ == nullptr || model.data().tracks != like_->tracks) {
      like_ = nullptr;
      kept = &draw_.emplace<FullDraw<Links>>(draw_to_the_wall(model.data(), c));
    }
    like_ = model.shared_data();
    return *kept;
  }
  void shoot_alone(std::size_t index, const Model& model) {
    LaunchOptions options = run_.options.launch;
    options.trace = false;
    const Launch launch = nockwise::launch(model, options);
    run_.give({index, &model, &launch, ""});
  }

  template <int Links>
  Queue<Links>& queue() {
    if constexpr (Links == 1) {
      return one_;
    } else {
      return two_;
    }
  }

  /// What the engine under way calls back with.
  template <int Links>
  struct Desk {
    SweepWorker* worker;
    kernel::Topology topology;
    std::vector<std::unique_ptr<Ready<Links>>> in_flight;
    std::vector<std::size_t> free;
  };

  template <int Links>
  void run_engine(Queue<Links>& waiting, RunLanes<Links> run) {
    Desk<Links> desk{this, waiting.front()->release.topology, {}, {}};
    const LaneOptions options{run_.options.launch.time_limit};
    run(desk.topology, options, {&desk, next_for_lane<Links>, done_in_lane<Links>});
  }

  template <int Links>
  static bool next_for_lane(void* context, std::size_t& ticket, LaneStart<Links>& start) {
    auto& desk = *static_cast<Desk<Links>*>(context);
    std::unique_ptr<Ready<Links>> ready = desk.worker->template find<Links>(desk.topology);
    if (!ready) {
      return false;
    }
    start = {&ready->release.constants, ready->release.q.data(), &ready->release.headings,
             vanes_of(ready->model->setup().arrow), ready->step};
    if (desk.free.empty()) {
      ticket = desk.in_flight.size();
      desk.in_flight.push_back(std::move(ready));
    } else {
      ticket = desk.free.back();
      desk.free.pop_back();
      desk.in_flight[ticket] = std::move(ready);
    }
    return true;
  }

  /// The next launch of this topology, prepared if need be; null when there is none or too much is set aside.
  template <int Links>
  std::unique_ptr<Ready<Links>> find(const kernel::Topology& topology) {
    Queue<Links>& waiting = queue<Links>();
    while (true) {
      for (auto it = waiting.begin(); it != waiting.end(); ++it) {
        if ((*it)->release.topology == topology) {
          std::unique_ptr<Ready<Links>> found = std::move(*it);
          waiting.erase(it);
          return found;
        }
      }
      if (one_.size() + two_.size() >= most_aside || !prepare_next()) {
        return nullptr;
      }
    }
  }

  template <int Links>
  static void done_in_lane(void* context, std::size_t ticket, const LaneResult<Links>& result) {
    auto& desk = *static_cast<Desk<Links>*>(context);
    std::unique_ptr<Ready<Links>> ready = std::move(desk.in_flight[ticket]);
    desk.free.push_back(ticket);
    desk.worker->finish(std::move(ready), result);
  }

  template <int Links>
  void finish(std::unique_ptr<Ready<Links>> ready, const LaneResult<Links>& result) {
    if (result.diverged) {
      again(std::move(ready));
      return;
    }
    if (result.crowded) {
      alone_after_lane(*ready);
      return;
    }
    try {
      std::vector<Event> events;
      for (int i = 0; i < result.sightings; ++i) {
        const Sighting& seen = result.sighting[i];
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
    queue<Links>().push_back(std::move(ready));
  }
  /// What a lane cannot do: the launch alone does, or says why not.
  template <int Links>
  void alone_after_lane(const Ready<Links>& ready) {
    try {
      shoot_alone(ready.index, *ready.model);
    } catch (const Error& error) {
      run_.give({ready.index, &*ready.model, nullptr, error.what()});
    } catch (...) {
      run_.break_off();
    }
  }

  SweepRun& run_;
  Queue<1> one_;
  Queue<2> two_;
  std::shared_ptr<const ModelData> like_;  // of the last sample; `draw_` is its bow's
  std::variant<std::monostate, FullDraw<1>, FullDraw<2>> draw_;
};

}  // namespace

void sweep_on(const LaneMachine& machine, std::size_t count, const SweepSetup& setup_of, const SweepTake& take,
              const SweepOptions& options) {
  check_options(options.launch);
  if (options.threads < 0) {
    throw InputError("threads", std::to_string(options.threads), "must be 0 (all) or more");
  }
  SweepRun run{machine, count, setup_of, take, options, {}, {}, {}, {}};
  const std::size_t crew = crew_size(options.threads, count);
  for_each_index(crew, static_cast<int>(crew), [&run](std::size_t) { SweepWorker(run).work(); });
  if (run.failure) {
    std::rethrow_exception(run.failure);
  }
}

}  // namespace detail

void sweep(std::size_t count, const SweepSetup& setup_of, const SweepTake& take, const SweepOptions& options) {
  detail::sweep_on(detail::lane_machine(), count, setup_of, take, options);
}

}  // namespace nockwise
