// Lanes for AVX-512, eight to a pack; compiled with that instruction set (CMakeLists.txt), run only on machines that
// have it (lanes.cpp).
#include "lane_engine.hpp"

#include <memory>

namespace nockwise::detail {

namespace {

struct Avx512 {};

template <int Links>
void run(const kernel::Topology& topology, const LaneOptions& options, const LaneSupply<Links>& supply) {
  using Engine = LaneEngine<kernel::Pack<8, Avx512>, Links>;
  const auto engine = std::make_unique<Engine>(topology, options, supply);
  engine->run();
}

}  // namespace

const LaneMachine avx512_lanes{"avx512", 8, run<1>, run<2>};

}  // namespace nockwise::detail
