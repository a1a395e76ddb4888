// Which whole steps: enumeration on the tear matrix with its curvature, then full launches of the best and of their
// neighbours.

#include "nockwise/error.hpp"
#include "plan/costs.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr std::size_t most_ranked = 10;

class Search : private PlanCosts {
 public:
  explicit Search(const PlanProblem& problem) : PlanCosts(problem) {
    for (const PlausibleBow& each : problem.bows) {
      total_weight_ += each.weight;
    }
  }

  PlanSolution run() {
    choose_candidates();
    best_ = Steps(candidates_.size(), 0);
    end_ = shots({best_});
    if (!end_.front().flew) {
      throw SolverError("plan", "the bow as explained cannot be shot: " + end_.front().failure);
    }
    before_ = end_;
    solution_.start = end_.front();
    best_cost_ = cost(end_, best_);
    constexpr double worth_trying = 0.97;  // of what can be attained
    constexpr double good_enough = 0.9;
    solution_.attainable = attainable();
    // By the relaxed hand alone, or nobody knows before it is tried: no wrench.
    const bool done = problem_.hand && (reached() || problem_.unknown);
    if (!done && confidence() < worth_trying * solution_.attainable) {
      search(false);
      const bool round = problem_.unknown && takes_much_away();  // the next hole tells what is left for last resorts
      if (confidence() < good_enough * solution_.attainable && !round) {
        search(true);
      }
      if (!reached() && (!problem_.unknown || moved(best_) == 0)) {  // then whatever takes most of the tear away
        constexpr double hardly_any = 0.2;
        effort_share_ = hardly_any;
        best_cost_ = cost(end_, best_);
        search(true);
      }
    }
    prefer_repair();
    describe_end();
    solution_.attainable /= total_weight_;
    return solution_;
  }

 private:
  /// Lower vanes are another arrow.
  [[nodiscard]] bool may_turn_or_lower(const Adjustment& a) const {
    return problem_.arrow_steps || a.name != "vanes.height";
  }
  /// What gives vanes room has no part in a plan for a bow whose vanes have it.
  [[nodiscard]] bool vanes_have_room() const {
    constexpr double room = 0.001;  // [m]
    const PlausibleBow& bow = problem_.bows.front();
    const Shot shot =
        shoot(bow.bow, {.distance = problem_.distance, .statics = false, .stop = problem_.execution.stop});
    return !shot.flew || shot.value[Output::fletching_clearance] > room;
  }
  void choose_candidates() {
    const bool room = vanes_have_room();
    for (const Adjustment& each : adjustments(problem_.bows.front().bow)) {
      if (each.plannable && (problem_.arrow_steps || each.group != AdjustmentGroup::arrow) &&
          (each.group != AdjustmentGroup::clearance || (!room && may_turn_or_lower(each))) &&
          (problem_.press || !each.needs_press)) {
        candidates_.push_back(each);
      }
    }
    find_repairs();
    responses_.resize(candidates_.size());
    limits_ = JointLimits(candidates_, problem_.shelf_clearance);
    const Shot supposed =
        shoot(problem_.supposed, {.distance = problem_.distance, .statics = false, .stop = problem_.execution.stop});
    if (supposed.flew) {
      supposed_ = supposed.value;
    }
  }
  /// Shots of every bow after each of these steps: all bows of the first, then of the second, …
  std::vector<Shot> shots(const std::vector<Steps>& trials) {
    std::vector<ShotRequest> requests;
    for (const Steps& steps : trials) {
      for (std::size_t h = 0; h < problem_.bows.size(); ++h) {
        requests.push_back(request_for(problem_, candidates_, h, steps));
      }
    }
    solution_.launches += requests.size();
    std::vector<Shot> answers = shoot_many(requests, problem_.execution);
    for (std::size_t k = 0; k < answers.size(); ++k) {
      answers[k] = with_unexplained(std::move(answers[k]), problem_.bows[k % problem_.bows.size()]);
    }
    return answers;
  }
  /// Every choice of up to three adjustments and their whole steps, cheapest first.
  void enumerate(const std::vector<std::size_t>& allowed, std::size_t from, int left, Steps& steps,
                 std::vector<std::pair<double, Steps>>& ranked) const {
    for (std::size_t k = from; k < allowed.size(); ++k) {
      const std::size_t i = allowed[k];
      for (int s = responses_[i].least; s <= responses_[i].most; ++s) {
        if (s == 0) {
          continue;
        }
        steps[i] = s;
        if (ranked.size() == most_ranked && effort_cost(steps) >= ranked.back().first) {
          continue;  // its effort alone costs more, and any addition more still
        }
        const double value = expected_cost(steps, ranked.size() == most_ranked ? ranked.back().first : unacceptable);
        if ((ranked.size() < most_ranked || value < ranked.back().first) && limits_.allow(candidates_, steps)) {
          const auto place = std::upper_bound(ranked.begin(), ranked.end(), value,
                                              [](double v, const auto& each) { return v < each.first; });
          ranked.insert(place, {value, steps});
          if (ranked.size() > most_ranked) {
            ranked.pop_back();
          }
        }
        if (left > 1) {
          enumerate(allowed, k + 1, left - 1, steps, ranked);
        }
      }
      steps[i] = 0;
    }
  }

