#include "explain/next_step.hpp"

#include "causes/checks.hpp"
#include "explain/outcomes.hpp"
#include "explain/plan_first.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace detail {

namespace {

constexpr double shot_effort = 3.0;  // [min] of a hole

std::string percent(double fraction) { return display(fraction, Quantity::percent, "%", 0); }

std::string hole_words(double up, double right) {
  PaperTear tear;
  tear.up = up;
  tear.right = right;
  return describe_tear(tear, 0.0005);
}

/// What is to be chosen from, and what the outcomes are told with.
class Chooser {
 public:
  Chooser(const Explanation& e, const std::vector<PlausibleBow>& bows, const Execution& execution)
      : e_(e), bows_(bows), execution_(execution), first_(e.observed.tears.front()) {
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
    const PlanStep& step = e_.plan.steps.front();
    if (step.adjustment.group == AdjustmentGroup::technique) {
      return hand(step);
    }
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
    next.outcomes.push_back(
        {"a tear, another day", "something has moved since: report that hole", 1.0 - e_.plan.confidence});
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
    return next;
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
      const bool alone = each.off.size() == 1 && each.off.front() == "grip.torque";
      suspected += alone ? each.weight : 0.0;
    }
    const auto found = std::find_if(e_.next_checks.begin(), e_.next_checks.end(),
                                    [](const NextCheck& each) { return each.name == "no_grip_torque"; });
    return suspected > 0.5 * weight_ && found != e_.next_checks.end() ? &*found : nullptr;
  }

  [[nodiscard]] bool moves_stops() const {
    return std::any_of(e_.plan.steps.begin(), e_.plan.steps.end(),
                       [](const PlanStep& step) { return step.adjustment.group == AdjustmentGroup::sync; });
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
    tell_hole(outlook(after_step(step)), "the step has done nothing here, which this bow would not do", next);
    return next;
  }

