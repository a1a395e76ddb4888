// What steps cost: work, what they leave of the tear and of the cause, and what they do besides. Private.
#pragma once

#include "plan/limits.hpp"
#include "plan/promise.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

/// Costs of steps of the candidates of one problem. A search fills the fields in and adds to the responses.
class PlanCosts {
 protected:
  static constexpr double unacceptable = 1.0e9;
  static constexpr double thirty_second = 0.0254 / 32.0;
  static constexpr double likely = 0.5;
  static constexpr double most_off_square = 0.00635;  // [m] a quarter inch

  explicit PlanCosts(const PlanProblem& problem)
      : problem_(problem), timing_is_off_(!problem.gap_known && timing_suspicion(problem) > likely) {}

  /// Adjustments that are tried only when the others do not suffice: geometry, one yoke leg, deliberate bias, another
  /// arrow, and what was checked. Rest and nocking point start from where they are right, and are tuned from there.
  [[nodiscard]] bool last_resort(const Adjustment& a) const {
    const bool tuned = a.group == AdjustmentGroup::height || a.group == AdjustmentGroup::nocking_point ||
                       (a.group == AdjustmentGroup::lateral && !a.needs_press);
    return a.group == AdjustmentGroup::geometry || a.group == AdjustmentGroup::arrow ||
           (a.group == AdjustmentGroup::sync && !timing_is_off_) || (stated_right(a) && !tuned);
  }
  /// Checked and found as it should be, and not suspected all the same.
  [[nodiscard]] bool stated_right(const Adjustment& a) const {
    constexpr double suspected = 0.3;
    const auto found = [&](const char* name) {
      return std::find(problem_.right.begin(), problem_.right.end(), name) != problem_.right.end();
    };
    const bool right =
        a.group == AdjustmentGroup::height ? found("nocking_point") && found("rest.height") : found(a.name.c_str());
    return right && suspicion(problem_, a.name) < suspected;
  }

