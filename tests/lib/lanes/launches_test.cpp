// A lane keeps nothing of a launch that has ended: its samples are gone then.
#include "demo_bows.hpp"
#include "lanes/dispatch.hpp"
#include "launch/initial_state.hpp"
#include "launch/step_size.hpp"
#include "statics/model_access.hpp"

#include <gtest/gtest.h>
#include <sys/mman.h>

#include <algorithm>
#include <memory>
#include <vector>

namespace nockwise {
namespace {

/// A launch whose tables stand in memory of their own, which cannot be read any more once it has ended.
class Fading {
 public:
  explicit Fading(Model model)
      : model_(std::move(model)),
        release_(detail::prepare_release(detail::data_of(model_),
                                         std::get<kernel::Constants<double, 1>>(detail::data_of(model_).constants))) {
    const kernel::Topology& topology = release_.topology;
    const std::size_t rows = static_cast<std::size_t>(topology.nodes) * topology.modes;
    const std::size_t spans = 4 * rows - 4 * static_cast<std::size_t>(topology.modes);
    bytes_ = (rows + spans) * sizeof(double);
    table_ = static_cast<double*>(mmap(nullptr, bytes_, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0));
    kernel::ShapeTable<double>& shapes = release_.constants.arrow.shapes;
    std::copy_n(shapes.rows, rows, table_);
    std::copy_n(shapes.spans, spans, table_ + rows);
    shapes.rows = table_;
    shapes.spans = table_ + rows;
    step_ = detail::stable_step(release_.constants.arrow, topology.modes, release_.rates, Integrator::nystrom,
                                LaunchOptions{}.step)
                .step;
  }
  Fading(const Fading&) = delete;
  Fading& operator=(const Fading&) = delete;
  ~Fading() { munmap(table_, bytes_); }

  [[nodiscard]] const kernel::Topology& topology() const { return release_.topology; }
  [[nodiscard]] detail::LaneStart<1> start() const {
    return {&release_.constants, release_.q.data(), release_.v.data(), &release_.run_directions, step_, nullptr};
  }
  void end(LaunchEnd ended_by) {
    ended_by_ = ended_by;
    ended_ = true;
    ASSERT_EQ(mprotect(table_, bytes_, PROT_NONE), 0);
  }
  [[nodiscard]] bool ended() const { return ended_; }
  [[nodiscard]] LaunchEnd ended_by() const { return ended_by_; }

 private:
  Model model_;  // has the cams' tracks
  detail::Release<1> release_;
  double* table_ = nullptr;
  std::size_t bytes_ = 0;
  double step_ = 0.0;
  LaunchEnd ended_by_ = LaunchEnd::time_limit;
  bool ended_ = false;
};

struct Supply {
  std::vector<std::unique_ptr<Fading>> launches;
  std::size_t next = 0;
  std::vector<std::size_t> in_lane = std::vector<std::size_t>(64);

  static bool take(void* context, int lane, detail::LaneStart<1>& start) {
    auto& supply = *static_cast<Supply*>(context);
    if (supply.next == supply.launches.size()) {
      return false;
    }
    supply.in_lane[lane] = supply.next;
    start = supply.launches[supply.next++]->start();
    return true;
  }
  static void done(void* context, int lane, const detail::LaneResult<1>& result) {
    auto& supply = *static_cast<Supply*>(context);
    supply.launches[supply.in_lane[lane]]->end(result.record.ended_by);
  }
};

/// Two launches that end in one tick while a third goes on: the first one's lane is then told to repeat the second,
/// which is gone before anything is evaluated.
TEST(Lanes, ReadNothingOfALaunchThatHasEnded) {
  const auto bow = [](double longer) {
    nockwise::Setup setup = testing::demo_bow("larkspur");
    setup.arrow.length += longer;
    return Model(setup);
  };
  for (const detail::LaneBackend* machine : detail::lane_backends()) {
    Supply supply;
    for (const double longer : {0.0, 0.0, 0.05}) {
      supply.launches.push_back(std::make_unique<Fading>(bow(longer)));
    }
    machine->run1(supply.launches.front()->topology(), {1.0}, {&supply, Supply::take, Supply::done});
    for (const auto& each : supply.launches) {
      EXPECT_TRUE(each->ended()) << machine->name;
      EXPECT_STREQ(name_of(each->ended_by()), name_of(LaunchEnd::arrow_clear)) << machine->name;
    }
  }
}

}  // namespace
}  // namespace nockwise
