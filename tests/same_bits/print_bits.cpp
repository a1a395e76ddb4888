// The bits of some shots, from setup file to impact; with `all`, of a sweep and of ten explanations too. To be compared
// between two runs (run.sh) or two revisions (compare).
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/sweep.hpp"
#include "source_folder.hpp"

#include <cstdio>
#include <cstring>
#include <random>
#include <vector>

namespace {

using namespace nockwise;

constexpr double inch = 0.0254;

/// Uniform in ± width, the same with every standard library.
class Uniform {
 public:
  double operator()(double width) { return width * (static_cast<double>(random_()) / 2147483648.0 - 1.0); }

 private:
  std::mt19937 random_{3};
};

Setup altered_bow(const char* name, Uniform& within) {
  Setup setup = testing::demo_bow(name);
  setup.cables.upper.twists += within(0.5);
  setup.string.nocking_point += within(0.002);
  setup.rest.center_shot += within(0.002);
  setup.hold.grip_torque += within(0.3);
  return setup;
}

void print_shots() {
  Uniform within;
  for (const char* name : testing::demo_bow_names) {
    for (int i = 0; i < 20; ++i) {
      const Model model(altered_bow(name, within));
      const DrawCycle cycle = draw_cycle(model);
      const Launch shot = launch(model);
      const PaperTear tear = paper_tear(model, shot);
      const Impact impact = target_impact(model, shot);
      std::printf("%s %d: %a %a %a %a %a %a %a\n", name, i, cycle.peak_force, cycle.late_stop_gap.value_or(0.0),
                  shot.exit_speed, tear.up, tear.right, impact.y, impact.z);
    }
  }
}

/// New bows, and samples of one bow with the draw in common.
void print_sweep() {
  Uniform within;
  std::vector<Setup> setups;
  for (const char* name : testing::demo_bow_names) {
    for (int i = 0; i < 20; ++i) {
      setups.push_back(altered_bow(name, within));
    }
    const Setup same = testing::demo_bow(name);
    for (int i = 0; i < 20; ++i) {
      setups.push_back(same);
      setups.back().rest.center_shot += within(0.002);
      setups.back().arrow.bending_stiffness *= 1.0 + within(0.1);
    }
  }
  struct Bits {
    double speed, up, right;
    std::size_t evaluations, events;
  };
  std::vector<Bits> bits(setups.size());
  sweep(
      setups.size(), [&](std::size_t i) { return setups[i]; },
      [&](const auto& shot) {
        if (shot.launch != nullptr) {
          const PaperTear tear = paper_tear(*shot.model, *shot.launch);
          bits[shot.index] = {shot.launch->exit_speed, tear.up, tear.right, shot.launch->evaluations,
                              shot.launch->events.size()};
        }
      });
  for (std::size_t i = 0; i < bits.size(); ++i) {
    const Bits& b = bits[i];
    std::printf("sweep %zu: %a %a %a %zu %zu\n", i, b.speed, b.up, b.right, b.evaluations, b.events);
  }
}

void print_explanation(const char* name, const Case& observed) {
  const Explanation e = explain(observed);
  std::printf("%s: %s, misfit %a, %zu launches\n", name, name_of(e.verdict), e.misfit, e.launches);
  for (const Deviation& d : e.deviations) {
    std::printf("  deviation %a %a %a %a\n", d.steps, d.deviation, d.low, d.high);
  }
  for (const Cause& c : e.causes) {
    std::printf("  cause %a %a %a %a %a\n", c.steps, c.low, c.high, c.unexplained, c.probability);
  }
  for (const CausePair& p : e.pairs) {
    std::printf("  pair %a %a %a %a\n", p.steps[0], p.steps[1], p.unexplained, p.probability);
  }
  for (const NextCheck& n : e.next_checks) {
    std::printf("  check %s %a\n", n.name.c_str(), n.information);
  }
  std::printf("  plan %d %a %a %a\n", static_cast<int>(e.plan.possible), e.plan.confidence, e.plan.uncertainty_up,
              e.plan.uncertainty_right);
  for (const PlanStep& s : e.plan.steps) {
    std::printf("  step %a %a %a\n", s.steps, s.after[Output::tear_up], s.after[Output::tear_right]);
  }
}

TearObservation hole(double up, double right) {
  TearObservation tear;
  tear.up = up * inch;
  tear.right = right * inch;
  return tear;
}

void print_explanations() {
  for (const char* name : testing::demo_bow_names) {
    Case observed;
    observed.setup = testing::demo_bow(name);
    observed.tears = {hole(0.5, 0.0)};
    print_explanation(name, observed);
    observed.tears = {hole(-0.25, -0.75)};
    print_explanation(name, observed);
    TearObservation bare = hole(0.75, 0.0625);
    bare.changes.push_back(bare_shaft());
    observed.tears = {hole(0.5, 0.0), bare};
    observed.checks = {{"stop_gap", 0.23 * inch, inch / 64.0}, {"string.nocking_point", 0.0, inch / 32.0}};
    print_explanation(name, observed);
  }
  print_explanation("came-in", read_case(source_folder("examples/cases/came-in.toml")));
}

}  // namespace

int main(int count, char** arguments) {
  print_shots();
  if (count > 1 && std::strcmp(arguments[1], "all") == 0) {
    print_sweep();
    print_explanations();
  }
}