  /// Effort by the order of work: sync only where the stops are known to be off, another arrow last.
  [[nodiscard]] double effort_cost(const Adjustment& a) const {
    double group = 0.4;  // an adjustment must make success about 0.04 likelier
    // Stops set the draw length; to close a gap with them would only hide that the cams are out of sync.
    // Lower vanes are as another arrow.
    if (a.name.rfind("stop.", 0) == 0 || a.group == AdjustmentGroup::arrow || a.name == "vanes.height") {
      group = 4.0;
    } else if (a.group == AdjustmentGroup::sync) {
      group = timing_is_off_ ? 1.2 : 3.0;  // where it was known it has been set before: this is a deliberate bias
    } else if (a.group == AdjustmentGroup::geometry) {
      group = 2.0;  // changes peak weight or draw length, which the archer feels
    } else if (a.needs_press || a.group == AdjustmentGroup::height) {
      group = 1.2;  // nock and rest together are two visits, and peep and sight with them
    }
    return group + 0.01 * a.effort + (stated_right(a) ? 1.0 : 0.0);
  }
  [[nodiscard]] double effort_cost(const Steps& steps) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        const AdjustmentGroup group = candidates_[i].group;
        const bool resort = group == AdjustmentGroup::arrow || (group == AdjustmentGroup::sync && !timing_is_off_);
        sum += (resort ? 1.0 : effort_share_) * (effort_cost(candidates_[i]) + 0.1 * std::abs(steps[i]));
      }
    }
    return sum;
  }

  /// Which candidate puts right what is off in which bow, for neglect_cost().
  void find_repairs() {
    for (const PlausibleBow& bow : problem_.bows) {
      std::vector<bool>& row = repairs_.emplace_back();
      for (const Adjustment& each : candidates_) {
        row.push_back(repairs(each, bow));
      }
    }
  }
  /// Puts right what is off in this bow; a gap between the stops closes by either cable.
  [[nodiscard]] bool repairs(const Adjustment& a, const PlausibleBow& bow) const {
    return std::any_of(bow.off.begin(), bow.off.end(), [&](const std::string& off) {
      return off == a.name || (a.group == AdjustmentGroup::sync && sets_timing(off));
    });
  }
  [[nodiscard]] bool sets_timing(const std::string& name) const {
    return std::any_of(candidates_.begin(), candidates_.end(), [&](const Adjustment& each) {
      return each.group == AdjustmentGroup::sync && each.name == name;
    });
  }

  /// Cost of leaving what is off as it is: a plan repairs its cause, unless another way is clearly better.
  [[nodiscard]] double neglect_cost(const Steps& steps) const {
    const double cost_of_neglect = problem_.unknown ? 0.2 : 0.6;  // where nothing is sure, nothing need be its cause
    double neglected = 0.0;
    const auto taken = taken_of(steps);
    const bool any = !taken.empty();
    for (std::size_t h = 0; any && h < problem_.bows.size(); ++h) {
      const bool repaired = problem_.bows[h].off.empty() ||
                            std::any_of(taken.begin(), taken.end(), [&](std::size_t i) { return repairs_[h][i]; });
      neglected += repaired ? 0.0 : problem_.bows[h].weight;
    }
    return any ? cost_of_neglect * neglected : 0.0;
  }

  /// Cost of a tear: of failure, and of how far it is outside, which gives the search its direction.
  [[nodiscard]] double tear_cost(const PlausibleBow& bow, double up, double right) const {
    constexpr double cost_of_failure = 15.0;
    const auto out = [&](double part) {
      return std::max(0.0, std::fabs(part) - problem_.reading_error) / problem_.reading_error;
    };
    const double out_up = out(up + bow.spread.bias_up);
    const double out_right = out(right + bow.spread.bias_right);
    if (problem_.unknown) {
      return cost_of_round(bow, up, right) + 2.0 * (std::log1p(out_up * out_up) + std::log1p(out_right * out_right));
    }
    const double most = std::max(out_up, out_right);
    return cost_of_failure * (1.0 - success(bow, up, right, problem_.reading_error)) + 2.0 * std::log1p(most * most);
  }
  /// Of failure, where another round follows: it costs that round, and less where one part of the hole is right.
  [[nodiscard]] double cost_of_round(const PlausibleBow& bow, double up, double right) const {
    constexpr double cost = 3.0;
    const TearSpread& s = bow.spread;
    const double right_up = probability_within(up + s.bias_up, problem_.reading_error, s.deviation_up);
    const double right_aside = probability_within(right + s.bias_right, problem_.reading_error, s.deviation_right);
    return cost * (1.0 - right_up * right_aside) + cost * (1.0 - 0.5 * (right_up + right_aside));
  }
  /// Cost of the stop gap and draw length that the most probable bow would have.
  [[nodiscard]] double side_effect_cost(double gap, double draw_change) const {
    const double before = std::fabs(before_.front().value[Output::stop_gap]);
    const double allowed = problem_.gap_known ? thirty_second : before + thirty_second;
    const double excess = std::max(0.0, std::fabs(gap) - allowed) / (2.0 * thirty_second);
    const double draw = draw_change / 0.00635;  // a quarter inch of draw length
    return (problem_.gap_known ? 1.0 : 0.25) * excess * excess + draw * draw;
  }

  [[nodiscard]] double cost(const std::vector<Shot>& shots, const Steps& steps) const {
    return cost(shots.begin(), steps);
  }
  [[nodiscard]] double cost(std::vector<Shot>::const_iterator shot, const Steps& steps) const {
    double sum = effort_cost(steps) + neglect_cost(steps) + detour_cost(steps);
    for (std::size_t h = 0; h < problem_.bows.size(); ++h) {
      const Shot& s = *(shot + static_cast<std::ptrdiff_t>(h));
      sum +=
          problem_.bows[h].weight *
          (s.flew ? tear_cost(problem_.bows[h], s.value[Output::tear_up], s.value[Output::tear_right]) : unacceptable);
    }
    const Shot& first = *shot;
    const OutputValues& before = before_.front().value;
    sum +=
        side_effect_cost(first.value[Output::stop_gap], first.value[Output::draw_length] - before[Output::draw_length]);
    for (const Output output : {Output::lean_upper, Output::lean_lower}) {
      const double more = (std::fabs(first.value[output]) - std::fabs(before[output])) / 0.05;  // about three degrees
      sum += more > 0.0 ? more * more : 0.0;
    }
    const bool unsafe = strikes(first, before) || (too_light(first) && !too_light(before_.front())) ||
                        beyond(first, before, Output::stop_gap, most_late) ||
                        beyond(first, before, Output::arrow_square, most_off_square) || beyond_sight(first, before) ||
                        !limits_.allow(candidates_, steps);
    return unsafe ? unacceptable : sum;
  }
  /// Farther from zero than it may be, and than before.
  [[nodiscard]] static bool beyond(const Shot& shot, const OutputValues& before, Output output, double most) {
    const double now = std::fabs(shot.value[output]);
    return now > most && now > std::fabs(before[output]) + 1e-5;
  }
  [[nodiscard]] static double worst_part(const Shot& shot) {
    return std::max(std::fabs(shot.value[Output::tear_up]), std::fabs(shot.value[Output::tear_right]));
  }
  /// The sight cannot follow.
  [[nodiscard]] bool beyond_sight(const Shot& shot, const OutputValues& before) const {
    const double share = sight_radius / problem_.supposed.surroundings.target_distance;
    return std::fabs(shot.value[Output::impact_right] - before[Output::impact_right]) * share > most_windage ||
           std::fabs(shot.value[Output::impact_up] - before[Output::impact_up]) * share > most_elevation;
  }
  /// The vanes strike rest or cables, by more than before and than on the bow as supposed.
  [[nodiscard]] bool strikes(const Shot& shot, const OutputValues& before) const {
    constexpr double tolerance = 5e-4;  // [m]
    const auto worse = [&](Output clearance) {
      return shot.value[clearance] < std::min({0.0, supposed_[clearance], before[clearance]}) - tolerance;
    };
    return worse(Output::fletching_clearance) || worse(Output::cable_clearance);
  }
  [[nodiscard]] static bool too_light(const Shot& shot) {
    return std::any_of(shot.cautions.begin(), shot.cautions.end(),
                       [](const Caution& caution) { return caution.kind == CautionKind::light_arrow; });
  }

  /// Cost of a new tear on the way, in the best of all orders, if the effects of the adjustments add up.
  [[nodiscard]] double detour_cost(const Steps& steps) const {
    std::vector<Change> parts;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0 && !responses_[i].change.empty()) {
        parts.push_back(responses_[i].at(steps[i]).front());
      }
    }
    constexpr double new_tear = 0.00762;  // [m] 0.3 in
    constexpr double cost_of_detour = 4.0;
    const double most =
        least_detour(before_.front().value[Output::tear_up], before_.front().value[Output::tear_right], parts);
    return most > new_tear ? cost_of_detour * most / new_tear : 0.0;
  }
  /// The adjustments that are moved.
  [[nodiscard]] static std::vector<std::size_t> taken_of(const Steps& steps) {
    std::vector<std::size_t> taken;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        taken.push_back(i);
      }
    }
    return taken;
  }
  /// The cost, if the effects of the adjustments add up; or some number above `enough`, if it is above that.
  [[nodiscard]] double expected_cost(const Steps& steps, double enough) const {
    const std::vector<std::size_t> taken = taken_of(steps);
    double sum = effort_cost(steps) + neglect_cost(steps);
    double gap = before_.front().value[Output::stop_gap];
    double draw = 0.0;
    for (std::size_t h = 0; h < problem_.bows.size() && sum <= enough; ++h) {  // every part of the cost is positive
      double up = before_[h].value[Output::tear_up];
      double right = before_[h].value[Output::tear_right];
      for (const std::size_t i : taken) {
        const Change& change = responses_[i].at(steps[i])[h];
        up += change.up;
        right += change.right;
        gap += h == 0 ? change.gap : 0.0;
        draw += h == 0 ? change.draw : 0.0;
      }
      sum += problem_.bows[h].weight * tear_cost(problem_.bows[h], up, right);
    }
    return sum > enough ? sum : sum + side_effect_cost(gap, draw) + detour_cost(steps);
  }

  const PlanProblem& problem_;
  bool timing_is_off_;  // most probably, though nobody has measured it
  std::vector<Adjustment> candidates_;
  std::vector<std::vector<bool>> repairs_;  // by bow and candidate
  JointLimits limits_{{}, {}};
  std::vector<Response> responses_;  // of those that were measured
  OutputValues supposed_{};          // of the bow as it is supposed to be
  std::vector<Shot> before_;         // per bow
  double effort_share_ = 1.0;        // of the cost of ordinary work that counts
};

}  // namespace nockwise::detail
