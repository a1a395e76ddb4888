// Error of tear and exit speed against time per launch from full draw, for the candidate integrators.
//
//   nockwise_work_precision methods    every method at many steps or tolerances, three bows
//   nockwise_work_precision steps      the library's own method at many steps, bows with faults
//   nockwise_work_precision disturbed  the same, bows with everything a little off; REPEATS is their number
//   nockwise_work_precision model      fewer modes and nodes of the arrow
//   nockwise_work_precision spectrum   fastest motions of the linearised launch: what bounds the step
//   nockwise_work_precision smoke      a little of everything
//
// Prints comma-separated values, one line per launch timed.
#include "bows.hpp"
#include "exponential_method.hpp"
#include "launch/single_launch.hpp"
#include "methods.hpp"
#include "nockwise/paper.hpp"
#include "statics/model_access.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <functional>
#include <limits>
#include <string>
#include <utility>
#include <vector>

namespace {

using namespace nockwise;
using bench::Case;

constexpr double reference_step = 2.5e-6;  // [s]

double processor_time() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

struct Answer {
  double up = 0.0, right = 0.0, speed = 0.0;
};
Answer answer_of(const Model& model, const Launch& launch) {
  const PaperTear tear = paper_tear(model, launch);
  return {tear.up, tear.right, launch.exit_speed};
}

/// A bow at full draw, to be shot by any method.
struct Bench {
  Case which;
  Model model;
  detail::Release<1> release;
  Answer exact;
  int repeats;

  Bench(const Case& which_case, const Setup& setup, int how_often)
      : which(which_case),
        model(setup),
        release(detail::prepare_release(detail::data_of(model),
                                        std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants))),
        repeats(how_often) {
    LaunchOptions fine;
    fine.step = reference_step;
    exact = answer_of(model, shoot(fine));
  }

  /// By one of the library's methods.
  [[nodiscard]] Launch shoot(const LaunchOptions& options) const { return detail::launch_alone(release, options); }
  template <class Method>
  [[nodiscard]] Launch shoot(const Method& method) const {
    using Other = detail::OtherMethod<Method>;
    const LaunchOptions options;
    return detail::SingleLaunch<1, Other>(release, options, Other(method)).run();
  }

  /// Shoot with a method, or with the library's by its options; print the time of its quickest launch and its errors.
  template <class Method>
  void print(const char* name, double parameter, const Method& method) const {
    try {
      double quickest = std::numeric_limits<double>::infinity();
      Launch shot;
      for (int i = 0; i < repeats; ++i) {
        const double start = processor_time();
        shot = shoot(method);
        quickest = std::min(quickest, processor_time() - start);
      }
      const Answer got = answer_of(model, shot);
      line(name, parameter, quickest, shot, got);
    } catch (const Error& error) {
      std::printf("\"%s\",\"%s\",%g,,,,,,\"%s\"\n", which.name().c_str(), name, parameter, error.what());
    }
    std::fflush(stdout);
  }

  void line(const char* name, double parameter, double time, const Launch& shot, const Answer& got) const {
    std::printf("\"%s\",\"%s\",%g,%.1f,%zu,%zu,%.3e,%.3e,\n", which.name().c_str(), name, parameter, 1e6 * time,
                shot.evaluations, shot.steps, 1e3 * std::hypot(got.up - exact.up, got.right - exact.right),
                got.speed - exact.speed);
  }
};

void print_head() {
  std::puts(
      "setup,method,step or tolerance,time [us],evaluations,steps,error of tear [mm],error of speed [m/s],failure");
}

/// The library's own method, and the classical one.
void library_steps(const Bench& bench, const std::vector<double>& steps) {
  for (const auto& [name, integrator] :
       {std::pair{"Nystrom", Integrator::nystrom}, std::pair{"Runge-Kutta 4", Integrator::runge_kutta_4}}) {
    for (const double step : steps) {
      LaunchOptions options;
      options.integrator = integrator;
      options.step = step;
      bench.print(name, step, options);
    }
  }
}

