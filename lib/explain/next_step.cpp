#include "explain/next_step.hpp"

#include "causes/checks.hpp"
#include "explain/outcome_words.hpp"
#include "explain/plan_first.hpp"
#include "explain/same_bow.hpp"
#include "explain/take_back.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"
#include "plan/plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nockwise {

namespace detail {

namespace {

constexpr double shot_effort = 3.0;  // [min] of a hole

std::string percent(double fraction) { return display(fraction, Quantity::percent, "%", 0); }

/// What is to be chosen from, and what the outcomes are told with.
class Chooser {
 public:
  Chooser(const Explanation& e, const std::vector<PlausibleBow>& bows, bool bow_is_known, const Execution& execution)
      : e_(e),
        bows_(bows),
        bow_is_known_(bow_is_known),
        execution_(execution),
        first_(e.observed.tears.front()),
        tell_(e) {
    for (const PlausibleBow& each : bows_) {
      weight_ += each.weight;
    }
  }

  [[nodiscard]] NextStep choose() {
    if (e_.verdict == Verdict::clean) {
      return e_.plan.check_first ? shoot_more() : stop();
    }
    if (e_.verdict == Verdict::contradictory || e_.verdict == Verdict::not_this_bow) {
      return look_at_setup();
    }
    if (e_.plan.steps.empty()) {
      return worthwhile_check() ? check(e_.next_checks.front(), "No step would help surely; this tells most.")
                                : nothing();
    }
    if (e_.plan.steps.front().adjustment.group == AdjustmentGroup::technique) {
      return hand(e_.plan.steps.front());
    }
    const PlanStep& step = best_step();
    if (const NextCheck* relaxed = hand_check()) {
      return check(*relaxed,
                   "A hand that twists the bow is likelier than anything that a wrench moves, and it costs "
                   "only an arrow to know.");
    }
    if (e_.plan.check_first && e_.next_checks.front().name == stops_check && moves_stops()) {
      return check(e_.next_checks.front(),
                   "A cable is turned only when somebody has seen how far the stops are apart.");
    }
    return check_or_step(step);
  }

 private:
  [[nodiscard]] NextStep stop() const {
    NextStep next;
    next.kind = NextKind::stop;
    next.instruction = "Leave the bow alone.";
    next.reason = "The hole is clean with a probability of " + percent(e_.plan.confidence) + ".";
    return next;
  }

  [[nodiscard]] NextStep look_at_setup() const {
    NextStep next;
    next.kind = NextKind::look_at_setup;
    next.instruction = e_.verdict == Verdict::contradictory
                           ? "Shoot three arrows each way again, and report every hole anew. Turn nothing."
                           : "Check the setup's entries against the bow, and shoot another arrow. Turn nothing.";
    next.reason = e_.summary;
    next.effort = 10.0;
    next.outcomes.push_back({"something that is not as written", "correct it, and ask again", 0.0});
    next.outcomes.push_back(
        {"everything as written, and the same hole with another arrow",
         "the bow has something that no adjustment is: have a technician look at limbs, cams, stops "
         "and cables",
         0.0});
    next.cautions = e_.cautions;
    if (e_.verdict == Verdict::not_this_bow) {
      take_back(next);
    }
    return next;
  }

  /// Before all else, what has made the hole worse.
  void take_back(NextStep& next) const {
    const TakeBack back = to_take_back(e_.observed);
    if (back.work.empty()) {
      return;
    }
    const std::vector<Adjustment> all = adjustments(e_.observed.setup);
    std::string steps;
    for (const WorkStep& each : back.work) {
      const Adjustment& what = find_adjustment(all, each.adjustment);
      steps += (steps.empty() ? "" : "; then ") + describe_steps(what, each.steps);
      next.effort += what.effort;
      for (const Caution& caution : cautions_of_work(what)) {
        next.cautions.push_back(caution);
      }
    }
    PaperTear then;
    then.up = back.up;
    then.right = back.right;
    next.instruction = "Take back what was done since the hole was smaller: " + steps +
                       ". Then check the setup's entries against the bow, and shoot another arrow.";
    next.reason = "It was " + describe_tear(then, 0.0005) + " before that. " + next.reason;
    next.work = back.work;
    TearObservation hole;
    hole.reading_error = first_.reading_error;
    hole.distance = first_.distance;
    hole.after = e_.observed.work.size() + back.work.size();
    hole.label = "taken back";
    next.tears.push_back(hole);
  }

  [[nodiscard]] NextStep nothing() const {
    NextStep next;
    next.instruction = e_.plan.refusal.empty() ? e_.summary : e_.plan.refusal;
    next.cautions = e_.cautions;
    return next;
  }

  [[nodiscard]] bool worthwhile_check() const {
    constexpr double least = 0.05;  // [bit]
    return !e_.next_checks.empty() && e_.next_checks.front().information >= least;
  }

