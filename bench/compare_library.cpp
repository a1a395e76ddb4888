// What bench/compare.py calls: one bow at full draw with its right-hand side, event functions and tear, for other
// people's integrators; SUNDIALS' CVODE on the same, where it is installed; and the library's own batch. A C interface,
// so that Numba's compiled code can call it without Python in between.
#include "bows.hpp"
#include "launch/launch_alone.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"
#include "statics/model_access.hpp"
#include "wheelwright_bow.hpp"

#ifdef NOCKWISE_HAS_SUNDIALS
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>
#endif

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <memory>
#include <string>

namespace {

using namespace nockwise;
using L = kernel::Layout<1>;

/// The bow of tests/reference/wheelwright with an arrow that slides off a fixed rest, as compare_mujoco.py builds it;
/// there the shaft is rigid, here it bends.
Setup wheelwright_with_rest() {
  Setup setup = wheelwright_setup("symmetric");
  setup.name = "Wheelwright with rest";
  const double mass = setup.arrow.nock_mass + setup.arrow.linear_density * setup.arrow.length;
  const Arrow usual;
  setup.arrow.length = 0.7366;
  setup.arrow.linear_density = mass / setup.arrow.length;
  setup.arrow.nock_mass = 0.0;
  setup.arrow.bending_stiffness = usual.bending_stiffness;
  setup.arrow.damping_ratio = usual.damping_ratio;
  setup.arrow.nodes = usual.nodes;
  setup.rest.kind = RestKind::blade;
  setup.rest.position_x = 0.005;
  setup.rest.vertical_stiffness = 4000.0;
  setup.rest.vertical_damping = 1.0;
  setup.surroundings.gravity = 9.80665;
  return setup;
}

/// The arrow on sixteen nodes: in as many bending modes as usual, or in all of them. The latter is the chain of sixteen
/// lumped masses that one writes down without modes, in other coordinates.
Setup larkspur_on_16_nodes(bool all_modes) {
  Setup setup = bench::demo_bow("larkspur");
  setup.arrow.nodes = 16;
  setup.arrow.modes = all_modes ? 14 : setup.arrow.modes;
  return setup;
}

Setup bow_named(const std::string& name) {
  if (name == "wheelwright with rest") {
    return wheelwright_with_rest();
  }
  if (name == "larkspur, 16 nodes") {
    return larkspur_on_16_nodes(false);
  }
  return name == "larkspur, 16 masses" ? larkspur_on_16_nodes(true) : bench::demo_bow(name);
}

struct Shot {
  Setup setup;
  Model model;
  detail::Release<1> release;
  kernel::RunDirections<double> run_directions;
  double attached = 1.0;

  explicit Shot(const Setup& of)
      : setup(of),
        model(of),
        release(detail::prepare_release(detail::data_of(model),
                                        std::get<kernel::Constants<double, 1>>(detail::data_of(model).constants))),
        run_directions(release.run_directions) {}
  [[nodiscard]] int size() const { return 2 * L{release.topology.modes}.size(); }

  /// Rate of the state, and the two event functions: string and nock part, tail passes the rest.
  void evaluate(const double* state, double* out, double* events) {
    const int n = size() / 2;
    std::copy_n(state + n, n, out);
    const auto diagnostics =
        kernel::accelerations(release.constants, release.topology, attached, state, state + n, out + n, run_directions);
    const auto g = detail::event_values(release.constants, release.topology, attached, diagnostics, state);
    events[0] = g[detail::event_separation];
    events[1] = g[detail::event_tail];
  }
  void start(double* state) {
    std::fill_n(state, size(), 0.0);
    std::copy_n(release.q.begin(), size() / 2, state);
    attached = 1.0;
    run_directions = release.run_directions;
  }
  /// The string goes on alone from where the nock is.
  void let_go(double* state) {
    detail::let_string_go(release.constants, release.topology.modes, true, state, state + size() / 2);
    attached = 0.0;
  }
  /// Tear of the flight that begins with this state, up and right.
  void tear(double time, const double* state, double* out) const {
    detail::Snapshot<1> moment;
    const auto n = size() / 2;
    moment.time = time;
    std::copy_n(state, n, moment.q);
    std::copy_n(state + n, n, moment.v);
    Launch launch;
    launch.free = detail::arrow_state(release, moment);
    const PaperTear tear = paper_tear(model, launch);
    out[0] = tear.up;
    out[1] = tear.right;
  }
};

double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

}  // namespace