void all_methods(const Bench& bench, const std::vector<double>& steps, const std::vector<double>& tolerances) {
  library_steps(bench, steps);
  const auto& c = bench.release.constants;
  const int modes = bench.release.topology.modes;
  const bench::Exponential exponential(1e-4, c.arrow, modes, c.nock_mass, kernel::Layout<1>::arrow_y);
  for (const double step : steps) {
    bench.print("exponential Runge-Kutta 4", step, exponential.with_step(step));
    bench.print("modified midpoint (4)", 2.0 * step, bench::ModifiedMidpoint(2.0 * step, {4}));
    bench.print("Verlet, triple jump", step, bench::Verlet(step, bench::Verlet::triple_jump()));
    bench.print("Verlet, Suzuki", step, bench::Verlet(step, bench::Verlet::suzuki()));
    bench.print("Adams-Bashforth-Moulton 4", 0.5 * step, bench::AdamsBashforthMoulton<4>(0.5 * step));
    bench.print("Adams-Bashforth-Moulton 6", 0.5 * step, bench::AdamsBashforthMoulton<6>(0.5 * step));
    bench.print("Fehlberg 78, fixed", 2.0 * step, bench::FixedFehlberg78(2.0 * step, {}));
    bench.print("Verlet", 0.4 * step, bench::Verlet(0.4 * step, {1.0}));
    bench.print("exponential Verlet", 0.4 * step, exponential.with_step(0.4 * step).with_verlet());
  }
  for (const double tolerance : tolerances) {
    LaunchOptions options;
    options.integrator = Integrator::dormand_prince;
    options.tolerance = tolerance;
    bench.print("Dormand-Prince 5(4)", tolerance, options);
    bench.print("Cash-Karp 5(4)", tolerance, bench::CashKarp54(tolerance));
    bench.print("Fehlberg 7(8)", tolerance, bench::Fehlberg78(tolerance));
    bench.print("Bulirsch-Stoer", tolerance, bench::BulirschStoer(tolerance));
  }
}

const std::vector<double> many_steps{4e-4, 3e-4, 2.5e-4, 2.25e-4, 2e-4, 1.75e-4, 1.5e-4, 1.25e-4,
                                     1e-4, 8e-5, 6e-5,   5e-5,    4e-5, 3e-5,    2.5e-5};

void methods(int repeats) {
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    const Case plain{bow, "", {}};
    all_methods(Bench(plain, plain.setup(), repeats), many_steps,
                {1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6, 1e-7, 1e-8});
  }
}

void steps(int repeats) {
  for (const Case& each : bench::all_cases()) {
    const Bench bow(each, each.setup(), repeats);
    library_steps(bow, many_steps);
    const auto& c = bow.release.constants;
    const bench::Exponential exponential(1e-4, c.arrow, bow.release.topology.modes, c.nock_mass,
                                         kernel::Layout<1>::arrow_y);
    for (const double step : many_steps) {
      bow.print("exponential Runge-Kutta 4", step, exponential.with_step(step));
      bow.print("Verlet", 0.5 * step, bench::Verlet(0.5 * step, {1.0}));
      bow.print("exponential Verlet", 0.5 * step, exponential.with_step(0.5 * step).with_verlet());
    }
  }
}

/// Bows in which every second parameter is off by up to 1 %, 4 % for those of the arrow: many have a cam far out of
/// time, so that cables go slack and the arrow bounces. Those that cannot be shot are left out.
void disturbed(int count) {
  for (const Case& each : bench::disturbed_bows(count)) {
    try {
      library_steps(Bench(each, each.setup(), 1), {2.5e-4, 2.25e-4, 2e-4, 1.5e-4, 1e-4, 5e-5});
    } catch (const Error&) {
    }
  }
}

