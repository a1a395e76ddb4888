// Which whole steps: enumeration on the tear matrix with its curvature, then full launches of the best and of their
// neighbours.

#include "nockwise/error.hpp"
#include "plan/responses.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double thirty_second = 0.0254 / 32.0;
constexpr std::size_t finalists = 10;
constexpr double hopeless = 1.0e9;

class Search {
 public:
  explicit Search(const PlanStart& start) : start_(start) {
    for (const PlausibleBow& each : start.bows) {
      known_ += each.weight;
    }
  }

  PlanMoves run() {
    choose_candidates();
    best_ = Steps(candidates_.size(), 0);
    end_ = shots({best_});
    if (!end_.front().flew) {
      throw SolverError("plan", "the bow as explained cannot be shot: " + end_.front().failure);
    }
    before_ = end_;
    moves_.start = end_.front();
    best_cost_ = cost(end_, best_);
    constexpr double worth_trying = 0.97;  // of what can be attained
    constexpr double good_enough = 0.9;
    moves_.attainable = attainable();
    if (confidence() < worth_trying * moves_.attainable) {
      search(false);
      if (confidence() < good_enough * moves_.attainable) {
        search(true);
      }
    }
    finish();
    moves_.attainable /= known_;
    return moves_;
  }

 private:
  void choose_candidates() {
    for (const Adjustment& each : adjustments(start_.bows.front().bow)) {
      if (each.plannable && (start_.arrow_steps || each.group != AdjustmentGroup::arrow)) {
        candidates_.push_back(each);
      }
    }
    responses_.resize(candidates_.size());
    const Shot supposed =
        shoot(start_.supposed, {.distance = start_.distance, .statics = false, .stop = start_.execution.stop});
    if (supposed.flew) {
      usual_ = supposed.value;
    }
  }
  /// What is left alone as long as gentler things do: geometry, one yoke leg, deliberate bias, another arrow.
  [[nodiscard]] bool late(const Adjustment& a) const {
    const bool leg = a.name.ends_with(".left") || a.name.ends_with(".right");  // the cross keeps the sync
    return leg || a.group == AdjustmentGroup::geometry || a.group == AdjustmentGroup::arrow ||
           (a.group == AdjustmentGroup::sync && !start_.gap_known);
  }