extern "C" {

/// A bow by its demo name; null when it cannot be shot.
void* shot_open(const char* bow) {
  try {
    return new Shot(bow_named(bow));
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return nullptr;
  }
}
void shot_close(void* shot) { delete static_cast<Shot*>(shot); }
int shot_size(void* shot) { return static_cast<Shot*>(shot)->size(); }
void shot_start(void* shot, double* state) { static_cast<Shot*>(shot)->start(state); }
void shot_rate(void* shot, const double* state, double* rate, double* events) {
  static_cast<Shot*>(shot)->evaluate(state, rate, events);
}
void shot_let_go(void* shot, double* state) { static_cast<Shot*>(shot)->let_go(state); }
void shot_tear(void* shot, double time, const double* state, double* tear) {
  static_cast<Shot*>(shot)->tear(time, state, tear);
}
double shot_speed(const double* state, int size) { return state[size / 2 + L::arrow_x]; }

/// One launch of the library at a step; answer: tear up and right, exit speed.
void shot_library(void* shot, double step, double* answer) {
  auto& s = *static_cast<Shot*>(shot);
  LaunchOptions options;
  options.step = step;
  const Launch launch = detail::launch_alone(s.release, options);
  const PaperTear tear = paper_tear(s.model, launch);
  answer[0] = tear.up;
  answer[1] = tear.right;
  answer[2] = launch.exit_speed;
}

/// Seconds per launch, paper included, of a batch on one thread that shares the full draw.
double shot_batch(void* shot, int count, double step) {
  const auto& s = *static_cast<Shot*>(shot);
  SweepOptions options;
  options.threads = 1;
  options.launch.step = step;
  const double start = now();
  sweep(
      static_cast<std::size_t>(count), [&](std::size_t i) { return bench::shared_draw_sample(s.setup, i); },
      [&](const SweepSample& each) {
        if (each.launch != nullptr) {
          (void)paper_tear(*each.model, *each.launch, {}, 2);
        }
      },
      options);
  return (now() - start) / count;
}

#ifdef NOCKWISE_HAS_SUNDIALS
namespace {

int cvode_rate(realtype /*time*/, N_Vector y, N_Vector rate, void* shot) {
  double events[2];
  static_cast<Shot*>(shot)->evaluate(N_VGetArrayPointer(y), N_VGetArrayPointer(rate), events);
  return 0;
}
int cvode_events(realtype /*time*/, N_Vector y, realtype* events, void* shot) {
  auto& s = *static_cast<Shot*>(shot);
  double rate[2 * kernel::max_coordinates];
  s.evaluate(N_VGetArrayPointer(y), rate, events);
  return 0;
}

/// Integrate until event `which` falls through zero; false when it fails.
bool cvode_leg(void* cvode, N_Vector y, double& time, int which) {
  for (int found = CV_ROOT_RETURN; found == CV_ROOT_RETURN;) {
    found = CVode(cvode, 0.15, y, &time, CV_NORMAL);
    int roots[2] = {};
    CVodeGetRootInfo(cvode, roots);
    if (found == CV_ROOT_RETURN && roots[which] < 0) {
      return true;
    }
  }
  return false;
}

}  // namespace

/// One launch by CVODE's Adams method; answer: tear up and right, exit speed, evaluations. Returns its seconds, or a
/// negative number when it failed.
double shot_cvode(void* shot, double relative, double absolute, double* answer) {
  auto& s = *static_cast<Shot*>(shot);
  const double start = now();
  SUNContext context = nullptr;
  SUNContext_Create(nullptr, &context);
  N_Vector y = N_VNew_Serial(s.size(), context);
  s.start(N_VGetArrayPointer(y));
  void* cvode = CVodeCreate(CV_ADAMS, context);
  CVodeInit(cvode, cvode_rate, 0.0, y);
  CVodeSStolerances(cvode, relative, absolute);
  SUNNonlinearSolver solver = SUNNonlinSol_FixedPoint(y, 0, context);
  CVodeSetNonlinearSolver(cvode, solver);
  CVodeSetUserData(cvode, &s);
  CVodeSetMaxNumSteps(cvode, 1000000);
  CVodeSetMaxStep(cvode, 5e-4);
  CVodeRootInit(cvode, 2, cvode_events);
  double time = 0.0;
  long evaluations = 0;
  long first = 0;
  bool good = cvode_leg(cvode, y, time, 0);
  if (good) {
    answer[2] = shot_speed(N_VGetArrayPointer(y), static_cast<int>(s.size()));
    CVodeGetNumRhsEvals(cvode, &first);
    s.let_go(N_VGetArrayPointer(y));
    CVodeReInit(cvode, time, y);
    good = cvode_leg(cvode, y, time, 1);
    CVodeGetNumRhsEvals(cvode, &evaluations);
  }
  if (good) {
    s.tear(time, N_VGetArrayPointer(y), answer);
  }
  answer[3] = static_cast<double>(first + evaluations);
  SUNNonlinSolFree(solver);
  CVodeFree(&cvode);
  N_VDestroy(y);
  SUNContext_Free(&context);
  return good ? now() - start : -1.0;
}
#else
double shot_cvode(void*, double, double, double*) { return -1.0; }
#endif

}  // extern "C"