  /// The shot with another hand, where the hand is likelier than not and nobody has tried it.
  [[nodiscard]] const NextCheck* hand_check() const {
    double suspected = 0.0;
    for (const PlausibleBow& each : bows_) {
      const bool twisted = std::find(each.off.begin(), each.off.end(), hand_name) != each.off.end();
      suspected += twisted ? each.weight : 0.0;
    }
    const auto found = std::find_if(e_.next_checks.begin(), e_.next_checks.end(),
                                    [](const NextCheck& each) { return each.name == "no_grip_torque"; });
    return suspected > 0.5 * weight_ && found != e_.next_checks.end() ? &*found : nullptr;
  }

  [[nodiscard]] bool moves_stops() const {
    return std::any_of(e_.plan.steps.begin(), e_.plan.steps.end(),
                       [](const PlanStep& step) { return step.adjustment.group == AdjustmentGroup::sync; });
  }

  /// The step that alone makes a clean hole likeliest; where all are as unlikely, the one that leaves least. What sets
  /// the timing comes before all others.
  [[nodiscard]] const PlanStep& best_step() const {
    const std::vector<PlanStep>& steps = e_.plan.steps;
    if (steps.size() == 1 || steps.front().adjustment.group == AdjustmentGroup::sync) {
      return steps.front();
    }
    const PlanStep* best = &steps.front();
    double most = -1e300;
    for (const PlanStep& each : steps) {
      const Outlook after = outlook(after_step(each));
      if (after.groups().empty()) {
        continue;
      }
      const double limit = first_.reading_error;
      const double merit = after.within(std::array{0.0, 0.0}, std::array{limit, limit}) -
                           std::hypot(after.mean(0), after.mean(1)) / limit;
      if (merit > most + 1e-9) {
        most = merit;
        best = &each;
      }
    }
    return *best;
  }

  /// Share of the plausible bows for which the step is wrong, as NextStep says.
  [[nodiscard]] double wrong_share(const PlanStep& step) {
    const Outlook after = outlook(after_step(step));
    double wrong = 0.0;
    for (std::size_t i = 0; i < bows_.size(); ++i) {
      const PlausibleBow& bow = bows_[i];
      const std::vector<double> hole = after.of_bow(i);
      const bool helps =
          !hole.empty() && std::hypot(hole[0], hole[1]) <
                               std::hypot(bow.tear[0] + bow.spread.bias_up, bow.tear[1] + bow.spread.bias_right);
      const bool repairs = std::find(bow.off.begin(), bow.off.end(), step.adjustment.name) != bow.off.end();
      wrong += bow.weight * (helps && repairs ? 0.0 : helps ? 0.5 : 1.0);
    }
    return wrong / weight_;
  }

  [[nodiscard]] NextStep check_or_step(const PlanStep& step) {
    const bool seen_open = step.adjustment.group == AdjustmentGroup::sync &&
                           std::any_of(e_.observed.checks.begin(), e_.observed.checks.end(),
                                       [](const CheckObservation& check) { return check.what == "stop_gap"; });
    if (seen_open) {
      return first_wrench(step);
    }
    const double loss = wrong_share(step) * (2.0 * step.adjustment.effort + shot_effort);
    const NextCheck* best = nullptr;
    double least = loss;
    for (const NextCheck& each : e_.next_checks) {
      const double left = each.effort + std::exp2(-each.information) * loss;
      if (left < least) {
        least = left;
        best = &each;
      }
    }
    if (best != nullptr) {
      return check(*best, "It costs " + minutes(best->effort) + ", and the first step (" + step.instruction +
                              ") may cost " + minutes(2.0 * step.adjustment.effort + shot_effort) +
                              " for nothing, so unsure it is.");
    }
    return first_wrench(step);
  }

  /// The step; before the first of all, whether the setup is of this bow.
  [[nodiscard]] NextStep first_wrench(const PlanStep& step) {
    if (!bow_is_known_) {
      if (const std::optional<NextCheck> lengths = same_bow_check(e_.observed)) {
        return check(*lengths,
                     "All that follows takes the setup for this bow, and nobody has measured it; the first "
                     "step would be: " +
                         step.instruction);
      }
    }
    return adjustment(step);
  }

  [[nodiscard]] static std::string minutes(double effort) {
    return display(effort, Quantity::dimensionless, "", 0) + " min";
  }

  [[nodiscard]] Trial after_step(const PlanStep& step) const {
    const double error = first_.reading_error / per_reading_error;
    return {[step](const Setup& bow) { return adjusted(bow, step.adjustment, step.steps); },
            e_.plan.distance,
            {},
            {error, error}};
  }

