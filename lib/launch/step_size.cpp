#include "launch/step_size.hpp"

#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace nockwise::detail {

namespace {

constexpr double shortest = 1e-7;  // [s], as of what can be asked for

[[noreturn]] void refuse(const char* path, double step) {
  throw SolverError("launch", std::string("a part is too quick for a step of 0.1 µs, which would have to be ") +
                                  format_quantity(1e9 * step, Quantity::dimensionless) +
                                  " ns: it is too light for its stiffness or its damping; most of that is of " + path);
}

}  // namespace

StableStep stable_step(const kernel::ArrowConstants<double>& arrow, int modes, const PartRates& rates,
                       Integrator integrator, double asked) {
  const bool nystrom = integrator == Integrator::nystrom;
  // 0: none but the rigid modes
  const double quickest = std::sqrt(stiffest(arrow.around) * arrow.stiffness[modes - 1]);
  const double damping = 0.5 * quickest * arrow.damping_time;  // its ratio
  const double held = nystrom ? 3.2 * std::min(1.0, 0.28 / damping) : 2.6;
  double step = quickest * asked > held ? held / quickest : asked;
  const double for_shaft = step;
  const auto bear = [&step](const Quickness& part, double oscillating, double decaying) {
    const double frequency = std::sqrt(part.stiffness);
    if (frequency * step > oscillating) {
      step = oscillating / frequency;
      if (!(step >= shortest)) {
        refuse(part.stiffest, step);
      }
    }
    if (part.damping * step > decaying) {
      step = decaying / part.damping;
      if (!(step >= shortest)) {
        refuse(part.most_damped, step);
      }
    }
  };
  constexpr double decaying = 2.4;  // both methods hold 2.78
  bear(rates.vertical, nystrom ? 3.8 : 2.6, decaying);
  bear(rates.lateral, nystrom ? 3.8 : 2.6, decaying);
  // Not for stability: what lets go of a stop must be followed.
  bear(rates.bow, 1.5, 0.8);
  bear(rates.stops, 0.9, 0.8);
  bear(rates.arm, 1.5, 2.0);
  bear(rates.launcher, 0.8, 1.6);
  bear(rates.cradle, 0.8, 1.6);
  // The stiffest shafts of those bows take a fifth off, parts nothing.
  return {step, for_shaft >= 0.795 * asked && step >= 0.95 * for_shaft};
}

}  // namespace nockwise::detail