/// The arrow in fewer modes or on fewer nodes, against 64 nodes and 16 modes.
void model(int repeats) {
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    const Case plain{bow, "", {}};
    Setup finest = plain.setup();
    finest.arrow.nodes = 64;
    finest.arrow.modes = 16;
    const Answer exact = Bench(plain, finest, 1).exact;
    const auto with = [&](const char* what, int nodes, int modes) {
      Setup setup = plain.setup();
      setup.arrow.nodes = nodes;
      setup.arrow.modes = modes;
      Bench bench(plain, setup, repeats);
      bench.exact = exact;
      LaunchOptions options;
      options.step = 5e-5;
      bench.print(what, what[0] == 'm' ? modes : nodes, options);
    };
    for (const int modes : {1, 2, 3, 4, 5, 6, 7, 8, 10, 12}) {
      with("modes of the arrow at 24 nodes", 24, modes);
    }
    for (const int nodes : {10, 12, 16, 20, 24, 32, 48, 64}) {
      with("nodes of the arrow at 6 modes", nodes, std::min(6, nodes - 4));
    }
  }
}

/// Eigenvalues of the linearised launch, at full draw and just after the stops have opened.
void spectrum() {
  std::puts("setup,time [ms],frequency [Hz],decay [1/s],largest part of the motion");
  for (const char* bow : {"larkspur", "alder", "wheelwright"}) {
    const Case plain{bow, "", {}};
    const Model model(plain.setup());
    const EquationsOfMotion equations(model);
    const auto names = equations.names();
    const std::vector<double> start = equations.initial_state();
    const auto n = static_cast<Eigen::Index>(start.size());
    Eigen::MatrixXd jacobian(n, n);
    for (Eigen::Index j = 0; j < n; ++j) {
      std::vector<double> up = start;
      std::vector<double> down = start;
      const double nudge = 1e-7;
      up[static_cast<std::size_t>(j)] += nudge;
      down[static_cast<std::size_t>(j)] -= nudge;
      std::vector<double> rate_up;
      std::vector<double> rate_down;
      equations.derivative(up, true, rate_up);
      equations.derivative(down, true, rate_down);
      for (Eigen::Index i = 0; i < n; ++i) {
        const auto at = static_cast<std::size_t>(i);
        jacobian(i, j) = (rate_up[at] - rate_down[at]) / (2.0 * nudge);
      }
    }
    const Eigen::EigenSolver<Eigen::MatrixXd> solver(jacobian);
    std::vector<Eigen::Index> order(static_cast<std::size_t>(n));
    for (std::size_t i = 0; i < order.size(); ++i) {
      order[i] = static_cast<Eigen::Index>(i);
    }
    const auto& roots = solver.eigenvalues();
    std::sort(order.begin(), order.end(),
              [&](Eigen::Index a, Eigen::Index b) { return std::abs(roots[a]) > std::abs(roots[b]); });
    int shown = 0;
    for (const Eigen::Index k : order) {
      if (roots[k].imag() < 0.0 || shown++ >= 12) {
        continue;
      }
      Eigen::Index largest = 0;
      solver.eigenvectors().col(k).tail(n / 2).cwiseAbs().maxCoeff(&largest);
      std::printf("%s,0,%.0f,%.0f,%s\n", bow, std::abs(roots[k]) / 6.283185307179586, -roots[k].real(),
                  names[static_cast<std::size_t>(largest)].c_str());
    }
  }
}

void smoke() {
  const Case plain{"larkspur", "", {}};
  all_methods(Bench(plain, plain.setup(), 1), {1e-4}, {1e-3});
}

}  // namespace

int main(int argc, char** argv) {
  const std::string what = argc > 1 ? argv[1] : "methods";
  const int repeats = argc > 2 ? std::stoi(argv[2]) : 20;
  if (what == "spectrum") {
    spectrum();
    return 0;
  }
  print_head();
  if (what == "methods") {
    methods(repeats);
  } else if (what == "steps") {
    steps(repeats);
  } else if (what == "disturbed") {
    disturbed(repeats);
  } else if (what == "model") {
    model(repeats);
  } else if (what == "smoke") {
    smoke();
  } else {
    std::fprintf(stderr, "nockwise_work_precision methods|steps|disturbed|model|spectrum|smoke [REPEATS]\n");
    return 2;
  }
  return 0;
}