  [[nodiscard]] NextStep adjustment(const PlanStep& step) {
    NextStep next;
    next.kind = NextKind::adjustment;
    next.instruction = step.instruction;
    next.reason = step.reason;
    next.effort = step.adjustment.effort + shot_effort;
    next.work.push_back({step.adjustment.name, step.steps});
    TearObservation hole;
    hole.reading_error = first_.reading_error;
    hole.distance = first_.distance;
    hole.after = e_.observed.work.size() + 1;
    hole.label = "after step " + std::to_string(hole.after);
    next.tears.push_back(hole);
    next.cautions = step.cautions;
    tell_.hole(outlook(after_step(step)), "the step has done nothing here, which this bow would not do", next);
    return next;
  }

  [[nodiscard]] NextStep hand(const PlanStep& step) {
    NextStep next;
    next.kind = NextKind::hand;
    next.instruction = step.instruction;
    next.reason = step.reason;
    next.effort = shot_effort;
    TearObservation relaxed;  // a trial
    relaxed.reading_error = first_.reading_error;
    relaxed.distance = first_.distance;
    relaxed.after = e_.observed.work.size();
    relaxed.label = "relaxed hand";
    relaxed.changes.push_back({hand_torque, 0.0, false});
    TearObservation hole = relaxed;
    if (hand_was_tried(e_.observed)) {  // and is to stay
      next.work.push_back({hand_name, step.steps});
      hole.after += 1;
      hole.changes.clear();
    }
    next.tears.push_back(hole);
    next.cautions = step.cautions;
    tell_.hole(outlook_of(relaxed), "it is not the hand: look at the bow", next);
    return next;
  }

  [[nodiscard]] NextStep shoot_more() {
    NextStep next =
        check(e_.next_checks.front(), e_.plan.first.empty() ? e_.summary : "It may be a tear, read too small.");
    return next;
  }

  [[nodiscard]] NextStep check(const NextCheck& what, const std::string& reason) {
    NextStep next;
    next.kind = NextKind::check;
    next.instruction = what.instruction;
    next.reason = reason;
    next.effort = what.effort;
    next.checks = what.checks;
    next.tears = what.tears;
    if (!what.tears.empty()) {
      tell_.hole(outlook_of(what.tears.front()), "", next);
    } else if (!what.checks.empty()) {
      tell_.measurement(outlook_of(what), what, next);
    }
    return next;
  }

  /// Of a hole of the bow as it stands, with its changes.
  [[nodiscard]] Outlook outlook_of(const TearObservation& hole) const {
    std::vector<PlausibleBow> bows = bows_;
    for (PlausibleBow& each : bows) {
      if (changes_hand(hole)) {
        each = in_relaxed_hand(each, e_.observed.setup);
      }
    }
    const double error = hole.reading_error / per_reading_error;
    const Trial trial{[&hole](const Setup& bow) {
                        Setup shot = bow;
                        for (const ParameterChange& each : hole.changes) {
                          shot.set(each.path, each.value + (each.relative ? shot.get(each.path) : 0.0));
                        }
                        return shot;
                      },
                      hole.distance.value_or(e_.observed.setup.surroundings.paper_distance),
                      {},
                      {error, error}};
    return {bows, trial, execution_};
  }
  /// Of what is measured on the bow as it stands.
  [[nodiscard]] Outlook outlook_of(const NextCheck& what) const {
    Trial trial{[](const Setup& bow) { return bow; }, {}, {}, {}};
    for (const CheckObservation& each : what.checks) {
      trial.whats.push_back(each.what);
      trial.errors.push_back(each.error / per_reading_error);
    }
    return outlook(trial);
  }
  [[nodiscard]] Outlook outlook(const Trial& trial) const { return {bows_, trial, execution_}; }

  const Explanation& e_;
  const std::vector<PlausibleBow>& bows_;
  bool bow_is_known_;
  const Execution& execution_;
  const TearObservation& first_;
  OutcomeTeller tell_;
  double weight_ = 0.0;
};

}  // namespace

NextStep choose_next(const Explanation& e, const std::vector<PlausibleBow>& bows, bool bow_is_known,
                     const Execution& execution) {
  return Chooser(e, bows, bow_is_known, execution).choose();
}

}  // namespace detail

NextStep next_step(const Case& observed, ExplanationOptions options) {
  options.next_checks = options.plan = true;
  return explain(observed, options).next;
}

const char* name_of(NextKind kind) {
  switch (kind) {
    case NextKind::stop:
      return "stop";
    case NextKind::check:
      return "check";
    case NextKind::adjustment:
      return "adjustment";
    case NextKind::hand:
      return "hand";
    case NextKind::look_at_setup:
      return "look_at_setup";
    case NextKind::nothing:
      return "nothing";
  }
  return "";
}

}  // namespace nockwise
