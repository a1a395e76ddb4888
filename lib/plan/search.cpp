// Which whole steps: enumeration on the tear matrix with its curvature, then full launches of the best and of their
// neighbours.

#include "nockwise/error.hpp"
#include "plan/limits.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double thirty_second = 0.0254 / 32.0;
constexpr std::size_t most_ranked = 10;
constexpr double unacceptable = 1.0e9;
constexpr double most_off_square = 0.00635;  // [m] a quarter inch

class Search {
 public:
  explicit Search(const PlanProblem& problem) : problem_(problem) {
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
    const bool done = problem_.hand && reached();  // by the relaxed hand alone: no wrench
    if (!done && confidence() < worth_trying * solution_.attainable) {
      search(false);
      if (confidence() < good_enough * solution_.attainable) {
        search(true);
      }
      if (!reached()) {  // then whatever takes most of the tear away
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
  void choose_candidates() {
    for (const Adjustment& each : adjustments(problem_.bows.front().bow)) {
      if (each.plannable && (problem_.arrow_steps || each.group != AdjustmentGroup::arrow) &&
          (problem_.press || !each.needs_press)) {
        candidates_.push_back(each);
      }
    }
    responses_.resize(candidates_.size());
    limits_ = JointLimits(candidates_, problem_.shelf_clearance);
    const Shot supposed =
        shoot(problem_.supposed, {.distance = problem_.distance, .statics = false, .stop = problem_.execution.stop});
    if (supposed.flew) {
      supposed_ = supposed.value;
    }
  }
  /// Adjustments that are tried only when the others do not suffice: geometry, one yoke leg, deliberate bias, another
  /// arrow.
  [[nodiscard]] bool last_resort(const Adjustment& a) const {
    return a.group == AdjustmentGroup::geometry || a.group == AdjustmentGroup::arrow ||
           a.group == AdjustmentGroup::sync || stated_right(a);
  }
  /// Checked and found as it should be, and not suspected all the same.
  [[nodiscard]] bool stated_right(const Adjustment& a) const {
    constexpr double suspected = 0.3;
    return std::find(problem_.right.begin(), problem_.right.end(), a.name) != problem_.right.end() &&
           suspicion(problem_, a.name) < suspected;
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
  /// Effort by the order of work: sync only where the stops are known to be off, another arrow last.
  [[nodiscard]] double effort_cost(const Adjustment& a) const {
    double group = 0.4;  // an adjustment must make success about 0.04 likelier
    // Stops set the draw length; to close a gap with them would only hide that the cams are out of sync.
    if (a.name.rfind("stop.", 0) == 0 || a.group == AdjustmentGroup::arrow) {
      group = 4.0;
    } else if (a.group == AdjustmentGroup::sync) {
      group = 3.0;  // timing has been set before, where it was known: this is a deliberate bias
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
        sum += effort_cost(candidates_[i]) + 0.1 * std::abs(steps[i]);
      }
    }
    return effort_share_ * sum;
  }

  /// Cost of leaving what is off as it is: a plan repairs its cause, unless another way is clearly better.
  [[nodiscard]] double neglect_cost(const Steps& steps) const {
    constexpr double cost_of_neglect = 1.5;
    double neglected = 0.0;
    bool any = false;
    for (const PlausibleBow& each : problem_.bows) {
      bool repaired = each.off.empty();
      for (std::size_t i = 0; i < steps.size(); ++i) {
        any = any || steps[i] != 0;
        repaired = repaired || (steps[i] != 0 &&
                                std::find(each.off.begin(), each.off.end(), candidates_[i].name) != each.off.end());
      }
      neglected += repaired ? 0.0 : each.weight;
    }
    return any ? cost_of_neglect * neglected : 0.0;
  }

  /// Probability that the true tear is within the reading error, if this bow's is (up, right).
  [[nodiscard]] double success(const PlausibleBow& bow, double up, double right) const {
    const TearSpread& s = bow.spread;
    return probability_within(up + s.bias_up, problem_.reading_error, s.deviation_up) *
           probability_within(right + s.bias_right, problem_.reading_error, s.deviation_right);
  }
  /// Cost of a tear: of failure, and of how far it is outside, which gives the search its direction.
  [[nodiscard]] double tear_cost(const PlausibleBow& bow, double up, double right) const {
    constexpr double cost_of_failure = 15.0;
    const double out = std::max({0.0, std::fabs(up + bow.spread.bias_up) - problem_.reading_error,
                                 std::fabs(right + bow.spread.bias_right) - problem_.reading_error}) /
                       problem_.reading_error;
    return cost_of_failure * (1.0 - success(bow, up, right)) + 2.0 * std::log1p(out * out);
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
  /// The cost, if the effects of the adjustments add up.
  [[nodiscard]] double expected_cost(const Steps& steps) const {
    double sum = effort_cost(steps) + neglect_cost(steps);
    double gap = before_.front().value[Output::stop_gap];
    double draw = 0.0;
    for (std::size_t h = 0; h < problem_.bows.size(); ++h) {
      double up = before_[h].value[Output::tear_up];
      double right = before_[h].value[Output::tear_right];
      for (std::size_t i = 0; i < steps.size(); ++i) {
        if (steps[i] != 0) {
          const Change& change = responses_[i].at(steps[i])[h];
          up += change.up;
          right += change.right;
          gap += h == 0 ? change.gap : 0.0;
          draw += h == 0 ? change.draw : 0.0;
        }
      }
      sum += problem_.bows[h].weight * tear_cost(problem_.bows[h], up, right);
    }
    return sum + side_effect_cost(gap, draw) + detour_cost(steps);
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
        const double value = expected_cost(steps);
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
  /// A plan puts its cause right, where that ends clean and is hardly less sure: rather than more steps, or steps that
  /// leave the cause as it is.
  void prefer_repair() {
    constexpr double hardly_less = 0.1;
    const Steps steps = repair();
    if (steps == best_ || moved(steps) == 0 || moved(best_) == 0 ||
        (moved(steps) >= moved(best_) && neglect_cost(best_) == 0.0)) {
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
    } else {
      std::swap(end_, repaired);
    }
  }

  [[nodiscard]] bool within(const Shot& shot, double share) const {
    return shot.flew && std::fabs(shot.value[Output::tear_up]) <= share * problem_.reading_error &&
           std::fabs(shot.value[Output::tear_right]) <= share * problem_.reading_error;
  }
  [[nodiscard]] bool reached() const {
    return std::all_of(end_.begin(), end_.begin() + static_cast<std::ptrdiff_t>(problem_.distances),
                       [&](const Shot& shot) { return within(shot, 1.0); });
  }
  [[nodiscard]] double confidence() const {
    double sum = 0.0;
    for (std::size_t h = 0; h < end_.size(); ++h) {
      const OutputValues& v = end_[h].value;
      sum += end_[h].flew
                 ? problem_.bows[h].weight * success(problem_.bows[h], v[Output::tear_up], v[Output::tear_right])
                 : 0.0;
    }
    return sum;
  }
  [[nodiscard]] double attainable() const {
    double sum = 0.0;
    for (const PlausibleBow& each : problem_.bows) {
      sum += each.weight * success(each, -each.spread.bias_up, -each.spread.bias_right);
    }
    return sum;
  }
  /// Half width of the interval around the most probable bow's tear that holds the true one in 90 %.
  [[nodiscard]] double half_width(Output output, double TearSpread::*bias, double TearSpread::*deviation) const {
    const auto held = [&](double reach) {
      double sum = 0.0;
      double weight = 0.0;
      for (std::size_t h = 0; h < end_.size(); h += problem_.distances) {
        const TearSpread& spread = problem_.bows[h].spread;
        const double off = end_[h].value[output] + spread.*bias - end_.front().value[output];
        sum += problem_.bows[h].weight * probability_within(off, reach, spread.*deviation);
        weight += problem_.bows[h].weight;
      }
      return sum / weight;
    };
    double low = 0.0;
    double high = 1.0;  // [m]
    for (int i = 0; i < 40; ++i) {
      const double middle = 0.5 * (low + high);
      (held(middle) < 0.9 ? low : high) = middle;
    }
    return high;
  }

  /// What the best steps reach, and what is in the way of better ones.
  void describe_end() {
    solution_.end = end_.front();
    solution_.elsewhere.assign(end_.begin() + 1, end_.begin() + static_cast<std::ptrdiff_t>(problem_.distances));
    solution_.reached = reached();
    solution_.confidence = confidence();
    solution_.half_width_up = half_width(Output::tear_up, &TearSpread::bias_up, &TearSpread::deviation_up);
    solution_.half_width_right = half_width(Output::tear_right, &TearSpread::bias_right, &TearSpread::deviation_right);
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
          "Lower "
          "vanes, a nock turned so that no vane points there, or another rest come first");
    } else if (!solution_.reached && strikes(end_.front(), {})) {
      solution_.obstacles.emplace_back("Clearance: the vanes strike the rest or a cable, and that comes before tuning");
    }
  }

  const PlanProblem& problem_;
  PlanSolution solution_;
  double total_weight_ = 0.0;  // weight of all bows
  std::vector<Adjustment> candidates_;
  JointLimits limits_{{}, {}};
  std::vector<Response> responses_;  // of those that were measured
  OutputValues supposed_{};          // of the bow as it is supposed to be
  std::vector<Shot> before_, end_;   // per bow
  Steps best_;
  double best_cost_ = 0.0;
  double effort_share_ = 1.0;        // of the cost of work that counts
  bool sight_in_the_way_ = false;    // some steps took more of the tear away, and the sight could not follow
  bool clean_but_striking_ = false;  // some steps were clean for the most probable bow, but for the vanes
};

}  // namespace

PlanSolution search_steps(const PlanProblem& problem) { return Search(problem).run(); }

}  // namespace nockwise::detail
