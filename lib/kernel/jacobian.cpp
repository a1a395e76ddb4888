#include "kernel/jacobian.hpp"

#include "kernel/right_hand_side.hpp"
#include "numerics/derivative.hpp"

#include <memory>

namespace nockwise::kernel {

namespace {

constexpr int at_once = 8;
using Number = Derivative<at_once>;

RunDirection<Number> constant(const RunDirection<double>& from) {
  RunDirection<Number> to{};
  to.set(Number(from.u), Number(from.cosine), Number(from.sine));
  return to;
}

RunDirections<Number> constant(const RunDirections<double>& from) {
  RunDirections<Number> to{};
  for (int h = 0; h < 2; ++h) {
    to.string[h] = constant(from.string[h]);
    to.cable[h] = constant(from.cable[h]);
  }
  return to;
}

ContactModes<Number> constant(const ContactModes<double>& from) {
  ContactModes<Number> to{Number(from.string)};
  to.launcher = Number(from.launcher);
  for (int h = 0; h < 2; ++h) {
    to.cable[h] = Number(from.cable[h]);
  }
  return to;
}

}  // namespace

template <int Links>
void jacobian_of_accelerations(const Constants<double, Links>& constants, const Topology& topology,
                               const ContactModes<double>& contact_modes, const double* q, const double* v,
                               const RunDirections<double>& run_directions, double* jacobian) {
  const int n = Layout<Links>{topology.modes}.size();
  const auto c = std::make_unique<Constants<Number, Links>>();  // 90 kB
  with_no_slopes<at_once>(constants, *c);
  const ContactModes<Number> modes = constant(contact_modes);
  for (int first = 0; first < 2 * n; first += at_once) {
    Number state[2 * max_coordinates];
    Number acceleration[max_coordinates];
    for (int i = 0; i < n; ++i) {
      state[i] = Number(q[i]);
      state[n + i] = Number(v[i]);
      acceleration[i] = Number(0.0);  // no equation moves the arm of a rest that has none
    }
    const int count = first + at_once < 2 * n ? at_once : 2 * n - first;
    for (int k = 0; k < count; ++k) {
      state[first + k].slope[k] = 1.0;
    }
    RunDirections<Number> directions = constant(run_directions);
    accelerations_in_modes<0>(*c, topology, NoChain{}, modes, state, state + n, acceleration, directions);
    for (int i = 0; i < n; ++i) {
      for (int k = 0; k < count; ++k) {
        jacobian[i * 2 * n + first + k] = acceleration[i].slope[k];
      }
    }
  }
}

#define NOCKWISE_JACOBIAN(links)                                                                     \
  template void jacobian_of_accelerations(const Constants<double, links>&, const Topology&,          \
                                          const ContactModes<double>&, const double*, const double*, \
                                          const RunDirections<double>&, double*);
NOCKWISE_FOR_EACH_LINKS(NOCKWISE_JACOBIAN)

}  // namespace nockwise::kernel
