#include "causes/checks.hpp"

#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double sixty_fourth = 0.0254 / 64.0;

/// Collects the checks that this bow allows and that are not made yet.
class CheckList {
 public:
  CheckList(const Case& observed, CaseModel& model) : observed_(observed), model_(model) {}

  void measure(const char* name, const char* instruction, double effort,
               const std::vector<CheckObservation>& readings) {
    CheckPlan plan{name, instruction, effort, {}, {}, {}};
    for (const CheckObservation& each : readings) {
      if (!made(each.what)) {
        CheckObservation check = each;
        check.after = model_.work_done();
        plan.rows.push_back(model_.add_check(check));
        plan.checks.push_back(check);
      }
    }
    keep(std::move(plan));
  }

  [[nodiscard]] bool made(const std::string& what) const {
    return std::any_of(observed_.checks.begin(), observed_.checks.end(),
                       [&](const CheckObservation& check) { return check.what == what; });
  }

  void shoot_again(bool second_arrow) { keep(more_holes_check(model_, second_arrow)); }

  void shoot(const char* name, const std::string& instruction, double effort,
             const std::vector<ParameterChange>& changes, std::optional<double> distance) {
    const Setup& setup = observed_.setup;
    const double usual = setup.surroundings.paper_distance;
    const double wanted = distance.value_or(usual);
    const bool made = std::any_of(observed_.tears.begin(), observed_.tears.end(), [&](const TearObservation& tear) {
      return tear.archer.empty() && tear.changes == changes && tear.after == observed_.work.size() &&
             std::fabs(tear.distance.value_or(usual) - wanted) < 0.15;
    });
    if (made) {
      return;
    }
    CheckPlan plan{name, instruction, effort, {}, {}, {}};
    TearObservation tear;
    tear.after = model_.work_done();
    const std::size_t row = model_.add_tear(changes, wanted, tear);
    plan.rows = {row, row + 1};
    tear.distance = distance;
    tear.label = name;
    tear.changes = changes;
    plan.tears.push_back(tear);
    keep(std::move(plan));
  }

  [[nodiscard]] std::vector<CheckPlan> take() { return std::move(plans_); }

 private:
  void keep(CheckPlan plan) {
    if (!plan.rows.empty()) {
      plans_.push_back(std::move(plan));
    }
  }
  const Case& observed_;
  CaseModel& model_;
  std::vector<CheckPlan> plans_;
};

}  // namespace

bool changes_hand(const TearObservation& tear) {
  return std::any_of(tear.changes.begin(), tear.changes.end(),
                     [](const ParameterChange& change) { return change.path == hand_torque; });
}

CheckPlan more_holes_check(CaseModel& model, bool second_arrow) {
  CheckPlan plan;
  plan.name = more_holes;
  plan.instruction = second_arrow
                         ? "Shoot two more arrows through fresh paper, the bow as found, and report each hole."
                         : "Shoot the arrow twice more through fresh paper, the bow as found, and report each hole.";
  plan.effort = 3.0;
  for (int i = 0; i < 2; ++i) {
    TearObservation tear;
    tear.after = model.work_done();
    const std::size_t row = model.add_tear({}, {}, tear);
    plan.rows.insert(plan.rows.end(), {row, row + 1});
    tear.label = "once more";
    plan.tears.push_back(tear);
  }
  return plan;
}

NextCheck reported(const CheckPlan& check) {
  NextCheck next;
  next.name = check.name;
  next.instruction = check.instruction;
  next.effort = check.effort;
  next.checks = check.checks;
  next.tears = check.tears;
  return next;
}

