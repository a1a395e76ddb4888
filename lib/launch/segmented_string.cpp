#include "launch/single_launch.hpp"

namespace nockwise::detail {

template <int Links>
Launch fly_in_pieces(const Release<Links>& release, const LaunchOptions& options, const Vanes<double>& vanes) {
  return SingleLaunch<Links, Stepper, kernel::StringChain>(release, options, vanes).run();
}

template Launch fly_in_pieces(const Release<1>&, const LaunchOptions&, const Vanes<double>&);
template Launch fly_in_pieces(const Release<2>&, const LaunchOptions&, const Vanes<double>&);
template Launch fly_in_pieces(const Release<3>&, const LaunchOptions&, const Vanes<double>&);
template Launch fly_in_pieces(const Release<4>&, const LaunchOptions&, const Vanes<double>&);
template Launch fly_in_pieces(const Release<5>&, const LaunchOptions&, const Vanes<double>&);

}  // namespace nockwise::detail