  /// Shots of every bow after each of the moves, bows together.
  std::vector<Shot> shots(const std::vector<Steps>& tries) {
    std::vector<ShotRequest> requests;
    for (const Steps& steps : tries) {
      for (std::size_t h = 0; h < start_.bows.size(); ++h) {
        requests.push_back(request_for(start_, candidates_, h, steps));
      }
    }
    std::vector<Shot> result;
    for (const ShotResult& each : launch_many(requests, start_.execution)) {
      result.push_back(each.shot);
    }
    moves_.launches += requests.size();
    return result;
  }
  /// Effort by the order of work: sync only where the stops are known to be off, another arrow last.
  [[nodiscard]] double price(const Adjustment& a) const {
    double group = 0.4;  // one visit to it must make success some four hundredths likelier
    // Stops set the draw length; moved to close a gap they only hide that the cams are out of sync.
    if (a.name.rfind("stop.", 0) == 0 || a.group == AdjustmentGroup::arrow) {
      group = 4.0;
    } else if (a.group == AdjustmentGroup::sync) {
      group = start_.gap_known ? 0.4 : 3.0;  // deliberate bias, if the stops touch together
    } else if (a.group == AdjustmentGroup::geometry) {
      group = 2.0;  // changes peak weight or draw length, for everybody to feel
    } else if (a.needs_press) {
      group = 1.2;
    }
    return group + 0.01 * a.effort;
  }
  [[nodiscard]] double price(const Steps& steps) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        sum += price(candidates_[i]) + 0.1 * std::abs(steps[i]);
      }
    }
    return sum;
  }

  /// Probability that the true tear is within the reading error, if this bow's is (up, right).
  [[nodiscard]] double success(const PlausibleBow& bow, double up, double right) const {
    const TearSpread& s = bow.spread;
    return probability_within(up + s.bias_up, start_.reading_error, s.deviation_up) *
           probability_within(right + s.bias_right, start_.reading_error, s.deviation_right);
  }
  /// What a tear costs: failure, and how far it is out, so that the search knows which way to go.
  [[nodiscard]] double miss(const PlausibleBow& bow, double up, double right) const {
    constexpr double price_of_failure = 15.0;
    const double out = std::max({0.0, std::fabs(up + bow.spread.bias_up) - start_.reading_error,
                                 std::fabs(right + bow.spread.bias_right) - start_.reading_error}) /
                       start_.reading_error;
    return price_of_failure * (1.0 - success(bow, up, right)) + 2.0 * std::log1p(out * out);
  }
  /// What the most probable bow suffers besides.
  [[nodiscard]] double damage(double gap, double draw_change) const {
    const double before = std::fabs(before_.front().value[Output::stop_gap]);
    const double allowed = start_.gap_known ? thirty_second : before + thirty_second;
    const double excess = std::max(0.0, std::fabs(gap) - allowed) / (2.0 * thirty_second);
    const double draw = draw_change / 0.00635;  // a quarter inch of draw length
    return (start_.gap_known ? 1.0 : 0.25) * excess * excess + draw * draw;
  }

  [[nodiscard]] double cost(const std::vector<Shot>& shots, const Steps& steps) const {
    return cost(shots.begin(), steps);
  }
  [[nodiscard]] double cost(std::vector<Shot>::const_iterator shot, const Steps& steps) const {
    double sum = price(steps);
    for (std::size_t h = 0; h < start_.bows.size(); ++h) {
      const Shot& s = *(shot + static_cast<std::ptrdiff_t>(h));
      sum += start_.bows[h].weight *
             (s.flew ? miss(start_.bows[h], s.value[Output::tear_up], s.value[Output::tear_right]) : hopeless);
    }
    const Shot& first = *shot;
    const OutputValues& before = before_.front().value;
    sum += damage(first.value[Output::stop_gap], first.value[Output::draw_length] - before[Output::draw_length]);
    for (const Output output : {Output::lean_upper, Output::lean_lower}) {
      const double more = (std::fabs(first.value[output]) - std::fabs(before[output])) / 0.05;  // about three degrees
      sum += more > 0.0 ? more * more : 0.0;
    }
    const bool unsafe = strikes(first, before) || (light(first) && !light(before_.front()));
    return unsafe ? hopeless : sum;
  }
  /// The vanes strike rest or cables where they did not, or worse than this bow's are meant to.
  [[nodiscard]] bool strikes(const Shot& shot, const OutputValues& before) const {
    constexpr double tolerance = 5e-4;  // [m]
    const auto worse = [&](Output clearance) {
      return shot.value[clearance] < std::min({0.0, usual_[clearance], before[clearance]}) - tolerance;
    };
    return worse(Output::fletching_clearance) || worse(Output::cable_clearance);
  }
  [[nodiscard]] static bool light(const Shot& shot) {
    return std::any_of(shot.cautions.begin(), shot.cautions.end(),
                       [](const std::string& text) { return text.find("lighter than") != std::string::npos; });
  }

  /// The cost, if the effects of the adjustments add up.
  [[nodiscard]] double expected_cost(const Steps& steps) const {
    double sum = price(steps);
    double gap = before_.front().value[Output::stop_gap];
    double draw = 0.0;
    for (std::size_t h = 0; h < start_.bows.size(); ++h) {
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
      sum += start_.bows[h].weight * miss(start_.bows[h], up, right);
    }
    return sum + damage(gap, draw);
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
        if (ranked.size() == finalists && price(steps) >= ranked.back().first) {
          continue;  // whatever it does, and whatever is added to it, it costs more
        }
        const double value = expected_cost(steps);
        if (ranked.size() < finalists || value < ranked.back().first) {
          const auto place = std::upper_bound(ranked.begin(), ranked.end(), value,
                                              [](double v, const auto& each) { return v < each.first; });
          ranked.insert(place, {value, steps});
          if (ranked.size() > finalists) {
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

  void consider(const std::vector<Steps>& tries) {
    const std::vector<Shot> answers = shots(tries);
    const auto bows = static_cast<std::ptrdiff_t>(start_.bows.size());
    for (std::size_t k = 0; k < tries.size(); ++k) {
      const auto first = answers.begin() + static_cast<std::ptrdiff_t>(k) * bows;
      clean_but_striking_ = clean_but_striking_ || (within(*first, 1.0) && strikes(*first, before_.front().value));
      const double value = cost(first, tries[k]);
      if (value < best_cost_) {
        best_cost_ = value;
        best_ = tries[k];
        end_.assign(first, first + bows);
      }
    }
  }

  /// One step more or less of each adjustment, until none of them helps.
  void polish(const std::vector<std::size_t>& allowed) {
    for (int round = 0; round < 4; ++round) {
      const double before = best_cost_;
      std::vector<Steps> tries;
      for (const std::size_t i : allowed) {
        for (const int side : {1, -1}) {
          Steps next = best_;
          next[i] += side;
          if (next[i] >= responses_[i].least && next[i] <= responses_[i].most) {
            tries.push_back(std::move(next));
          }
        }
      }
      consider(tries);
      if (!(best_cost_ < before - 1e-9)) {
        return;
      }
    }
  }

  void search(bool everything) {
    std::vector<std::size_t> allowed;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      if (everything || !late(candidates_[i])) {
        allowed.push_back(i);
      }
    }
    measure_responses(start_, candidates_, before_, allowed, responses_, moves_.launches);
    std::stable_sort(allowed.begin(), allowed.end(),
                     [&](std::size_t a, std::size_t b) { return price(candidates_[a]) < price(candidates_[b]); });
    std::vector<std::pair<double, Steps>> ranked;
    Steps steps(candidates_.size(), 0);
    enumerate(allowed, 0, 3, steps, ranked);
    std::vector<Steps> tries;
    tries.reserve(ranked.size());
    for (auto& each : ranked) {
      tries.push_back(each.second);
    }
    consider(tries);
    polish(allowed);
  }

  [[nodiscard]] bool within(const Shot& shot, double share) const {
    return shot.flew && std::fabs(shot.value[Output::tear_up]) <= share * start_.reading_error &&
           std::fabs(shot.value[Output::tear_right]) <= share * start_.reading_error;
  }
  [[nodiscard]] double confidence() const {
    double sum = 0.0;
    for (std::size_t h = 0; h < end_.size(); ++h) {
      const OutputValues& v = end_[h].value;
      sum += end_[h].flew ? start_.bows[h].weight * success(start_.bows[h], v[Output::tear_up], v[Output::tear_right])
                          : 0.0;
    }
    return sum;
  }
  [[nodiscard]] double attainable() const {
    double sum = 0.0;
    for (const PlausibleBow& each : start_.bows) {
      sum += each.weight * success(each, -each.spread.bias_up, -each.spread.bias_right);
    }
    return sum;
  }
  /// Half width of the interval around the most probable bow's tear that holds the true one in 90 %.
  [[nodiscard]] double half_width(Output output, double TearSpread::*bias, double TearSpread::*deviation) const {
    const auto held = [&](double reach) {
      double sum = 0.0;
      for (std::size_t h = 0; h < end_.size(); ++h) {
        const TearSpread& spread = start_.bows[h].spread;
        const double off = end_[h].value[output] + spread.*bias - end_.front().value[output];
        sum += start_.bows[h].weight * probability_within(off, reach, spread.*deviation);
      }
      return sum / known_;
    };
    double low = 0.0;
    double high = 1.0;  // [m]
    for (int i = 0; i < 40; ++i) {
      const double middle = 0.5 * (low + high);
      (held(middle) < 0.9 ? low : high) = middle;
    }
    return high;
  }

  void finish() {
    moves_.end = end_.front();
    moves_.reached = within(end_.front(), 1.0);
    moves_.confidence = confidence();
    moves_.half_width_up = half_width(Output::tear_up, &TearSpread::bias_up, &TearSpread::deviation_up);
    moves_.half_width_right = half_width(Output::tear_right, &TearSpread::bias_right, &TearSpread::deviation_right);
    for (std::size_t i = 0; i < best_.size(); ++i) {
      if (best_[i] == 0) {
        continue;
      }
      moves_.adjustments.push_back(candidates_[i]);
      moves_.steps.push_back(best_[i]);
      if (!moves_.reached && (best_[i] == responses_[i].least || best_[i] == responses_[i].most)) {
        const bool arrow = candidates_[i].group == AdjustmentGroup::arrow;
        moves_.obstacles.push_back((arrow ? "The arrow's spine, at its limit: " : "A limit: ") + candidates_[i].title +
                                   " (" + candidates_[i].limit + ")");
      }
    }
    if (!moves_.reached && clean_but_striking_) {
      moves_.obstacles.emplace_back(
          "Clearance: there are moves that take the tear away, but they drive the vanes into the rest or a cable. "
          "Lower "
          "vanes, a nock turned so that no vane points there, or another rest come first");
    } else if (!moves_.reached && strikes(end_.front(), {})) {
      moves_.obstacles.emplace_back("Clearance: the vanes strike the rest or a cable, and that comes before tuning");
    }
  }

  const PlanStart& start_;
  PlanMoves moves_;
  double known_ = 0.0;  // weight of all bows
  std::vector<Adjustment> candidates_;
  std::vector<Response> responses_;  // of those that were measured
  OutputValues usual_{};             // of the bow as it is supposed to be
  std::vector<Shot> before_, end_;   // per bow
  Steps best_;
  double best_cost_ = 0.0;
  bool clean_but_striking_ = false;  // some moves were clean for the most probable bow, but for the vanes
};

}  // namespace

PlanMoves find_moves(const PlanStart& start) { return Search(start).run(); }

}  // namespace nockwise::detail