  void launch_and_compare(const std::vector<Steps>& trials) {
    const std::vector<Shot> answers = shots(trials);
    const auto bows = static_cast<std::ptrdiff_t>(problem_.bows.size());
    for (std::size_t k = 0; k < trials.size(); ++k) {
      const auto first = answers.begin() + static_cast<std::ptrdiff_t>(k) * bows;
      sight_in_the_way_ = sight_in_the_way_ || (first->flew && beyond_sight(*first, before_.front().value) &&
                                                worst_part(*first) < worst_part(end_.front()));
      clean_but_striking_ = clean_but_striking_ || (within(*first, 1.0) && strikes(*first, before_.front().value));
      const double value = cost(first, trials[k]);
      if (value < best_cost_) {
        best_cost_ = value;
        best_ = trials[k];
        end_.assign(first, first + bows);
      }
    }
  }

  /// One step more or less of each adjustment, until none of them helps.
  void refine(const std::vector<std::size_t>& allowed) {
    for (int round = 0; round < 4; ++round) {
      const double before = best_cost_;
      std::vector<Steps> trials;
      for (const std::size_t i : allowed) {
        for (const int side : {1, -1}) {
          Steps next = best_;
          next[i] += side;
          if (next[i] >= responses_[i].least && next[i] <= responses_[i].most) {
            trials.push_back(std::move(next));
          }
        }
      }
      launch_and_compare(trials);
      if (!(best_cost_ < before - 1e-9)) {
        return;
      }
    }
  }