  [[nodiscard]] NextStep hand(const PlanStep& step) {
    NextStep next;
    next.kind = NextKind::hand;
    next.instruction = step.instruction;
    next.reason = step.reason;
    next.effort = shot_effort;
    TearObservation hole;
    hole.reading_error = first_.reading_error;
    hole.distance = first_.distance;
    hole.after = e_.observed.work.size();
    hole.label = "relaxed hand";
    hole.changes.push_back({hand_torque, 0.0, false});
    next.tears.push_back(hole);
    next.cautions = step.cautions;
    tell_tear_check(hole, "it is not the hand: look at the bow", next);
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
      tell_tear_check(what.tears.front(), "", next);
    } else if (!what.checks.empty()) {
      tell_measurement(what, next);
    }
    return next;
  }

  void tell_tear_check(const TearObservation& hole, const std::string& unchanged, NextStep& next) {
    const double error = hole.reading_error / per_reading_error;
    const Trial trial{[hole](const Setup& bow) {
                        Setup shot = bow;
                        for (const ParameterChange& each : hole.changes) {
                          shot.set(each.path, each.value + (each.relative ? shot.get(each.path) : 0.0));
                        }
                        return shot;
                      },
                      hole.distance.value_or(e_.observed.setup.surroundings.paper_distance),
                      {},
                      {error, error}};
    tell_hole(outlook(trial), unchanged, next);
  }

  /// Expectation and outcomes of a hole. \param unchanged what it means if the hole stays as it is and should not
  void tell_hole(const Outlook& outlook, const std::string& unchanged, NextStep& next) {
    if (outlook.groups().empty()) {
      return;
    }
    const double limit = first_.reading_error;
    const std::array<double, 2> reach{limit, limit};
    ForetoldHole hole;
    hole.distance = e_.plan.distance;
    hole.up = outlook.mean(0);
    hole.up_low = outlook.quantile(0, 0.05);
    hole.up_high = outlook.quantile(0, 0.95);
    hole.right = outlook.mean(1);
    hole.right_low = outlook.quantile(1, 0.05);
    hole.right_high = outlook.quantile(1, 0.95);
    hole.clean = outlook.within(std::array{0.0, 0.0}, reach);
    next.foretold = hole;
    const bool work = next.kind == NextKind::adjustment;
    if (work) {
      next.outcomes.push_back({"a clean hole, within " + display(limit, Quantity::length, "in", 3),
                               "three in a row, and the work is done", hole.clean});
    }
    tell_groups(
        outlook, {limit, limit}, [](const std::vector<double>& mean) { return hole_words(mean[0], mean[1]); }, next);
    const std::array<double, 2> start{first_.up, first_.right};
    const double moved = std::hypot(hole.up - start[0], hole.right - start[1]);
    if (!unchanged.empty() && moved > limit) {
      constexpr double seldom = 0.05;
      const double as_it_was = outlook.within(start, reach);
      const std::vector<double> then = outlook.after(start);
      const std::size_t first = static_cast<std::size_t>(std::max_element(then.begin(), then.end()) - then.begin());
      next.outcomes.push_back(
          {"the hole as it is now, " + hole_words(start[0], start[1]),
           as_it_was < seldom
               ? unchanged + (work ? ": see that it was done, then check the setup's entries" : "")
               : cause_words(outlook.groups()[first].off) + " is then the likeliest (" + percent(then[first]) + ")",
           as_it_was});
    }
    next.outcomes.push_back({"anything beyond " + hole_words(outlook.quantile(0, 0.01), outlook.quantile(1, 0.01)) +
                                 " and " + hole_words(outlook.quantile(0, 0.99), outlook.quantile(1, 0.99)),
                             "the setup is not this bow: check peak weight, brace height, the arrow's mass and its "
                             "speed before anything else is turned",
                             0.02});
  }

  /// Where an explanation stands apart from the others, what would be seen, and how likely it then is.
  void tell_groups(const Outlook& outlook, const std::vector<double>& apart,
                   const std::function<std::string(const std::vector<double>&)>& words, NextStep& next) const {
    constexpr std::size_t most = 3;
    constexpr double worth_telling = 1.2;  // times as likely as before
    std::vector<const Outlook::Group*> told;
    for (const Outlook::Group& group : outlook.groups()) {
      const auto near = [&](const Outlook::Group* other) {
        for (std::size_t r = 0; r < apart.size(); ++r) {
          if (std::fabs(group.mean[r] - other->mean[r]) > apart[r]) {
            return false;
          }
        }
        return true;
      };
      if (told.size() == most || std::any_of(told.begin(), told.end(), near)) {
        continue;
      }
      const std::vector<double> then = outlook.after(group.mean);
      const std::size_t own = static_cast<std::size_t>(&group - outlook.groups().data());
      const std::size_t first = static_cast<std::size_t>(std::max_element(then.begin(), then.end()) - then.begin());
      if (first != own || then[own] < worth_telling * group.weight) {
        continue;
      }
      told.push_back(&group);
      next.outcomes.push_back({"about " + words(group.mean),
                               cause_words(group.off) + " is then the likeliest (" + percent(then[own]) + ", now " +
                                   percent(group.weight) + ")",
                               group.weight});
    }
    if (told.empty() && !outlook.groups().empty()) {
      const std::vector<double> middle = outlook.groups().front().mean;
      next.outcomes.push_back({"about " + words(middle),
                               "as " + cause_words(outlook.groups().front().off) +
                                   " would have it, the likeliest now; it settles little between explanations",
                               outlook.groups().front().weight});
    }
  }

  void tell_measurement(const NextCheck& what, NextStep& next) {
    Trial trial{[](const Setup& bow) { return bow; }, {}, {}, {}};
    std::vector<double> apart;
    for (const CheckObservation& each : what.checks) {
      trial.whats.push_back(each.what);
      trial.errors.push_back(each.error / per_reading_error);
      apart.push_back(each.error);
    }
    const auto words = [&](const std::vector<double>& mean) {
      std::string text;
      for (std::size_t r = 0; r < mean.size(); ++r) {
        const Quantity quantity = check_quantity(what.checks[r].what);
        const std::string unit(quantity == Quantity::length ? "in" : workshop_unit(quantity));
        const OutputDescription* output = find_output(what.checks[r].what);
        text += (r == 0 ? "" : ", ") + (output != nullptr ? output->title : what.checks[r].what) + " " +
                display(mean[r], quantity, unit, 2);
      }
      return text;
    };
    const Outlook seen = outlook(trial);
    tell_groups(seen, apart, words, next);
    std::vector<double> low;
    std::vector<double> high;
    for (std::size_t r = 0; r < apart.size() && !seen.groups().empty(); ++r) {
      low.push_back(seen.quantile(r, 0.01));
      high.push_back(seen.quantile(r, 0.99));
    }
    if (!low.empty()) {
      next.outcomes.push_back({"anything outside " + words(low) + " to " + words(high),
                               "nothing that is suspected: look at it again, and then at the setup's entries", 0.02});
    }
  }

  [[nodiscard]] Outlook outlook(const Trial& trial) const { return {bows_, trial, execution_}; }

  /// What is off in a group of bows, in words.
  [[nodiscard]] std::string cause_words(const std::vector<std::string>& off) const {
    std::string text;
    for (const std::string& name : off) {
      const auto cause = std::find_if(e_.causes.begin(), e_.causes.end(),
                                      [&](const Cause& each) { return each.adjustment.name == name; });
      if (cause == e_.causes.end()) {
        continue;
      }
      text += (text.empty() ? "" : " with ") + (off.size() == 1 ? cause->words : cause->adjustment.title);
    }
    return text.empty() ? "a little of everything" : text;
  }

  const Explanation& e_;
  const std::vector<PlausibleBow>& bows_;
  const Execution& execution_;
  const TearObservation& first_;
  double weight_ = 0.0;
};

}  // namespace

NextStep choose_next(const Explanation& e, const std::vector<PlausibleBow>& bows, const Execution& execution) {
  return Chooser(e, bows, execution).choose();
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
