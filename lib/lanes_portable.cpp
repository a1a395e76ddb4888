// Lanes for any machine: two to a pack.
#include "lane_engine.hpp"

#include <memory>

namespace nockwise::detail {

namespace {

struct Portable {};

template <int Links>
void run(const kernel::Topology& topology, const LaneOptions& options, const LaneSupply<Links>& supply) {
  using Engine = LaneEngine<kernel::Pack<2, Portable>, Links>;
  const auto engine = std::make_unique<Engine>(topology, options, supply);
  engine->run();
}

}  // namespace

const LaneMachine portable_lanes{"portable", 2, run<1>, run<2>};

}  // namespace nockwise::detail