  void search(bool everything) {
    std::vector<std::size_t> allowed;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      if (everything || !last_resort(candidates_[i])) {
        allowed.push_back(i);
      }
    }
    measure_responses(problem_, candidates_, before_, allowed, responses_, solution_.launches);
    std::stable_sort(allowed.begin(), allowed.end(), [&](std::size_t a, std::size_t b) {
      return effort_cost(candidates_[a]) < effort_cost(candidates_[b]);
    });
    std::vector<std::pair<double, Steps>> ranked;
    Steps steps(candidates_.size(), 0);
    enumerate(allowed, 0, 3, steps, ranked);
    std::vector<Steps> trials;
    trials.reserve(ranked.size());
    for (auto& each : ranked) {
      trials.push_back(each.second);
    }
    launch_and_compare(trials);
    refine(allowed);
  }

  /// Whole steps that undo what is off in the most probable bow, as far as they may; none where its parts cannot be
  /// moved.
  [[nodiscard]] Steps repair() const {
    const PlausibleBow& bow = problem_.bows.front();
    Steps steps(candidates_.size(), 0);
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      const Adjustment& a = candidates_[i];
      if (std::find(bow.off.begin(), bow.off.end(), a.name) != bow.off.end()) {
        const ParameterStep& part = a.parameters.front();
        const double off = (bow.bow.get(part.path) - problem_.supposed.get(part.path)) / part.per_step;
        steps[i] = static_cast<int>(std::lround(std::clamp(-off, a.least_steps, a.most_steps)));
      }
    }
    return steps;
  }
  [[nodiscard]] static std::ptrdiff_t moved(const Steps& steps) {
    return std::count_if(steps.begin(), steps.end(), [](int each) { return each != 0; });
  }
  /// Whether each of these steps, alone, was found to be one that can be shot; where none was measured nothing is
  /// known.
  [[nodiscard]] bool launched(const Steps& steps) const {
    for (std::size_t i = 0; i < steps.size(); ++i) {
      const Response& each = responses_[i];
      if (!each.change.empty() && (steps[i] < each.least || steps[i] > each.most)) {
        return false;
      }
    }
    return true;
  }
  /// A plan puts its cause right, where that ends clean and is hardly less sure: rather than more steps, or steps that
  /// leave the cause as it is.
  void prefer_repair() {
    constexpr double hardly_less = 0.03;
    const Steps steps = repair();
    if (steps == best_ || moved(steps) == 0 || moved(best_) == 0 ||
        (moved(steps) >= moved(best_) && neglect_cost(best_) == 0.0) || !launched(steps)) {
      return;
    }
    std::vector<Shot> repaired = shots({steps});
    if (cost(repaired, steps) >= unacceptable) {
      return;
    }
    const double confident = confidence();
    const bool ended = reached();
    std::swap(end_, repaired);
    if (reached() && (!ended || confidence() >= confident - hardly_less)) {
      best_ = steps;
      return;
    }
    for (std::size_t i = 0; reached() && i < steps.size(); ++i) {
      if (steps[i] != 0) {
        solution_.repair.push_back(candidates_[i]);
        solution_.repair_steps.push_back(steps[i]);
      }
    }
    solution_.repair_confidence = confidence();
    std::swap(end_, repaired);
  }

  [[nodiscard]] bool within(const Shot& shot, double share) const {
    return shot.flew && std::fabs(shot.value[Output::tear_up]) <= share * problem_.reading_error &&
           std::fabs(shot.value[Output::tear_right]) <= share * problem_.reading_error;
  }
  [[nodiscard]] bool reached() const {
    return std::all_of(end_.begin(), end_.begin() + static_cast<std::ptrdiff_t>(problem_.distances),
                       [&](const Shot& shot) { return within(shot, 1.0); });
  }
  /// Of the tear of the most probable bow.
  [[nodiscard]] bool takes_much_away() const {
    constexpr double much = 0.7;
    const auto size = [](const Shot& shot) {
      return std::hypot(shot.value[Output::tear_up], shot.value[Output::tear_right]);
    };
    return size(end_.front()) <= much * size(before_.front());
  }
  [[nodiscard]] double confidence() const { return confidence_of(problem_, end_); }
  [[nodiscard]] double attainable() const {
    double sum = 0.0;
    for (const PlausibleBow& each : problem_.bows) {
      sum += each.weight * success(each, -each.spread.bias_up, -each.spread.bias_right, problem_.reading_error);
    }
    return sum;
  }
  /// What the best steps reach, and what is in the way of better ones.
  void describe_end() {
    solution_.end = end_.front();
    solution_.elsewhere.assign(end_.begin() + 1, end_.begin() + static_cast<std::ptrdiff_t>(problem_.distances));
    solution_.reached = reached();
    solution_.confidence = confidence();
    const std::array<double, 2> half = half_widths_of(problem_, end_);
    solution_.half_width_up = half[0];
    solution_.half_width_right = half[1];
    for (std::size_t i = 0; i < best_.size(); ++i) {
      if (best_[i] == 0) {
        continue;
      }
      solution_.adjustments.push_back(candidates_[i]);
      solution_.steps.push_back(best_[i]);
      if (!solution_.reached && (best_[i] == responses_[i].least || best_[i] == responses_[i].most)) {
        const bool arrow = candidates_[i].group == AdjustmentGroup::arrow;
        solution_.obstacles.push_back((arrow ? "The arrow's spine, at its limit: " : "A limit: ") +
                                      candidates_[i].title + " (" + candidates_[i].limit + ")");
      }
    }
    if (!solution_.reached && sight_in_the_way_) {
      solution_.obstacles.emplace_back(
          "The sight: more of it would move the impact farther than half an inch of windage, or an inch of elevation, "
          "follows");
    }
    if (!solution_.reached && clean_but_striking_) {
      solution_.obstacles.emplace_back(
          "Clearance: there are moves that take the tear away, but they drive the vanes into the rest or a cable. "
          "Lower vanes, a nock turned so that no vane points there, or another rest come first");
    } else if (!solution_.reached && strikes(end_.front(), {})) {
      solution_.obstacles.emplace_back("Clearance: the vanes strike the rest or a cable, and that comes before tuning");
    }
  }

  PlanSolution solution_;
  double total_weight_ = 0.0;  // weight of all bows
  std::vector<Shot> end_;      // per bow, after the best steps
  Steps best_;
  double best_cost_ = 0.0;
  bool sight_in_the_way_ = false;    // some steps took more of the tear away, and the sight could not follow
  bool clean_but_striking_ = false;  // some steps were clean for the most probable bow, but for the vanes
};

}  // namespace

PlanSolution search_steps(const PlanProblem& problem) { return Search(problem).run(); }

}  // namespace nockwise::detail