namespace {

void add_measurements(const Case& observed, CheckList& list) {
  const Setup& setup = observed.setup;
  const bool stops = setup.cams.upper.stop.kind != StopKind::none && setup.cams.lower.stop.kind != StopKind::none;
  if (stops && observed.workshop.draw_board) {
    list.measure(stops_check,
                 "Draw the bow slowly on a draw board: do both stops touch together, and if not, how far "
                 "open is the late one?",
                 10.0, {{"stop_gap", 0.0, sixty_fourth}});
  } else if (stops) {
    list.measure(stops_check,
                 "Draw the bow by hand with an arrow on the string, pointed at a safe target, and let somebody who "
                 "stands beside you watch the stops: do both touch together, and if not, how far open is the late one?",
                 10.0, {{"stop_gap", 0.0, 4.0 * sixty_fourth}});
  }
  if (setup.rest.kind != RestKind::none) {
    list.measure("square",
                 list.made("arrow_square")
                     ? "Measure with a bow square how far the nocking point stands from where the setup has it."
                 : list.made("string.nocking_point")
                     ? "Put a bow square on the string: does the arrow stand square at brace?"
                     : "Put a bow square on the string: does the arrow stand square at brace, and where does it run?",
                 3.0, {{"arrow_square", 0.0, 2.0 * sixty_fourth}, {"string.nocking_point", 0.0, 2.0 * sixty_fourth}});
    list.measure("center_shot", "Measure centre shot, from the riser to the middle of the arrow at the rest.", 3.0,
                 {{"rest.center_shot", 0.0, 2.0 * sixty_fourth}});
  }
  if (observed.workshop.draw_board) {
    list.measure("cam_lean", "Lay a straight arrow along each cam at full draw on the draw board and read its lean.",
                 8.0, {{"lean_upper", 0.0, 0.01}, {"lean_lower", 0.0, 0.01}});
  }
  if (setup.rest.kind == RestKind::limb_driven || setup.rest.kind == RestKind::cable_driven) {
    list.measure("rest_timing",
                 list.made("rest.arm.cord_attachment")
                     ? "Draw slowly and watch the rest: how far before the wall does it come fully up?"
                     : "Draw slowly and watch the rest: how far before the wall does it come fully up, and where is "
                       "its cord tied?",
                 5.0, {{"rest_up_before_wall", 0.0, 0.00635}, {"rest.arm.cord_attachment", 0.0, 0.004}});
  }
}

void add_marks(const CaseModel& model, CheckList& list) {
  if (model.vanes_strike()) {
    list.measure(
        "vane_marks",
        "Dust the vanes and the launcher with powder, or draw lipstick along the edges of the vanes, and shoot the "
        "bow as found: are there marks on rest, cables or vanes, and how far from a vane's edge do they reach?",
        5.0, {{"vane_marks", 0.0, 0.002}});
  }
}

/// A distance that the bow was not shot from yet, and that can be; half the usual one, if any can.
std::optional<double> other_distance(const Case& observed) {
  const double usual = observed.setup.surroundings.paper_distance;
  if (observed.workshop.distances.empty()) {
    return std::max(1.5, 0.5 * usual);
  }
  std::optional<double> farthest;
  double apart = 0.3;  // [m] nearer than that is no other distance
  for (const double each : observed.workshop.distances) {
    double nearest = std::fabs(each - usual);
    for (const TearObservation& tear : observed.tears) {
      nearest = std::min(nearest, std::fabs(each - tear.distance.value_or(usual)));
    }
    if (nearest > apart) {
      apart = nearest;
      farthest = each;
    }
  }
  return farthest;
}

void add_shots(const Case& observed, CheckList& list) {
  const Workshop& workshop = observed.workshop;
  list.shoot_again(workshop.second_arrow);
  const bool other_hand = std::any_of(observed.tears.begin(), observed.tears.end(), [](const TearObservation& tear) {
    return !tear.archer.empty() || changes_hand(tear);
  });
  if (!other_hand) {
    list.shoot("no_grip_torque", "Shoot again with a relaxed, open hand, or let another archer shoot the bow.", 3.0,
               {{hand_torque, 0.0, false}}, {});
  }
  if (const auto distance = other_distance(observed)) {
    const std::string where =
        workshop.distances.empty() ? "at half the distance" : "from " + display(*distance, Quantity::length, "ft", 0);
    list.shoot("second_distance", "Shoot again through paper " + where + ".", 3.0, {}, distance);
  }
  if (observed.setup.arrow.fletching.count > 0 && workshop.second_arrow) {
    list.shoot("bare_shaft", "Shoot a bare shaft of the same mass and point through the paper.", 5.0, {bare_shaft()},
               {});
  }
  if (workshop.spare_spine) {
    list.shoot("another_spine", "Shoot an arrow one spine class stiffer.", 5.0, {{"arrow.spine", -0.05 * 0.0254, true}},
               {});
  }
}

}  // namespace

std::vector<CheckPlan> add_possible_checks(const Case& observed, CaseModel& model) {
  CheckList list(observed, model);
  add_measurements(observed, list);
  add_marks(model, list);
  add_shots(observed, list);
  return list.take();
}

}  // namespace nockwise::detail
